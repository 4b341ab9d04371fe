"""What other typefaces lend to a page: the signs of its language's own words in files that all pages of that language
share, other signs, of which names have few, inside the page itself.

Of scripts with hundreds of signs the words alone would weigh more than the page. A file has the signs of all words of the
language, so it tells nothing of what stands on a sealed page; and because headings and labels mix words with names,
names in the same script have the same typeface there.
"""

from base64 import b64encode
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from hashlib import sha256
from typing import Final

from passport.render.faces import cutting, known
from passport.render.faces.shelf import STYLES, LentSigns
from passport.render.theme import assets
from passport.render.theme.words import shown_language, signs_of

FAMILY: Final = "Near Text"
"""Stands behind both typefaces of the house in ``templates/style/tokens.css``."""
_ONE_WEIGHT: Final = "CJK"
"""The script whose files are so large that bold is left to the browser."""


@dataclass(frozen=True, slots=True)
class SharedSigns:
    """What the words of a language are lent, a piece for each of its files, and all that they were worked out from."""

    language: str = ""
    pieces: tuple[LentSigns, ...] = ()
    used: tuple[str, ...] = ()

    @property
    def signs(self) -> frozenset[int]:
        """The signs that the files have."""
        return frozenset[int]().union(*(piece.signs for piece in self.pieces))

    @property
    def style(self) -> str:
        """The style sheet that names the files."""
        return f"assets/words-{self.language}.css"

    @property
    def files(self) -> dict[str, LentSigns]:
        """The files, by their paths on the site."""
        return {f"fonts/words-{self.language}-{i}.woff2": piece for i, piece in enumerate(self.pieces)}

    def takes(self, piece: LentSigns) -> bool:
        """Whether a piece that a page is lent goes with the files: it is of one of their typefaces."""
        return any((piece.face, piece.style.weight) == (own.face, own.style.weight) for own in self.pieces)

    def rules(self) -> str:
        """The rules of the style sheet."""
        return "".join(
            f'@font-face{{font-family:"{FAMILY}";font-weight:{piece.style.weight};font-display:swap;'
            f"src:url(../{path}) format('woff2');unicode-range:{cutting.ranges(piece.signs)}}}\n"
            for path, piece in self.files.items()
        )


def shared_by(language: str) -> SharedSigns:
    """What the words of a reader's language are lent by typefaces that the shop added; it counts as used."""
    found = _shared_by(shown_language(language), assets.own())
    for name in found.used:
        assets.note(name)
    return found


@lru_cache(maxsize=32)
def _shared_by(language: str, _: assets.Own) -> SharedSigns:
    with assets.noted() as used:
        signs = signs_of(language)
        lent = assets.lent(signs, language, pages=True).pieces if signs else ()
    pieces = tuple(piece for piece in lent if piece.face.root and not piece.style.serif and _wanted(piece))
    return SharedSigns(language, pieces, tuple(sorted(used)) if pieces else ())


def _wanted(piece: LentSigns) -> bool:
    scripts = {known.script_of(chr(code)) for code in piece.signs}
    return piece.style.weight == STYLES[0].weight or _ONE_WEIGHT not in scripts


def shared_files(languages: Iterable[str]) -> Iterator[str]:
    """The paths of the files that words of some languages need on the site, and of their style sheets."""
    for shown in sorted({shown_language(language) for language in languages}):
        shared = shared_by(shown)
        if shared.pieces:
            yield shared.style
            yield from shared.files


def shared_file(path: str) -> bytes | None:
    """The bytes of one of those; None for any other path."""
    folder, _, name = path.partition("/words-")
    language = name.partition(".")[0] if folder == "assets" else name.rpartition("-")[0]
    shared = shared_by(language) if name else SharedSigns()
    if path == shared.style:
        return shared.rules().encode()
    piece = shared.files.get(path)
    return cutting.cut(piece.face, piece.signs, "woff2") if piece else None


def with_lent(page: str, language: str, root: str) -> str:
    """A page with what other typefaces lend to the house's, where it has a sign that those lack.

    It holds the few signs that no words of its language have itself: a file beside it would tell of a sealed page what
    names stand on it. Its policy allows these rules alone, by their sum (W3C Content Security Policy Level 3, hash
    sources). ``root`` leads to the site's top.
    """
    shared = shared_by(language)
    own = "".join(sign for sign in set(page) if ord(sign) not in shared.signs)
    rules = cutting.rules(_fitting(assets.lent(own, language, pages=True).pieces, shared))
    if rules:
        sum_ = b64encode(sha256(rules.encode()).digest()).decode()
        page = page.replace(
            "style-src 'self'; font-src 'self'", f"style-src 'self' 'sha256-{sum_}'; font-src 'self' data:", 1
        )
        page = page.replace("</head>", f"<style>{rules}</style>\n</head>", 1)
    if shared.pieces:
        page = page.replace("</head>", f'<link rel="stylesheet" href="{root}{shared.style}">\n</head>', 1)
    return page


def _fitting(pieces: tuple[LentSigns, ...], shared: SharedSigns) -> Iterator[LentSigns]:
    """The pieces of a page; those in a script of its language's words are in the typeface that the words have."""
    scripts = {known.script_of(chr(code)) for piece in shared.pieces for code in piece.signs} - {""}
    for piece in pieces:
        if not piece.face.root or not scripts & {known.script_of(chr(code)) for code in piece.signs}:
            yield piece
        elif shared.takes(piece):
            yield replace(piece, style=replace(piece.style, family=FAMILY))
