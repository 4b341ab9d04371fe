"""Where the templates, styles, words and fonts are: beside the checkout, or inside the installed package.

A shop's content folder may hold its own: ``templates/`` as below the shipped templates, and ``messages/``, ``style/`` and
``fonts/`` beside that. `use` names that folder; what stands in it stands above what is shipped.

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

    @property
    def templates(self) -> tuple[str, ...]:
        """The shop's own templates, by their paths below the content folder."""
        return tuple(name for name, *_ in self.marks if name.startswith("templates/") and name.endswith(".j2"))


MOST_OWN = 400_000
"""Bytes of a file of the shop's own that pages are made with."""
BESIDE = ("messages", "style", "fonts")
"""Folders of the shop's own files that stand in the content folder itself; the rest is below its ``templates``."""
_held = [Own()]


def use(content: Path | None) -> None:
    """Let the content folder's own templates, words, styles and fonts stand above the shipped ones, or none with None.

    This holds for the whole process, and for what it forks; a process that starts anew has to be told again.
    """
    _held[0] = _the_one(_own_of(content) if content else Own())


def _own_of(content: Path) -> Own:
    found = Own(content, tuple(_marks(content)))
    return replace(found, trusted=trust.trusted(content)) if found.templates else found


@lru_cache(maxsize=16)
def _the_one(own: Own) -> Own:
    """Of several that are equal always the same one, which is soon found among what is remembered by it."""
    return own


@contextmanager
def using(content: Path | None) -> Iterator[None]:
    """Like `use`, for the length of a block."""
    before = own()
    use(content)
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
    """Where templates are looked for, in turn: the shop's own ones, then the shipped ones."""
    content = own().content
    return (*([content / "templates"] if content else []), templates())


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
    return shelf.shelf(fonts(), own().content)


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
