"""The site made as it is asked for: nothing is written, and a record that was saved shows at the next look."""

import html
import mimetypes
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from passport.publish.build.watching import Watch
from passport.publish.cache import toolchain
from passport.publish.folder.digest import digest
from passport.publish.folder.listing import listing
from passport.publish.outputs.tasks import SEALABLE, SiteContext, Task, folder_of, made, own_public, site_tasks
from passport.records.faults import Fault, has_errors
from passport.records.load import Content, load
from passport.render.theme import assets
from passport.workshop.gathering.gather import site_facts

Check = Callable[[Content], list[Fault]]
_WATCH = b""""use strict";
let seen = null;
async function look() {
  try {
    const now = await (await fetch("/-state", {cache: "no-store"})).text();
    if (seen !== null && now !== seen) location.reload();
    seen = now;
  } catch { /* the preview was stopped */ }
  setTimeout(look, 400);
}
look();
"""
_PREFIXES = (("setup-", "data"), ("card-", "card"), ("restring-", "reminder"))
_ALONE = {
    "index.html": "home", "404.html": "missing", "robots.txt": "robots",
    "assets/style.css": "style", "assets/other.css": "other-style",
}  # fmt: skip
"""Files that are the only one of their kind."""
_PAGES = ("frame", "frame-too", "player", "player-too", "closed")


@dataclass(frozen=True, slots=True)
class Answer:
    """What a browser gets."""

    status: int
    kind: str
    data: bytes


@dataclass
class Preview:
    """The pages of a content folder as it stands now; safe to ask from several threads.

    ``check`` runs the checks across records; ``cards`` says whether cards can be made.
    """

    root: Path
    check: Check
    cards: bool = True
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _listing: threading.Lock = field(default_factory=threading.Lock)
    _watch: Watch | None = None
    _seen: str = ""
    _state: str = ""
    _tasks: tuple[Task, ...] = ()
    _faults: tuple[Fault, ...] = ()
    _frames: tuple[tuple[str, str, str], ...] = ()

    def state(self) -> str:
        """A text that changes when something in the content folder was saved.

        The folder is listed for it only where something may have changed since the last time: see `watch`.
        """
        with self._listing:
            if self._watch is None or self._watch.changed() or not self._seen:
                self._seen = digest(repr(sorted(listing(self.root).items())))
            return self._seen

    def watch(self) -> Watch:
        """Watch for changes from now on. Use what is returned as a context manager."""
        self._watch = Watch(self.root)
        return self._watch

    def answer(self, path: str, *, at_the_bench: bool = False) -> Answer:
        """What stands at a path of the site; ``at_the_bench`` adds the list of frames at ``/-frames``, and shows the lines of
        records in which faults are: they may be private, and anybody in the same network can ask.
        """
        if path == "/-state":
            return Answer(200, "text/plain", self.state().encode())
        if path == "/-watch.js":
            return Answer(200, "text/javascript", _WATCH)
        with self._lock:
            self._refresh()
            if path == "/-frames" and at_the_bench:
                return self._list()
            if has_errors(self._faults) and not path.startswith(("/assets/", "/fonts/")):
                return self._fault_page(whole=at_the_bench)
            return self._made(path.lstrip("/"), whole=at_the_bench)

    def _refresh(self) -> None:
        state = self.state()
        if state == self._state:
            return
        content, found = load(self.root)
        faults = sorted([*found, *(self.check(content) if content.workshop else [])])
        self._faults = tuple(faults)
        if not has_errors(faults):
            assets.use(self.root)
            site = site_facts(content)
            shop = SiteContext(site.shop, site.pages, "", self.cards, own_public(self.root))
            self._tasks = tuple(site_tasks(site, shop, sorted(toolchain.templates())))
            self._frames = tuple((f.number, f.key, f"{f.player}, {f.label}") for f in site.frames)
        self._state = state

    def _made(self, path: str, *, whole: bool) -> Answer:
        path = path + "index.html" if path == "" or path.endswith("/") else path
        task = next(_tasks_at(path, self._tasks), None)
        missing = task is None
        task = task or next((t for t in self._tasks if t.kind == "missing"), None)
        if task is None:
            return Answer(404, "text/plain; charset=utf-8", b"Nothing here yet.")
        try:
            data = made(task).data
        except Exception as error:
            return self._broken_page(path, error, whole=whole)
        return _answer(404 if missing else 200, "404.html" if missing else path, data)

    def _list(self) -> Answer:
        rows = "".join(
            f'<li><a href="/{key}/">{html.escape(number)} {html.escape(label)}</a></li>'
            for number, key, label in self._frames
        )
        return _answer(
            200, "x.html", _page("All passports", f"<p>Only this computer sees this list.</p><ul>{rows}</ul>")
        )

    def _fault_page(self, *, whole: bool) -> Answer:
        errors = [f for f in self._faults if f.severity == "error"]
        told = (f.text() if whole else f"{Path(f.place.file).name}:{f.place.line}: {f.rule}" for f in errors)
        texts = "".join(f"<pre>{html.escape(text)}</pre>" for text in told)
        title = f"{len(errors)} {'error' if len(errors) == 1 else 'errors'} in the records"
        return _answer(500, "x.html", _page(title, f"<p>Save the record again: this page follows.</p>{texts}"))

    def _broken_page(self, path: str, error: Exception, *, whole: bool) -> Answer:
        said = f"{type(error).__name__}: {error}" if whole else "The reason is told on the workshop's computer."
        body = f"<pre>{html.escape(said)}</pre>"
        return _answer(500, "x.html", _page(f"{path} could not be made", body))


def _tasks_at(path: str, tasks: tuple[Task, ...]) -> Iterator[Task]:
    """The task that makes the file at a path."""
    folder, _, name = path.rpartition("/")
    yield from (t for t in tasks if t.kind == "public" and t.key == path)
    if path in _ALONE:
        yield from (t for t in tasks if t.kind == _ALONE[path])
    elif folder.startswith(("care/", "legal/")) and name == "index.html":
        yield from (t for t in tasks if t.kind == "care" and folder_of(t.key) == folder)
    elif folder in ("assets", "fonts"):
        yield from (t for t in tasks if t.kind == "asset" and t.key == path)
        yield from (t for t in tasks if t.kind == "logo" and made(t).path == path)
    elif name.endswith(".bin"):
        yield from (t for t in tasks if t.key == folder and t.kind in SEALABLE and made(t).path == path)
    else:
        yield from (t for t in tasks if t.key == folder and t.kind in _kinds(name))


def _kinds(name: str) -> tuple[str, ...]:
    if name == "index.html":
        return _PAGES
    if name in ("photo.webp", "photo.jpg"):
        return ("photo",) if name.endswith("webp") else ("photo-jpeg",)
    return tuple(kind for prefix, kind in _PREFIXES if name.startswith(prefix))


def _answer(status: int, path: str, data: bytes) -> Answer:
    kind = mimetypes.guess_type(path)[0] or "application/octet-stream"
    if kind == "text/html":
        # The preview's page may ask its own server whether something was saved; a built page asks nobody.
        data = data.replace(b"connect-src 'none'", b"connect-src 'self'", 1)
        data = data.replace(b"</head>", b'<script src="/-watch.js" defer></script></head>', 1)
        kind = "text/html; charset=utf-8"
    return Answer(status, kind, data)


def _page(title: str, body: str) -> bytes:
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{html.escape(title)}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<link rel="stylesheet" href="/assets/style.css"></head>'
        f'<body class="plain"><main class="prose"><h1>{html.escape(title)}</h1>{body}</main></body></html>'
    ).encode()
