"""Which typefaces are at hand, which of them has a sign, and which lend a text what the house's own two lack.

A style is a typeface of the house at one weight. What it lacks comes from a shipped face that goes with it, else from
one that the shop added (`passport.render.faces.known`), in an order that nothing but these files decides: fonts of the
operating system are never asked. The scripts of China, Japan and Korea share signs that each draws in its own way; which
way is taken follows the language of the page, else what the text is written with.
"""

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Final

from passport.records.disk import opening
from passport.render.faces import known
from passport.render.faces.known import FOLDER, HAN, MOST


@dataclass(frozen=True, slots=True)
class HouseStyle:
    """A typeface of the house at one weight: its files in print and on pages, and the shipped ones that lend to it: first
    its own file of print, which has letters that few names have."""

    family: str
    weight: int
    house: str
    pages: tuple[str, ...]
    lenders: tuple[str, ...]

    @property
    def serif(self) -> bool:
        """Whether it is the headings' typeface."""
        return self.family == "House Display"


STYLES: Final = (
    HouseStyle(
        "House Text",
        400,
        "text-400.ttf",
        ("text-400.woff2", "text-400-more.woff2"),
        ("text-400.ttf", "fira-c-400.ttf"),
    ),
    HouseStyle("House Text", 500, "text-500.ttf", (), ("fira-c-400.ttf",)),
    HouseStyle(
        "House Text",
        600,
        "text-600.ttf",
        ("text-600.woff2", "text-600-more.woff2"),
        ("text-600.ttf", "fira-c-500.ttf"),
    ),
    HouseStyle(
        "House Display",
        600,
        "display-600.ttf",
        ("display-600.woff2", "display-600-more.woff2"),
        ("display-600.ttf", "noto-serif-600.ttf", "fira-c-500.ttf"),
    ),
)
BY_HOUSE: Final = {style.house: style for style in STYLES}


@dataclass(frozen=True, slots=True)
class Face:
    """One face of a file; ``mark`` tells its version, ``root`` is the folder that no link may leave."""

    path: Path
    mark: tuple[int, int]
    index: int = 0
    root: Path | None = None

    def read(self) -> bytes:
        """The bytes of its file."""
        return opening.read(self.path, most=MOST, inside=self.root)


@dataclass(frozen=True, slots=True)
class LentSigns:
    """The signs that a face lends to a style."""

    style: HouseStyle
    face: Face
    signs: frozenset[int]


@dataclass(frozen=True, slots=True)
class Lent:
    """What a text takes beside the house's typefaces, the signs that nobody has, and the names of the files asked for."""

    pieces: tuple[LentSigns, ...] = ()
    missing: frozenset[str] = frozenset()
    asked: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Shelf:
    """The typefaces at hand: the ``shipped`` folder, above it that of the ready look in use, and the shop's own files."""

    shipped: Path
    added: dict[str, Face] = field(default_factory=dict)
    look: Path | None = None

    def house(self, style: HouseStyle, *, pages: bool = False) -> frozenset[int]:
        """The signs that a style has by itself."""
        return _house(self.shipped, self.look, style.pages if pages else (style.house,))

    def shipped_face(self, name: str) -> Face:
        """The face of a shipped file."""
        return _face(placed(name, self.shipped, self.look))

    def lenders(self, style: HouseStyle, sign: str, han: tuple[str, ...]) -> Iterator[Face]:
        """The faces that may have a sign, those that go best with a style first."""
        yield from map(self.shipped_face, style.lenders)
        script = known.script_of(sign)
        for one in known.named(script, bold=style.weight > 500, serif=style.serif):
            face = self.added.get(one.name)
            if face and script == "CJK":
                yield from (Face(face.path, face.mark, HAN.index(language), face.root) for language in han)
            elif face:
                yield face

    def lent(
        self, text: str, styles: Iterable[HouseStyle] = STYLES, *, pages: bool = False, language: str = ""
    ) -> Lent:
        """What a text takes besides, for each of the styles that it may be set in."""
        drawn = {sign for sign in set(text) if not invisible(sign)}
        pieces: list[LentSigns] = []
        missing, asked, han = set[str](), set[str](), tuple[str, ...]()
        for style in styles:
            found: dict[Face, set[int]] = {}
            own = self.house(style, pages=pages)
            for sign in sorted(sign for sign in drawn if ord(sign) not in own):
                han = han or han_order(text, language)
                asked |= {one.name for one in known.named(known.script_of(sign), bold=True, serif=True)}
                face = next((face for face in self.lenders(style, sign, han) if ord(sign) in signs(face)), None)
                if face:
                    found.setdefault(face, set()).add(ord(sign))
                else:
                    missing.add(sign)
            pieces += (LentSigns(style, face, frozenset(codes)) for face, codes in found.items())
        return Lent(tuple(pieces), frozenset(missing), tuple(sorted(asked)))


