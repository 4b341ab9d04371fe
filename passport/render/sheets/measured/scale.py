"""What the parts of a bench sheet's drawing share: its colours, its scale, words and numbers on it.

Coordinates are those of `passport.physics.geometry`; what is read rather than measured is sized in printed mm.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from passport.physics.geometry import RacquetShape
from passport.render.drawing.fitted import DrawnPart
from passport.render.drawing.svg import num, nums, text
from passport.render.theme.palette import LIGHT, Paint
from passport.render.theme.textfit import MM_PER_PT, text_width

BENCH: Final = replace(
    LIGHT, ground="#f1f4f4", sheet="#ffffff", band="#dbe3e4", hair="#b9c5c8", rule="#5d7177", ink="#0b1c22",
    soft="#33474e", petrol="#0b1c22", plum="#0b1c22",
)  # fmt: skip
"""Colours of a bench sheet: all text and lines are dark enough for a black laser printer."""
DRAWN: Final = replace(
    BENCH, frame="#cdd6d9", weave="#aab8bc", petrol="#c3ced1", plum="#c3ced1", fitted="#0b1c22", on_ball="#0b1c22",
    ground="#ffffff",
)  # fmt: skip
"""The racquet itself: light grey, so that what is fitted stands out black."""

Point = tuple[float, float]

SIZE_PT: Final = 7.25
"""Size of the words on the drawing, pt."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """What is drawn: the pieces by `number_pieces`, each with the words that stand beside it for each hour or place."""

    shape: RacquetShape
    pieces: Sequence[DrawnPart]
    balance: float | None = None
    balance_text: str = ""
    axis: float = 100.0
    axis_text: str = ""
    ruler_text: str = ""
    tip_text: str = ""


@dataclass(frozen=True, slots=True)
class Scale:
    """``unit`` is one printed mm in the racquet's mm; sizes that are read hang on it."""

    unit: float

    @property
    def size(self) -> float:
        """Height of the words."""
        return SIZE_PT * MM_PER_PT * self.unit

    @property
    def radius(self) -> float:
        """Radius of a number's disc."""
        return 2.0 * self.unit

    def width(self, words: str, strong: bool = False) -> float:
        """Width of words."""
        return text_width(words, "text-600" if strong else "text-500", SIZE_PT) * self.unit


def reach_of_head(shape: RacquetShape) -> float:
    """Half the width of the whole racquet."""
    return shape.head_width / 2 + shape.rim


def ruler_y(drawing: Drawing, scale: Scale) -> float:
    """Distance of the ruler from the long axis: below the head, and below the numbers beside it."""
    hoop = any(p.sideways for p in drawing.pieces)
    return reach_of_head(drawing.shape) + (6.2 if hoop else 3.6) * scale.unit


def extent(piece: DrawnPart) -> tuple[float, float]:
    """The two ends of a piece, mm from the butt."""
    return (piece.from_mm, piece.to_mm)


def aside(words: str, scale: Scale) -> float:
    """What words beside a number take of the racquet's length."""
    return 0.8 * scale.unit + scale.width(words)


def leftward(piece: DrawnPart, pieces: Sequence[DrawnPart]) -> bool:
    """Whether the words of a strip on the hoop stand on the butt's side of its number, clear of strips nearer the tip."""
    clock = from_tip(piece)
    return clock > 3.5 or any(other.sideways and from_tip(other) < clock for other in pieces)


def from_tip(piece: DrawnPart) -> float:
    """Hours between a piece on the hoop and the tip."""
    return min(piece.clock or 0.0, 12 - (piece.clock or 0.0))


def set_words(
    x: float, y: float, words: str, scale: Scale, paint: Paint, *, anchor: str = "start", strong: bool = False
) -> str:
    """Words on a white ground, their baseline at ``y``."""
    if not words:
        return ""
    size, width, pad = scale.size, scale.width(words, strong), 0.4 * scale.unit
    left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
    ground = (
        f'<path d="M{nums(left - pad, y - 0.8 * size)}H{num(left + width + pad)}V{num(y + 0.22 * size)}'
        f'H{num(left - pad)}z"{paint("sheet")}/>'
    )
    return ground + text(x, y, words, size=size, paint=paint("ink"), anchor=anchor, strong=strong)


def disc(x: float, y: float, number: int, scale: Scale, paint: Paint) -> str:
    """A piece's number, white on black."""
    r, size = scale.radius, scale.size * 1.12
    return (
        f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r)}"{paint("ink", "sheet")} stroke-width="{num(r * 0.2, 2)}"/>'
        + text(x, y + size * 0.36, str(number), size=size, paint=paint("sheet"), anchor="middle", strong=True)
    )
