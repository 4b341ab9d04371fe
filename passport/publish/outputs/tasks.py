"""What the site is made of: tasks that turn facts into files, each on its own, anywhere.

A task holds all that its files are made from but the program and its templates: the facts of a frame or player, and
from the workshop just what that kind of task shows. So the same task gives the same bytes in any process and on any
computer, and its fingerprint says whether its files are still right.
"""

from base64 import b64encode
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal
from urllib.parse import urlparse

from passport.publish.folder.digest import digest
from passport.records.disk import opening
from passport.records.photofile import MOST_BYTES
from passport.records.publicfiles import FOLDER, public_files, taken
from passport.records.publicfiles import MOST_BYTES as MOST_PUBLIC
from passport.render.theme import assets
from passport.workshop.facts.facts import FrameFacts, PageFacts, PhotoFacts, PlayerFacts, ShopFacts, SiteFacts
from passport.workshop.facts.wire import packed, unpacked

if TYPE_CHECKING:
    from passport.render.pages.pages import Pages

Kind = Literal[
    "home", "missing", "robots", "care", "style", "other-style", "logo", "asset", "closed", "player", "frame", "data",
    "card", "reminder", "photo", "photo-jpeg", "public", "host", "keep", "player-too", "frame-too",
]  # fmt: skip
HERE: frozenset[Kind] = frozenset(
    {"robots", "style", "other-style", "logo", "asset", "photo", "photo-jpeg", "public", "host"}
)
"""Kinds that are only copied or put together, or made from files that only this computer has."""
_CLOSED = ("lost", "retired")
_AT_THE_TOP = ("_headers", ".nojekyll", "kept.js")
"""What stands beside the home page by its own name: the headers of every answer and that files are served as they are, for
hosts that cannot be set up otherwise; and the script that may answer for a passport, which browsers let do so no
further than below its own folder."""


@dataclass(frozen=True, slots=True)
class File:
    """One file of the site; ``path`` is relative, with forward slashes."""

    path: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Context:
    """What a task shows of the workshop; each kind of task is given no more than it shows.

    ``index`` is appended to links to folders, ``root`` is the site's own absolute path, ``cards`` says whether frames
    have cards to link to, ``workshop`` is the shop's name alone.
    """

    shop: ShopFacts | None = None
    notes: tuple[PageFacts, ...] = ()
    index: str = ""
    root: str = ""
    cards: bool = False
    workshop: str = ""


@dataclass(frozen=True, slots=True)
class Task:
    """The making of one file: ``key`` says of what (a key, the name of a page or file), ``label`` tells a person."""

    kind: Kind
    key: str
    label: str
    facts: bytes = b""
    context: bytes = b""

    @property
    def name(self) -> str:
        """What is made, unique on the site."""
        return f"{self.kind} {self.key}"

    @property
    def fingerprint(self) -> str:
        """Of everything that the file is made from but the program and its templates."""
        return digest(self.kind, self.key, self.facts, self.context)


@dataclass(frozen=True, slots=True)
class Made:
    """What came of a task: its file and the templates, styles and fonts that were used, or what went wrong."""

    name: str
    file: File | None
    used: tuple[str, ...] = ()
    error: str = ""


@dataclass(frozen=True, slots=True)
class SiteContext:
    """What all tasks of a site have in common: the workshop, its pages of text, and how the site is built.

    ``public`` are the shop's own files for the site, each path with the fingerprint of its bytes.
    """

    facts: ShopFacts
    pages: tuple[PageFacts, ...] = ()
    index: str = ""
    cards: bool = True
    public: tuple[tuple[str, str], ...] = ()

    def context(self, kind: Kind) -> Context:
        """What a kind of task shows of the workshop."""
        match kind:
            case "robots" | "other-style" | "asset" | "data" | "photo" | "photo-jpeg" | "public" | "host":
                return Context(workshop=self.facts.name if kind == "data" else "")
            case "card" | "reminder" | "style" | "logo":
                return Context(self.facts)
            case "home" | "care":
                return Context(self.facts, self.pages, self.index)
            case "missing":
                root = urlparse(self.facts.address).path.rstrip("/") + "/"
                return Context(self.facts, self._legal, self.index, root)
            case "frame" | "frame-too":
                return Context(self.facts, tuple(map(_titled, self.pages)), self.index, cards=self.cards)
            case "player" | "player-too" | "closed" | "keep":
                return Context(self.facts, self._legal, self.index)

    @property
    def _legal(self) -> tuple[PageFacts, ...]:
        """What every page links to at its head and foot."""
        return tuple(_titled(page) for page in self.pages if page.legal or page.home)


