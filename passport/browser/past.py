"""The whole history: what was changed when, taken back and brought back by a press."""

from dataclasses import dataclass
from datetime import datetime

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.amending.undo import changes, last_taken_back, undone
from passport.browser.asking import AtTheScreen
from passport.browser.bench import Bench, formats
from passport.records.load import load
from passport.records.transaction.entries import Transaction
from passport.render.theme.formats import Formats

_LISTED = 50


@dataclass(frozen=True, slots=True)
class Line:
    """A change: its number, when it was made, what it was, and whether it can be taken back."""

    number: int
    when: str
    summary: str
    kept: bool


def show(bench: Bench, request: Request) -> Response:
    """The changes that stand, newest first."""
    return _page(bench, None)


def act(bench: Bench, request: Request) -> Response:
    """Take a change back, or bring the last one again: shown first, done when it is pressed again."""
    form = request.scope["form"]
    redo, number = form.get("act") == "redo", form.get("change", "")
    asking = AtTheScreen(form.get("agreed", ""), errors_too=True, always=True)
    chosen = int(number) if number.isascii() and number.isdigit() and not redo else None
    if undone(bench.root, asking, chosen, redo=redo):
        return RedirectResponse("/history", 303)
    return _page(bench, asking, number, redo=redo)


def _page(bench: Bench, asks: AtTheScreen | None, change: str = "", *, redo: bool = False) -> Response:
    records = load(bench.root, ())[0]
    f, found, last = formats(records), changes(bench.root), last_taken_back(bench.root)
    lines = [_line(entry, f) for entry in found[:_LISTED]]
    body = bench.render(
        "history",
        records,
        entries=lines,
        more=max(0, len(found) - _LISTED),
        back=last.summary if last else "",
        asks=asks,
        change=change,
        redo=redo,
    )
    return Response(body, media_type="text/html")


def _line(entry: Transaction, f: Formats) -> Line:
    when = datetime.fromisoformat(entry.time).astimezone()
    return Line(int(entry.name), f"{f.short_day(when.date())}, {when:%H:%M}", entry.summary, bool(entry.kept))
