"""Where the templates, styles, words and fonts are: beside the checkout, or inside the installed package.

A shop's content folder may hold its own: ``templates/`` as below the shipped templates, and ``messages/``, ``style/`` and
``fonts/`` beside that. `use` names that folder; what stands in it stands above what is shipped. Between the two stand the
files of the ready look that its ``workshop.yaml`` names, in ``templates/looks/NAME``.

Whatever uses a file of the templates folder says so by `note`, also when it holds the file already, so that a build
knows what each page and card was made from.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from pathlib import Path

from passport.records.disk import opening, walking
from passport.records.schema.workshop import READY
from passport.records.yaml import yamltext
from passport.render.faces import known, shelf
from passport.render.untrusted import trust

_PACKAGE = Path(__file__).resolve().parents[2]


@cache
def shipped(name: str) -> Path:
    """The folder ``templates`` or ``content_demo`` that belongs to this installation.

    Raises FileNotFoundError where the installation is damaged.
    """
    for folder in (_PACKAGE / "shipped" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    message = f"This installation lacks its '{name}' folder; install racquet-passport anew."
    raise FileNotFoundError(message)


def templates() -> Path:
    """The shipped templates."""
    return shipped("templates")


def fonts() -> Path:
    """The shipped fonts."""
    return templates() / "fonts"


@dataclass(frozen=True, slots=True)
class Own:
    """A content folder with files of its own that pages and cards are made with, and the marks of those files.

    Equal as long as none of them changes, so that what was made from them may be kept by it.
    """

    content: Path | None = None
    marks: tuple[tuple[str, int, int], ...] = ()
    trusted: bool = False
    """Whether this computer's owner said that its templates may do more than the sandbox lets them."""
    ready: str = ""
    """The ready look that it names, empty for the usual one."""

    @property
    def templates(self) -> tuple[str, ...]:
        """The shop's own templates, by their paths below the content folder."""
        return tuple(name for name, *_ in self.marks if name.startswith("templates/") and name.endswith(".j2"))


MOST_OWN = 400_000
"""Bytes of a file of the shop's own that pages are made with."""
LOOKS = tuple(name for name in READY if name != "weave")
"""The ready looks that have a folder of their own: all but the usual one."""
BESIDE = ("messages", "style", "fonts")
"""Folders of the shop's own files that stand in the content folder itself; the rest is below its ``templates``."""
_held = [Own()]


def use(content: Path | None, ready: str | None = None) -> None:
    """Let the content folder's own templates, words, styles and fonts stand above the shipped ones, or none with None.

    The ready look is the one that its ``workshop.yaml`` names, unless ``ready`` says another. This holds for the whole
    process, and for what it forks; a process that starts anew has to be told again.
    """
    named = ready if ready is not None else _named(content) if content else ""
    _held[0] = _the_one(_own_of(content, named) if content else Own(ready=named))


def _named(content: Path) -> str:
    """The ready look that a content folder's ``workshop.yaml`` names; the usual one where it cannot be read."""
    try:
        text = opening.read_text(content / "workshop.yaml", most=yamltext.LARGEST_FILE, inside=content)
    except (OSError, UnicodeDecodeError):
        return ""
    if not any(name in text for name in LOOKS):
        return ""
    data = yamltext.read(text, "workshop.yaml")[0]
    look = data.get("look") if isinstance(data, dict) else None
    name = look.get("ready") if isinstance(look, dict) else look
    return name.strip() if isinstance(name, str) and name.strip() in LOOKS else ""


def _own_of(content: Path, ready: str) -> Own:
    found = Own(content, tuple(_marks(content)), ready=ready)
    return replace(found, trusted=trust.trusted(content)) if found.templates else found


@lru_cache(maxsize=16)
def _the_one(own: Own) -> Own:
    """Of several that are equal always the same one, which is soon found among what is remembered by it."""
    return own


@contextmanager
def using(content: Path | None, ready: str | None = None) -> Iterator[None]:
    """Like `use`, for the length of a block."""
    before = own()
    use(content, ready)
    try:
        yield
    finally:
        _held[0] = before


def own() -> Own:
    """The shop's own files that are in use."""
    return _held[0]


