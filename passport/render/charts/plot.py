"""A drawing surface for charts whose SVG is small, follows light and dark, and needs no inline styles.

Coordinates are CSS pixels at the chart's own width, y downwards. Colours are tokens of the palette. Text stays text,
in the shipped typefaces, and is measured with them. What is drawn is written by `passport.render.drawing.pen`.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from passport.render.drawing.pen import Anchor, ChartText, Drawn, Point, Shape, Stroke, inked
from passport.render.drawing.svg import document, plain
from passport.render.theme.assets import note
from passport.render.theme.palette import Paint, Token
from passport.render.theme.shaping import shaped_width

__all__ = ["Axis", "Canvas", "Point", "round_ticks", "text_width"]

_ROUND = (1, 2, 5, 10)
"""How far apart round numbers stand, in powers of ten."""


@dataclass(frozen=True, slots=True)
class Axis:
    """Where values fall along one axis: ``low`` at the px ``start``, ``high`` at ``end``."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """The place of a value, px."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def round_ticks(
    low: float, high: float, most: int, *, steps: Sequence[int] = _ROUND, whole: bool = False
) -> list[float]:
    """Round numbers from ``low`` or just below to ``high`` or just above, in about ``most`` intervals, at least one.

    They stand one of ``steps`` times a power of ten apart, ``whole`` numbers if so asked. Where fewer than two would lie
    between the limits, they stand closer.
    """
    least = max((high - low) / most, 1.0 if whole else 0.0)
    power = 10.0 ** math.floor(math.log10(least))
    usable = [step * scale for scale in (power / 10, power, power * 10) for step in steps[:-1]]
    usable = [step for step in usable if not whole or step >= 1]
    first = next(i for i, step in enumerate(usable) if step >= least * (1 - 1e-9))
    for step in reversed(usable[: first + 1]):
        start, end = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if math.floor(high / step + 1e-9) > math.ceil(low / step - 1e-9):
            break
    return [round(i * step, 9) for i in range(start, end + 1)]


def text_width(content: str, size: float, *, strong: bool = False, display: bool = False) -> float:
    """Width in px of a line of text set in the shipped typeface."""
    return shaped_width(plain(content), _typeface(strong, display)) * size


def _typeface(strong: bool, display: bool) -> str:
    """The file of a typeface."""
    return "display-600.ttf" if display else "text-600.ttf" if strong else "text-400.ttf"


class Canvas:
    """A chart in the making, ``width`` × ``height`` px; what is drawn later lies on top."""

    def __init__(self, width: float, height: float) -> None:
        """Start with nothing drawn."""
        self.width, self.height = width, height
        self._drawn: list[Drawn] = []

    def line(
        self,
        points: Iterable[Point],
        stroke: Token,
        width: float = 1,
        *,
        dash: Sequence[float] = (),
        round_ends: bool = False,
    ) -> None:
        """Draw a polyline; ``dash`` are lengths in px."""
        look = Stroke(None, stroke, width, tuple(dash), round_ends)
        self._drawn.append(Shape(look, tuple(points)))

    def area(self, points: Iterable[Point], fill: Token | None, stroke: Token | None = None, width: float = 1) -> None:
        """Draw a closed polygon."""
        self._drawn.append(Shape(Stroke(fill, stroke, width if stroke else 0), tuple(points), closed=True))

    def rect(self, x: float, y: float, width: float, height: float, fill: Token) -> None:
        """Draw a filled rectangle from its upper left corner."""
        self.area([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], fill)

    def dot(self, x: float, y: float, radius: float, fill: Token) -> None:
        """Draw a disc: a very short line with round ends, the shortest way to write one."""
        self.line([(x, y), (x + 0.01, y)], fill, 2 * radius, round_ends=True)

    def diamond(self, x: float, y: float, radius: float, fill: Token) -> None:
        """Draw a square that stands on a corner."""
        self.area([(x, y - radius), (x + radius, y), (x, y + radius), (x - radius, y)], fill)

    def text(
        self,
        x: float,
        y: float,
        content: str,
        *,
        size: float = 13,
        fill: Token = "ink",
        anchor: Anchor = "start",
        strong: bool = False,
        display: bool = False,
    ) -> None:
        """Set one line of text with its baseline at ``y``."""
        note(f"fonts/{_typeface(strong, display)}")
        self._drawn.append(ChartText(x, y, plain(content), size, fill, anchor, strong, display))

    def svg(self, *, key: str, title: str, desc: str, paint: Paint, extra: str = "") -> str:
        """The finished chart as an SVG string (see `passport.render.drawing.svg.document`)."""
        box = (0, 0, self.width, self.height)
        return document(inked(self._drawn, paint), key=key, title=title, desc=desc, box=box, paint=paint, extra=extra)