@lru_cache(maxsize=16)
def _house(shipped: Path, look: Path | None, names: tuple[str, ...]) -> frozenset[int]:
    return frozenset[int]().union(*(signs(_face(placed(name, shipped, look))) for name in names))


def placed(name: str, shipped: Path, look: Path | None) -> Path:
    """Where a shipped file stands: in the folder of the ready look where that has it."""
    return look / name if look and (look / name).is_file() else shipped / name


def invisible(sign: str) -> bool:
    """Whether a sign is never drawn: spaces, what joins or parts its neighbours, choices of a form."""
    return unicodedata.category(sign) in ("Cc", "Cf", "Zs", "Zl", "Zp") or "\ufe00" <= sign <= "\ufe0f"


def shelf(shipped: Path, content: Path | None, look: Path | None = None) -> Shelf:
    """What is at hand for a content folder: of its files only those whose bytes are known."""
    return Shelf(shipped, dict(_added(content)) if content else {}, look)


def _added(content: Path) -> Iterator[tuple[str, Face]]:
    for one in known.KNOWN:
        path = content / FOLDER / one.name
        try:
            face = _face(path, content)
            if _right(face, one.sha256):
                yield one.name, face
        except OSError:
            continue


def _face(path: Path, root: Path | None = None) -> Face:
    found = path.stat()
    return Face(path, (found.st_mtime_ns, found.st_size), root=root)


@lru_cache(maxsize=64)
def _right(face: Face, sha256: str) -> bool:
    one = known.by_bytes(face.read())
    return one is not None and one.sha256 == sha256


@lru_cache(maxsize=64)
def signs(face: Face) -> frozenset[int]:
    """The code points that a face has a glyph for."""
    import io

    from fontTools.ttLib import TTFont

    with TTFont(io.BytesIO(face.read()), fontNumber=face.index, lazy=True) as font:
        return frozenset(font.getBestCmap())


def han_order(text: str, language: str = "") -> tuple[str, ...]:
    """In whose way shared Han signs are drawn, the most fitting first.

    A page in one of these languages decides; else kana or Hangul do; else what the sets of signs of simplified Chinese
    (GB 2312), traditional Chinese (Big5) and Japanese (JIS X 0208) each have alone; else it is simplified Chinese, the way
    of the most.
    """
    tongue = language.replace("_", "-").partition("-")[0]
    names = {unicodedata.name(sign, "").partition(" ")[0] for sign in set(text)}
    shared = "".join(sign for sign in set(text) if "\u4e00" <= sign <= "\u9fff")
    if tongue == "zh":
        first = "zh-Hant" if any(part in language for part in ("Hant", "TW", "HK", "MO")) else "zh-Hans"
    elif tongue in HAN:
        first = tongue
    elif names & {"HIRAGANA", "KATAKANA"}:
        first = "ja"
    elif "HANGUL" in names:
        first = "ko"
    else:
        sets = (("zh-Hans", "gb2312"), ("zh-Hant", "big5"), ("ja", "shift_jis"))
        first = next((way for way, coding in sets if _has(shared, coding)), "zh-Hans")
    return (first, *(way for way in HAN if way != first))


def _has(text: str, coding: str) -> bool:
    try:
        text.encode(coding)
    except UnicodeEncodeError:
        return False
    return True