def _titled(page: PageFacts) -> PageFacts:
    """A page of text with its title alone, which is all that a link needs."""
    first = page.text.strip().partition("\n")[0]
    return PageFacts(page.slug, first if first.startswith("# ") else "")


def site_tasks(site: SiteFacts, shop: SiteContext, names: Sequence[str]) -> Iterator[Task]:
    """Everything that a site is made of; ``names`` are the files of the templates folder."""
    players, frames = (player.language for player in site.players), (frame.language for frame in site.frames)
    yield from shop_tasks(shop, (), names, (site.shop.language, *players, *frames))
    for player in site.players:
        yield from player_tasks(player, shop)
    for frame in site.frames:
        yield from frame_tasks(frame, shop)


def shop_tasks(shop: SiteContext, closed: Sequence[str], names: Sequence[str], spoken: Sequence[str]) -> Iterator[Task]:
    """The tasks that are neither a player's nor a frame's; ``names`` are the files of the templates folder, ``spoken`` the
    languages that somebody reads on the site."""
    from passport.render.pages.lending import shared_files
    from passport.render.pages.tongues import told_in
    from passport.render.theme.words import shown_language

    label = "the workshop's pages"
    yield from (_task(kind, "", label, shop) for kind in ("home", "missing", "robots", "style", "other-style"))
    if shop.facts.logo:
        yield _task("logo", shop.facts.logo, label, shop)
    # The home page in the workshop's own language stands at the top, those in others beside the care notes.
    spoken_here = shown_language(shop.facts.language)
    yield from (
        _task("care", page.slug, label, shop)
        for page in shop.pages
        if not page.home or shown_language(told_in(page.slug, spoken_here)[1]) != spoken_here
    )
    public = (n for n in names if n.startswith("assets/") or (n.startswith("fonts/") and n.endswith(".woff2")))
    read = (*spoken, *(told_in(page.slug, spoken_here)[1] for page in shop.pages))
    yield from (_task("asset", name, label, shop) for name in (*public, *shared_files(read)))
    yield from (
        _task("public", path, f"'{path}' of the workshop's own files", shop, sum_.encode())
        for path, sum_ in shop.public
    )
    own = {path for path, _ in shop.public}
    yield from (_task("host", name, label, shop) for name in _AT_THE_TOP if name not in own)
    if not shop.index:  # what a browser is to keep comes from a host, never from the disk
        yield from (_task("keep", language, label, shop) for language in sorted(set(map(shown_language, spoken))))
    yield from (_task("closed", key, "closed addresses", shop) for key in closed)


def player_tasks(player: PlayerFacts, shop: SiteContext) -> Iterator[Task]:
    """The page of a player, and the same in the workshop's language where that is another."""
    from passport.render.pages.tongues import second_language

    facts, label = packed(player), f"the page of {player.name}"
    yield _task("player", player.key, label, shop, facts)
    if other := second_language(player.language, shop.facts):
        yield _task("player-too", f"{player.key}/{other}", label, shop, facts)


def frame_tasks(frame: FrameFacts, shop: SiteContext) -> Iterator[Task]:
    """The page of a frame, the same in the workshop's language where that is another, and what it offers to keep."""
    from passport.render.pages.tongues import second_language

    facts, label = packed(frame), f"passport {frame.number}"
    if not frame.sealed and (other := second_language(frame.language, shop.facts)):
        yield _task("frame-too", f"{frame.key}/{other}", label, shop, facts)
    for kind in ("frame", *kinds_of(frame, cards=shop.cards)):
        yield _task(kind, frame.key, label, shop, facts)
    if frame.photo and not _closed(frame):
        for kind in _PHOTOS:
            yield _task(kind, frame.key, f"the photo of {frame.number}", shop, packed(frame.photo))


def kinds_of(frame: FrameFacts, *, cards: bool) -> Iterator[Kind]:
    """What there is of a frame beside its page."""
    if _closed(frame):
        return
    yield "data"
    if cards:
        yield "card"
    if frame.due and frame.stringing and frame.status == "active":
        yield "reminder"


def _closed(frame: FrameFacts) -> bool:
    """Whether the page of a frame says only that."""
    return frame.status in _CLOSED or frame.successor is not None


def _task(kind: Kind, key: str, label: str, shop: SiteContext, facts: bytes = b"") -> Task:
    return Task(kind, key, label, facts, context_of(shop, kind))


@lru_cache(maxsize=64)
def context_of(shop: SiteContext, kind: Kind) -> bytes:
    """The packed context of a kind of task."""
    return packed(shop.context(kind))