def _marks(content: Path) -> Iterator[tuple[str, int, int]]:
    for folder in ("templates", *BESIDE):
        for path in walking.files(content, folder, hidden=True):
            if path.is_file():
                found = path.stat()
                yield path.relative_to(content).as_posix(), found.st_mtime_ns, found.st_size


def folders() -> tuple[Path, ...]:
    """Where templates are looked for, in turn: the shop's own ones, those of the ready look, then the shipped ones."""
    content = own().content
    look = look_folder()
    return (*([content / "templates"] if content else []), *([look] if look else []), templates())


def look_folder() -> Path | None:
    """The folder of the ready look in use; None where that is the usual one."""
    return templates() / "looks" / own().ready if own().ready else None


def look_fonts() -> Path | None:
    """The folder of the typefaces of the ready look in use."""
    look = look_folder()
    return look / "fonts" if look else None


def typeface(name: str) -> Path:
    """A shipped typeface's file: that of the ready look in use, else the usual one; it counts as used."""
    note(f"fonts/{name}")
    return _typeface(name, own().ready)


@cache
def _typeface(name: str, ready: str) -> Path:
    """Texts are measured by the thousand, so that it is looked for once."""
    return shelf.placed(name, fonts(), templates() / "looks" / ready / "fonts" if ready else None)


def with_look(*styles: str) -> tuple[str, ...]:
    """The style sheets of a printed document, and after them what the ready look in use has for that kind of document."""
    look, last = look_folder(), styles[-1].partition("/")[0] + "/look.css"
    return (*styles, last) if look and (look / last).is_file() else styles


def sources(name: str) -> tuple[Path, ...]:
    """The files that stand behind a name below the templates folder, the weightiest first; it counts as used."""
    note(name)
    places = [folder / name for folder in folders()]
    content = own().content
    if content and name.partition("/")[0] in BESIDE:
        places.insert(1, content / name)
    return tuple(path for path in places if path.is_file())


def find(name: str) -> Path:
    """The file that stands behind a name below the templates folder: the shop's own one, else the shipped one.

    Raises FileNotFoundError where there is none.
    """
    found = sources(name)
    if not found:
        message = f"There is no '{name}' among the templates."
        raise FileNotFoundError(message)
    return found[0]


def is_own(path: Path) -> bool:
    """Whether a file that pages and cards are made with is the shop's own."""
    content = own().content
    return content is not None and path.is_relative_to(content)


def data(path: Path) -> bytes:
    """The bytes of a file that pages and cards are made with: a shop's own one must stand inside its content folder.

    Raises OSError, `passport.records.disk.opening.NotRead` among it.
    """
    if is_own(path):
        most = known.MOST if path.name in known.NAMES else MOST_OWN
        return opening.read(path, most=most, inside=own().content)
    return opening.read(path)


def text(path: Path) -> str:
    """The text of such a file. Raises OSError and UnicodeDecodeError."""
    return data(path).decode("utf-8-sig").replace("\r\n", "\n")


def typefaces() -> shelf.Shelf:
    """The typefaces at hand: the shipped ones and those that the shop added."""
    return shelf.shelf(fonts(), own().content, look_fonts())


def lent(text: str, language: str, *, pages: bool = False) -> shelf.Lent:
    """What a text takes beside the house's typefaces, in print or on pages; all that may be taken counts as used."""
    styles = [style for style in shelf.STYLES if style.pages] if pages else shelf.STYLES
    found = typefaces().lent(text, styles, pages=pages, language=language)
    if found.pieces or found.missing:
        for name in (*found.asked, *(name for style in styles for name in style.lenders)):
            note(f"fonts/{name}")
    return found


_NOTED: ContextVar[set[str] | None] = ContextVar("noted", default=None)


def note(name: str) -> None:
    """Say that a file of the templates folder is used, by its path below that with forward slashes."""
    names = _NOTED.get()
    if names is not None:
        names.add(name)


@contextmanager
def noted() -> Iterator[set[str]]:
    """Collect the names of all files that are used inside the block; they also count for a block around it."""
    names: set[str] = set()
    token = _NOTED.set(names)
    try:
        yield names
    finally:
        _NOTED.reset(token)
        for name in names:
            note(name)
