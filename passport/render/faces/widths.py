"""How wide runs of signs are that other typefaces lend, shaped by HarfBuzz as they are when they are set."""

from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING

from passport.render.faces.shelf import Face, HouseStyle, Shelf, han_order, invisible, signs

if TYPE_CHECKING:
    from uharfbuzz import Font


def runs(text: str, style: HouseStyle, shelf: Shelf) -> Iterator[tuple[str, Face | None]]:
    """The text in runs of signs of one lending face, or of none where the house has the sign or nobody has it.

    What is never drawn stays with the sign before it.
    """
    own, han = shelf.house(style), han_order(text)
    run, at = "", None
    for sign in text:
        face = None
        if ord(sign) not in own and not invisible(sign):
            face = next((face for face in shelf.lenders(style, sign, han) if ord(sign) in signs(face)), None)
        if run and face != at and not (invisible(sign) and ord(sign) not in own):
            yield run, at
            run = ""
        if not run:
            at = face
        run += sign
    if run:
        yield run, at


@lru_cache(maxsize=4096)
def advance(run: str, face: Face) -> float:
    """How wide a run is in em."""
    import uharfbuzz

    font, buffer = _font(face), uharfbuzz.Buffer()
    buffer.add_str(run)
    buffer.guess_segment_properties()
    uharfbuzz.shape(font, buffer)
    return float(sum(position.x_advance for position in buffer.glyph_positions) / font.face.upem)


@lru_cache(maxsize=4096)
def outline(run: str, face: Face, *, backwards: bool) -> tuple[str, float]:
    """A run's outlines as SVG path data, one unit an em and down positive, and how wide it is."""
    import uharfbuzz
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen

    font, buffer = _font(face), uharfbuzz.Buffer()
    buffer.add_str(run)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if backwards else "ltr"
    uharfbuzz.shape(font, buffer)
    em, at = font.face.upem, 0.0
    pen = SVGPathPen(None, ntos=lambda number: f"{number:.4f}".rstrip("0").rstrip("."))
    for glyph, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        moved = ((at + place.x_offset) / em, -place.y_offset / em)
        font.draw_glyph_with_pen(glyph.codepoint, TransformPen(pen, (1 / em, 0, 0, -1 / em, *moved)))
        at += place.x_advance
    return pen.getCommands(), at / em


@lru_cache(maxsize=32)
def _font(face: Face) -> "Font":
    from uharfbuzz import Blob, Font
    from uharfbuzz import Face as Shape

    return Font(Shape(Blob(face.read()), face.index))
