"""How wide a line of text runs in a shipped typeface, shaped by HarfBuzz as a browser shapes it."""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from passport.records.disk import opening
from passport.render.theme.assets import typeface

if TYPE_CHECKING:
    from uharfbuzz import Font

_FEATURES = {"tnum": True}
"""What ``templates/style/drawing.css`` asks for: figures of one width."""


def shaped_width(content: str, name: str) -> float:
    """The advance of one line in em, kerned, in the typeface of that file; a sign that it lacks is its empty box."""
    return _shaped_width(content, typeface(name))


@cache
def _shaped_width(content: str, path: Path) -> float:
    import uharfbuzz

    font, buffer = _font(path), uharfbuzz.Buffer()
    buffer.add_str(content)
    buffer.guess_segment_properties()
    uharfbuzz.shape(font, buffer, _FEATURES)
    advances = sum(position.x_advance for position in buffer.glyph_positions)
    return float(advances / font.face.upem)


@cache
def _font(path: Path) -> "Font":
    from uharfbuzz import Blob, Face, Font

    return Font(Face(Blob(opening.read(path))))
