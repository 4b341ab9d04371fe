"""What is not on-line yet, and one button for it; how far it is, and what went wrong, in words."""

import sys
import threading
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.publishing.online import OnlineState, brought_online, built, online_state
from passport.acts.publishing.publish import Published, TooManyGone
from passport.acts.refused import Faulty, Refused
from passport.browser.bench import Bench, formats
from passport.publish.build.run import Progress
from passport.publish.remote.send import Told
from passport.records.faults import Fault
from passport.records.load import load
from passport.render.theme.formats import Formats

_SHOWN = 30


@dataclass
class OnlineRun:
    """One way on-line, told by the thread that goes it: what it does now, how far, and how it ended."""

    publishes: bool
    doing: str = ""
    share: float = 0.0
    said: list[str] = field(default_factory=list)
    ended: bool = False
    refused: str = ""
    faults: tuple[Fault, ...] = ()
    lost: int = 0
    """How many passports would go away, where that stopped it."""
    broken: bool = False
    published: Published | None = None

    def say(self, words: str) -> None:
        """A word on what is waited for."""
        self.said.append(words.strip())

    def warn(self, words: str) -> None:
        """Something that a person should look at; nothing for an empty text."""
        self.said += [words.strip()] if words.strip() else []

    @contextmanager
    def progress(self) -> Iterator[Progress]:
        """How far the site is."""

        def told(said: str, done: float, total: float) -> None:
            self.doing, self.share = said, done / total if total else 0.0

        yield told
        self.doing = ""

    @contextmanager
    def sending(self, files: int, size: int) -> Iterator[Told]:
        """How far the sending is."""
        self.doing, self.share = f"{files} files are sent", 0.0

        def told(done: int, sent: int) -> None:
            self.doing, self.share = f"{done} of {files} files sent", sent / size if size else 0.0

        yield told

    def go(self, bench: Bench, delete: int) -> None:
        """The whole way; whatever stops it is told by the run."""
        try:
            if self.publishes:
                self.published = brought_online(bench.root, bench.site, delete, self)
            else:
                built(bench.root, bench.site, self)
        except TooManyGone as error:
            self.refused, self.lost = str(error), error.lost
        except Faulty as error:
            self.refused, self.faults = str(error), error.faults
        except Refused as error:
            self.refused = str(error)
        except Exception:  # its text may hold what is private: it is for the terminal of this computer alone
            traceback.print_exc(file=sys.stderr)
            self.broken = True
        finally:
            self.ended = True


class Desk:
    """The screen, and the one run that may be under way."""

    def __init__(self) -> None:
        self._run: OnlineRun | None = None

    def show(self, bench: Bench, request: Request) -> Response:
        """How records, site and what is on-line stand to each other; while a run is under way, how far it is."""
        run = self._run
        records = load(bench.root, ())[0]
        going = run is not None and not run.ended
        state = None if going else online_state(bench.root, bench.site)
        since = _lines(state, formats(records))
        body = bench.render(
            "online",
            records,
            run=run,
            going=going,
            state=state,
            since=since[:_SHOWN],
            more=max(0, len(since) - _SHOWN),
        )
        return Response(body, media_type="text/html", headers={"refresh": "1"} if going else {})

    def act(self, bench: Bench, request: Request) -> Response:
        """Set out, unless somebody did; to this screen again."""
        form = request.scope["form"]
        if (self._run is None or self._run.ended) and form.get("act") in ("publish", "build"):
            told = form.get("delete", "")
            delete = int(told) if told.isascii() and told.isdigit() and len(told) < 7 else 0
            self._run = OnlineRun(form["act"] == "publish")
            threading.Thread(target=self._run.go, args=(bench, delete), name="online", daemon=True).start()
        return RedirectResponse("/online", 303)


def _lines(state: OnlineState | None, f: Formats) -> list[tuple[str, str]]:
    """The changes that are not on-line yet, each with when it was made."""
    entries = [
        (datetime.fromisoformat(entry.time).astimezone(), entry.summary) for entry in (state.since if state else ())
    ]
    return [(f"{f.short_day(when.date())}, {when:%H:%M}", summary) for when, summary in entries]
