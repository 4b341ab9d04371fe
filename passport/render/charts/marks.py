"""The marks that have one meaning each, on page and card: the target, the day that strings are due, and now.

A fourth, what is fitted, is a numbered disc (`passport.render.drawing.racquet`). None has the colour of fresh strings.
"""

from typing import Final

from passport.render.charts.plot import Canvas

TALL: Final = 13.0
"""From the middle of a target's mark to its ends, px: the tolerance's limits are shorter."""
_NOW: Final = ((0.0, 0.0), (-6.0, -9.0), (6.0, -9.0))
_FLAG: Final = ((0.0, 0.0), (12.0, 4.0), (0.0, 8.0))


def target_mark(canvas: Canvas, x: float, y: float) -> None:
    """The target: an upright line with feet, taller than the limits of its tolerance."""
    canvas.line([(x, y - TALL), (x, y + TALL)], "plum", 2.5)
    for end in (y - TALL, y + TALL):
        canvas.line([(x - 4, end), (x + 4, end)], "plum", 2.5)


def due_mark(canvas: Canvas, x: float, top: float) -> None:
    """The day that strings are due: a flag, as at the end of the bar of freshness, whose pole is the line of that day."""
    canvas.area([(x + dx, top + dy) for dx, dy in _FLAG], "plum")


def now_mark(canvas: Canvas, x: float, y: float) -> None:
    """Now: a triangle that stands on the place, as on the bar of freshness."""
    canvas.area([(x + dx, y + dy) for dx, dy in _NOW], "ink", "ground", 1)
