"""What is cut out of a typeface: the signs that one page or piece shows, with all that shapes them, and always the same."""

import base64
import io
from collections.abc import Iterable
from functools import lru_cache

from passport.render.faces.shelf import Face, Piece, signs

_BETWEEN = frozenset((0x20, 0xA0, 0x200C, 0x200D, 0x25CC))
"""Spaces, which are set in the typeface of the letters beside them, what joins letters or parts them, and the ring that
carries a mark alone."""


@lru_cache(maxsize=256)
def cut(face: Face, codes: frozenset[int], flavor: str = "") -> bytes:
    """A face with the glyphs that some code points need, as OpenType, or as WOFF2 with that ``flavor``.

    HarfBuzz cuts it, and follows the rules of shaping to every glyph that these signs can become.
    """
    import uharfbuzz

    wanted = uharfbuzz.SubsetInput()
    wanted.sets(uharfbuzz.SubsetInputSets.UNICODE).update(codes | (_BETWEEN & signs(face)))
    wanted.flags = uharfbuzz.SubsetFlags.NO_HINTING | uharfbuzz.SubsetFlags.NOTDEF_OUTLINE
    data: bytes = uharfbuzz.subset(uharfbuzz.Face(face.read(), face.index), wanted).blob.data
    return _woff2(data) if flavor == "woff2" else data


def _woff2(data: bytes) -> bytes:
    from fontTools.ttLib import TTFont

    out = io.BytesIO()
    with TTFont(io.BytesIO(data), recalcTimestamp=False) as font:
        font.flavor = "woff2"
        font.save(out)
    return out.getvalue()


def rules(pieces: Iterable[Piece]) -> str:
    """The rules of style that lend pieces to the house's typefaces on a page, which holds them itself."""
    found = []
    for piece in pieces:
        data = base64.b64encode(cut(piece.face, piece.signs, "woff2")).decode()
        found.append(
            f'@font-face{{font-family:"{piece.style.family}";font-weight:{piece.style.weight};'
            f"src:url(data:font/woff2;base64,{data}) format('woff2');unicode-range:{ranges(piece.signs)}}}"
        )
    return "".join(found)


def ranges(codes: Iterable[int]) -> str:
    """Code points as CSS writes them."""
    return ",".join(f"U+{code:X}" for code in sorted(codes))