def perform(task: Task) -> Made:
    """Make the file of a task; whatever goes wrong is in the result."""
    with assets.noted() as used:
        try:
            file = made(task)
        except Exception as error:  # one record's trouble must not stop the others
            return Made(task.name, None, error=f"{type(error).__name__}: {error}")
    return Made(task.name, file, tuple(sorted(used)))


def made(task: Task) -> File:
    """The file of a task. Raises whatever goes wrong."""
    context = _context(task.context)
    match task.kind:
        case "robots" | "style" | "other-style" | "logo" | "asset" | "photo" | "photo-jpeg" | "public" | "host":
            return _copied(task, context)
        case "home" | "missing" | "care" | "closed" | "player" | "player-too" | "keep":
            return _page(task, context)
        case _:
            return _frame_file(task, _frame(task.facts), context)


def _copied(task: Task, context: Context) -> File:
    match task.kind:
        case "robots" | "host":
            return _for_machines(task)
        case "public":
            return File(task.key, _public_file(task.key))
        case "photo" | "photo-jpeg":
            return _photo(task)
        case _:
            return _look(task, context)


def _for_machines(task: Task) -> File:
    if task.kind == "robots":
        # Passports are kept out of search engines by their own noindex, which a crawler must be able to read.
        return File("robots.txt", b"User-agent: *\nAllow: /\n")
    return File(task.key, b"" if task.key == ".nojekyll" else _at_the_top(task.key))


def _at_the_top(name: str) -> bytes:
    from passport.render.theme.look import copied

    return copied(f"hosting/{name}")


def _look(task: Task, context: Context) -> File:
    from passport.render.theme import look  # late, as all that makes something: listing tasks costs nothing

    match task.kind:
        case "style":
            return File("assets/style.css", look.stylesheet(_shop(context)))
        case "other-style":
            return File("assets/other.css", look.other_stylesheet())
        case "logo":
            found = look.own_logo(_shop(context))
            assert found, "a workshop without a logo has no such task"
            return File(f"assets/{found.name}", found.data)
        case _:
            return File(task.key, _asset(task.key))


def _asset(path: str) -> bytes:
    """A file of the templates folder, or one of the typefaces that a language's words are lent."""
    from passport.render.pages.lending import shared_file
    from passport.render.theme.look import copied

    lent = shared_file(path)
    return copied(path) if lent is None else lent


def own_public(root: Path) -> tuple[tuple[str, str], ...]:
    """The shop's own files for its site, each path with the fingerprint of its bytes. Raises OSError."""
    return tuple((path, digest(_read_public(root, file))) for path, file in public_files(root) if not taken(path))


def _public_file(path: str) -> bytes:
    content = assets.own().content
    assert content, "the files lie in the content folder, which whoever builds has named"
    return _read_public(content, content / FOLDER / path)


def _read_public(root: Path, file: Path) -> bytes:
    return opening.read(file, most=MOST_PUBLIC, inside=root / FOLDER)


def folder_of(slug: str) -> str:
    """Where a page of shop text stands on the site."""
    return f"{'legal' if PageFacts(slug, '').legal else 'care'}/{slug}"


def path_of(frame: FrameFacts, kind: Kind) -> str:
    """Where a file of a frame stands on the site; the name of a sealed one does not tell what it is."""
    if kind == "frame":
        return f"{frame.key}/index.html"
    if not frame.sealed:
        return f"{frame.key}/{_NAMES[kind].format(frame.number)}"
    from passport.render.pages.seal import sealed_name

    return f"{frame.key}/{sealed_name(frame.secret, kind)}"


def _page(task: Task, context: Context) -> File:
    pages = _pages(task.context, assets.own())
    match task.kind:
        case "home":
            return File("index.html", pages.home())
        case "missing":
            return File("404.html", pages.missing(context.root))
        case "care":
            return File(f"{folder_of(task.key)}/index.html", pages.care(task.key))
        case "closed":
            return File(f"{task.key}/index.html", pages.closed())
        case "keep":
            return File(f"keep/{task.key}/index.html", pages.keep(task.key))
        case _:
            player, too = unpacked(PlayerFacts, task.facts), task.kind == "player-too"
            return File(f"{task.key}/index.html", pages.player(player, too=too))


