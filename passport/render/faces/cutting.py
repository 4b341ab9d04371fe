"""What is cut out of a typeface: the signs that one page or piece shows, with all that shapes them, and always the same."""

import base64
import io
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from passport.render.faces.shelf import Face, LentSigns, signs

MOST: Final = 20_000
"""Bytes of rules that may have a typeface of their own for headings."""
_BETWEEN = frozenset((0x20, 0xA0, 0x200C, 0x200D, 0x25CC))
"""Spaces, which are set in the typeface of the letters beside them, what joins letters or parts them, and the ring that
carries a mark alone."""
_KHMER = 0x17C1
"""The vowel that HarfBuzz puts before a letter for those Khmer vowels that surround it."""


@lru_cache(maxsize=256)
def cut(face: Face, codes: frozenset[int], flavor: str = "") -> bytes:
    """A face with the glyphs that some code points need, as OpenType, or as WOFF2 with that ``flavor``.

    HarfBuzz cuts it, and follows the rules of shaping to every glyph that these signs can become.
    """
    import uharfbuzz

    wanted, have = uharfbuzz.SubsetInput(), signs(face)
    wanted.sets(uharfbuzz.SubsetInputSets.UNICODE).update((codes | _BETWEEN | _parts(codes)) & have)
    wanted.flags = uharfbuzz.SubsetFlags.NO_HINTING | uharfbuzz.SubsetFlags.NOTDEF_OUTLINE
    data: bytes = uharfbuzz.subset(uharfbuzz.Face(face.read(), face.index), wanted).blob.data
    return _woff2(data) if flavor == "woff2" else data


def _parts(codes: Iterable[int]) -> set[int]:
    """What signs are taken apart into when they are shaped: a vowel that surrounds its letter, a letter with its mark."""
    # A Hangul syllable is drawn whole.
    shaped = (chr(code) for code in codes if not 0xAC00 <= code <= 0xD7A3)
    parts = {ord(part) for sign in shaped for part in unicodedata.normalize("NFKD", sign)}
    return parts | {_KHMER} if any(0x1780 <= code <= 0x17FF for code in codes) else parts


def _woff2(data: bytes) -> bytes:
    from fontTools.ttLib import TTFont

    out = io.BytesIO()
    with TTFont(io.BytesIO(data), recalcTimestamp=False) as font:
        font.flavor = "woff2"
        font.save(out)
    return out.getvalue()


def rules(pieces: Iterable[LentSigns]) -> str:
    """The rules of style that lend pieces to the house's typefaces on a page, which holds them itself.

    Where they would make it much heavier, headings have added typefaces' signs from the text's typeface, as
    ``templates/style/tokens.css`` says.
    """
    written = {piece: _rule(piece) for piece in pieces}
    if sum(map(len, written.values())) > MOST:
        written = {piece: rule for piece, rule in written.items() if not (piece.style.serif and piece.face.root)}
    return "".join(written.values())


def _rule(piece: LentSigns) -> str:
    data = base64.b64encode(cut(piece.face, piece.signs, "woff2")).decode()
    return (
        f'@font-face{{font-family:"{piece.style.family}";font-weight:{piece.style.weight};'
        f"src:url(data:font/woff2;base64,{data}) format('woff2');unicode-range:{ranges(piece.signs)}}}"
    )


def ranges(codes: Iterable[int]) -> str:
    """Code points as CSS writes them."""
    return ",".join(f"U+{code:X}" for code in sorted(codes))
