"""A drawing surface on matplotlib whose SVG is small, follows light and dark, and needs no inline styles.

Coordinates are CSS pixels at the chart's own width, y downwards. Colours are tokens of the palette. Text stays text,
in the shipped typefaces, and is measured with them. What is drawn is written by `passport.render.drawing.pen`.
"""

import warnings
from collections.abc import Iterable, Sequence
from functools import cache

from passport.render.drawing.pen import Anchor, ChartText, Drawn, Point, Shape, Stroke, font, font_name, inked
from passport.render.drawing.svg import document, plain
from passport.render.theme.assets import note
from passport.render.theme.palette import Paint, Token

__all__ = ["Canvas", "Point", "text_width"]


def text_width(content: str, size: float, *, strong: bool = False, display: bool = False) -> float:
    """Width in px of a line of text set in the shipped typeface."""
    note(f"fonts/{font_name(strong, display)}")
    return _text_width(content, strong, display) * size / 100


@cache
def _text_width(content: str, strong: bool, display: bool) -> float:
    """Width at 100 px."""
    # Loaded late: matplotlib takes half a second, which commands without charts should not pay.
    from matplotlib.textpath import text_to_path

    with warnings.catch_warnings():
        # A sign that the typeface lacks is the browser's to find; its width here is that of the empty box.
        warnings.simplefilter("ignore")
        width, _, _ = text_to_path.get_text_width_height_descent(content, font(strong, display), ismath=False)
    return float(width)


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
        note(f"fonts/{font_name(strong, display)}")
        self._drawn.append(ChartText(x, y, plain(content), size, fill, anchor, strong, display))

    def svg(self, *, key: str, title: str, desc: str, paint: Paint, extra: str = "") -> str:
        """The finished chart as an SVG string (see `passport.render.drawing.svg.document`)."""
        box = (0, 0, self.width, self.height)
        return document(inked(self._drawn, paint), key=key, title=title, desc=desc, box=box, paint=paint, extra=extra)