def _frame_file(task: Task, frame: FrameFacts, context: Context) -> File:
    if frame.sealed and not frame.secret:
        raise ValueError(f"passport {frame.number} is sealed, but has no secret")
    if task.kind == "frame":
        return _frame_page(task, frame, context)
    if task.kind == "frame-too":
        data = _pages(task.context, assets.own()).frame(frame, _downloads(frame, cards=context.cards), too=True)
        return File(f"{task.key}/index.html", data)
    match task.kind:
        case "data":
            from passport.render.pages.data import setup_json  # late, so that listing tasks costs nothing

            data = setup_json(frame, context.workshop)
        case "card":
            data = _card_pdf(frame, _shop(context))
        case _:
            data = _reminder(frame, _shop(context))
    path = path_of(frame, task.kind)
    if frame.sealed:
        from passport.render.pages.seal import sealed

        data = sealed(data, _about(task.kind, frame.number), frame.secret, path)
    return File(path, data)


def _frame_page(task: Task, frame: FrameFacts, context: Context) -> File:
    pages, path = _pages(task.context, assets.own()), path_of(frame, "frame")
    data = pages.frame(frame, _downloads(frame, cards=context.cards))
    if frame.sealed:
        from passport.render.pages.seal import PAGE_BLOCK, sealed, sealed_name, version_told

        beside = (*kinds_of(frame, cards=context.cards), *(_PHOTOS if frame.photo and not _closed(frame) else ()))
        files = {_NAMES[kind].format(frame.number): sealed_name(frame.secret, kind) for kind in beside}
        told = version_told(data, None if _closed(frame) else frame.updated, frame.language)
        box = sealed(data, {"type": _TYPES["frame"], "files": files, **told}, frame.secret, path, PAGE_BLOCK)
        data = pages.sealed(frame.key, b64encode(box).decode())
    return File(path, data)


def _about(kind: Kind, number: str) -> dict[str, object]:
    """What a sealed file says of itself to the reader who opens it."""
    return {"name": _NAMES[kind].format(number), "type": _TYPES[kind]}


def _photo(task: Task) -> File:
    from passport.render.pages.photos import prepared

    content, facts = assets.own().content, unpacked(PhotoFacts, task.facts)
    assert content, "photos lie in the content folder, which the person who builds has named"
    made = prepared(opening.read(content / "photos" / facts.name, most=MOST_BYTES, inside=content / "photos"))
    data, name = made.webp if task.kind == "photo" else made.jpeg, _NAMES[task.kind]
    if facts.secret:
        from passport.render.pages.seal import sealed, sealed_name

        name = sealed_name(facts.secret, task.kind)
        data = sealed(data, _about(task.kind, ""), facts.secret, f"{task.key}/{name}")
    return File(f"{task.key}/{name}", data)


_PHOTOS: tuple[Kind, ...] = ("photo", "photo-jpeg")
_NAMES: Mapping[Kind, str] = {
    "data": "setup-{}.json",
    "card": "card-{}.pdf",
    "reminder": "restring-{}.ics",
    "photo": "photo.webp",
    "photo-jpeg": "photo.jpg",
}
SEALABLE: frozenset[Kind] = frozenset(_NAMES)
"""Kinds of files beside a frame's page."""
_TYPES: Mapping[Kind, str] = {
    "frame": "text/html",
    "data": "application/json",
    "card": "application/pdf",
    "reminder": "text/calendar",
    "photo": "image/webp",
    "photo-jpeg": "image/jpeg",
}
_LINKS: Mapping[Kind, str] = {"data": "setup", "card": "card", "reminder": "reminder"}


def _downloads(frame: FrameFacts, *, cards: bool) -> dict[str, str]:
    """The names of the files beside a frame's page, as the page calls them."""
    return {_LINKS[kind]: _NAMES[kind].format(frame.number) for kind in kinds_of(frame, cards=cards)}


@lru_cache(maxsize=32)
def _context(data: bytes) -> Context:
    return unpacked(Context, data) if data else Context()


@lru_cache(maxsize=8)
def _frame(data: bytes) -> FrameFacts:
    return unpacked(FrameFacts, data)


@lru_cache(maxsize=32)
def _pages(data: bytes, own: assets.Own) -> "Pages":
    """The pages of a context, with the shop's own files as they are now."""
    from passport.render.pages.pages import Pages

    context = _context(data)
    return Pages(_shop(context), context.notes, assets.folders(), context.index)


def _shop(context: Context) -> ShopFacts:
    assert context.shop, "only what is copied needs no workshop"
    return context.shop


def _card_pdf(frame: FrameFacts, shop: ShopFacts) -> bytes:
    from passport.render.print.card import card_pdf  # late: pages alone need no PDF library

    return card_pdf(frame, shop)


def _reminder(frame: FrameFacts, shop: ShopFacts) -> bytes:
    from passport.render.pages.calendar import restring_reminder

    return restring_reminder(frame, shop)
