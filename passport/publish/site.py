"""The whole public site: which files it is made of, and writing them."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from urllib.parse import urlparse

from passport.bench.facts import FrameFacts, PlayerFacts, ShopFacts, SiteFacts
from passport.publish.swap import replacing
from passport.render import assets
from passport.render.calendar import reminder
from passport.render.data import setup_json
from passport.render.files import File
from passport.render.formats import Formats
from passport.render.pages import Pages

Task = tuple[str, Callable[[], list[File]]]
"""What is being made, in words, and the making of it."""
Progress = Callable[[str, int, int], None]
Card = Callable[[FrameFacts, ShopFacts], bytes]
STYLES = ("fonts-web.css", "tokens.css", "drawing.css", "pages.css")
_CLOSED = ("lost", "retired")


@dataclass(frozen=True, slots=True)
class Built:
    """What a build made: counts and bytes."""

    frames: int
    players: int
    cards: int
    files: int
    size: int


def build(
    site: SiteFacts,
    target: Path,
    *,
    card: Card | None,
    index: str,
    progress: Progress,
    closed: Sequence[str] = (),
) -> Built:
    """Write the site to ``target`` in place of the old one.

    ``card`` makes a frame's PDF card, or is None where cards cannot be made; ``index`` is appended to links to folders;
    ``closed`` are keys whose addresses say no more than that they are closed.
    Raises `passport.publish.swap.NotOurs` for a foreign folder, and OSError; then ``target`` is untouched.
    """
    tasks = list(_tasks(site, card, index, closed))
    count = size = cards = 0
    with replacing(target) as folder:
        for done, (name, make) in enumerate(tasks):
            progress(name, done, len(tasks))
            for file in make():
                _write(folder, file)
                count, size, cards = count + 1, size + len(file.data), cards + file.path.endswith(".pdf")
        progress("", len(tasks), len(tasks))
    return Built(len(site.frames), len(site.players), cards, count, size)


def _write(folder: Path, file: File) -> None:
    path = folder / file.path
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(file.data)


def _tasks(site: SiteFacts, card: Card | None, index: str, closed: Sequence[str]) -> Iterator[Task]:
    pages = Pages(site.shop, site.pages, (assets.templates(),), index)
    root = urlparse(site.shop.address).path.rstrip("/") + "/"
    yield "the workshop's pages", partial(_shop_files, pages, root)
    for player in site.players:
        yield f"the page of {player.name}", partial(_player_files, player, pages)
    for frame in site.frames:
        yield f"passport {frame.number}", partial(_frame_files, frame, site.shop, pages, card)
    if closed:
        yield "closed addresses", partial(_closed_files, closed, pages)


def _closed_files(keys: Sequence[str], pages: Pages) -> list[File]:
    return [File(f"{key}/index.html", pages.closed()) for key in keys]


def _shop_files(pages: Pages, root: str) -> list[File]:
    care = (File(f"care/{slug}/index.html", pages.care(slug)) for slug in pages.care_slugs())
    return [
        File("index.html", pages.home()),
        File("404.html", pages.missing(root)),
        # Passports are kept out of search engines by their own noindex, which a crawler must be able to read.
        File("robots.txt", b"User-agent: *\nAllow: /\n"),
        *care,
        *_asset_files(),
    ]


def _player_files(player: PlayerFacts, pages: Pages) -> list[File]:
    return [File(f"{player.key}/index.html", pages.player(player))]


def _asset_files() -> Iterator[File]:
    folder = assets.templates()
    style = "\n".join((folder / "style" / name).read_text(encoding="utf-8") for name in STYLES)
    yield File("assets/style.css", style.encode())
    for path in sorted((folder / "assets").iterdir()):
        yield File(f"assets/{path.name}", path.read_bytes())
    for path in sorted(assets.fonts().glob("*.woff2")):
        yield File(f"fonts/{path.name}", path.read_bytes())


def _frame_files(frame: FrameFacts, shop: ShopFacts, pages: Pages, card: Card | None) -> list[File]:
    names: dict[str, str] = {}
    files: list[File] = []
    if frame.status not in _CLOSED and not frame.successor:
        for kind, name, data in _downloads(frame, shop, card):
            names[kind] = name
            files.append(File(f"{frame.key}/{name}", data))
    return [File(f"{frame.key}/index.html", pages.frame(frame, names)), *files]


def _downloads(frame: FrameFacts, shop: ShopFacts, card: Card | None) -> Iterator[tuple[str, str, bytes]]:
    number = frame.number
    yield "setup", f"setup-{number}.json", setup_json(frame)
    if card:
        yield "card", f"card-{number}.pdf", card(frame, shop)
    if frame.due and frame.stringing and frame.status == "active":
        yield "reminder", f"restring-{number}.ics", _reminder(frame, shop)


def _reminder(frame: FrameFacts, shop: ShopFacts) -> bytes:
    assert frame.due and frame.stringing
    f = Formats(frame.language)
    host = urlparse(shop.address).hostname or "passport"
    return reminder(
        uid=f"{frame.key.lower()}-restring@{host}",
        day=frame.due,
        stamp=frame.stringing.date,
        summary=f"Restring {frame.label} ({frame.number})",
        description=f"Strung on {f.day(frame.stringing.date)} by {shop.name}. {shop.phone} {shop.email}".strip(),
        url=f"{shop.address}/{frame.key}/",
    )
