"""The life of one string bed: its readings, the curve through them with its band, and the day that it is due.

Time runs along the foot in dates, so the chart reads right on whatever day it is looked at. A line for that day is in
the drawing but hidden; a script may move it to its place by the ``data-`` attributes and show it.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Self

from passport.render.charts.labels import ChartWords
from passport.render.charts.marks import due_mark
from passport.render.charts.plot import Axis, Canvas, Point, text_width
from passport.render.drawing.svg import num, text
from passport.render.theme.palette import Paint, Token

WIDTH = 350.0
LEFT, RIGHT = 42.0, 334.0
_TOP, _FOOT = 42.0, 168.0
_SAMPLES = 18
_DISC: tuple[tuple[float, Token], ...] = ((6.0, "ground"), (4.5, "petrol"))

Curve = Callable[[float], tuple[float, float, float]]
"""What is left of the fresh tension after some days, and its band: a share, its low and its high end."""


@dataclass(frozen=True, slots=True)
class LifePoint:
    """One reading: its age in days, the share of the fresh tension, and what the reader showed, as a text."""

    days: float
    left: float
    text: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A day on the time axis, counted from the stringing, with what stands there."""

    days: float
    text: str


@dataclass(frozen=True, slots=True)
class Panel:
    """Where days and shares fall on the chart."""

    x: Axis
    y: Axis

    @classmethod
    def of(cls, days: float, top: float, foot: float, low: float, high: float) -> Self:
        """From the stringing until so many days after it, shares from ``low`` at the px ``foot`` to ``high`` at ``top``."""
        return cls(Axis(0.0, days, LEFT, RIGHT), Axis(low, high, foot, top))


def life_chart(
    curve: Curve,
    points: Sequence[LifePoint],
    *,
    days: float,
    strung: str,
    ticks: Sequence[Mark],
    key: str,
    paint: Paint,
    due: Mark | None = None,
    limit: float | None = None,
    words: ChartWords | None = None,
    extra: str = "",
) -> str:
    """The life as an SVG string, from the stringing to ``days`` after it.

    ``strung`` is the day of the stringing as ISO date, for the line of the day on which it is looked at. ``limit`` is the share
    at which the workshop calls strings due, drawn where it lies on the chart.

    Raises:
        ValueError: the chart would show no time at all.
    """
    if not days > 0:
        raise ValueError("a life needs some days to be drawn")
    words = words or ChartWords()
    panel = Panel.of(days, _TOP, _FOOT, *share_range([curve(days)[1], *(p.left for p in points), limit or 1.0]))
    canvas = Canvas(WIDTH, _FOOT + (38 if panel.y.low else 22))
    share_axis(canvas, panel, words)
    _dates(canvas, panel, ticks)
    ages = sample(days)
    band = [(panel.x(d), panel.y(min(curve(d)[2], panel.y.high))) for d in ages]
    band += [(panel.x(d), panel.y(max(curve(d)[1], panel.y.low))) for d in reversed(ages)]
    canvas.area(band, "band")
    if limit is not None:
        canvas.line([(LEFT, panel.y(limit)), (RIGHT, panel.y(limit))], "doubt", 1.5, dash=(2, 3))
    if due:
        canvas.line([(panel.x(due.days), _TOP - 4), (panel.x(due.days), _FOOT)], "plum", 1.5, dash=(5, 3))
    canvas.line([(panel.x(d), panel.y(curve(d)[0])) for d in ages], "petrol", 2)
    if due:
        _due(canvas, panel, due, curve(due.days)[0], words)
    _readings(canvas, panel, points, due)
    if limit is not None:
        canvas.text(LEFT + 6, panel.y(limit) + 15, words.life_limit, size=12, fill="doubt")
    canvas.text(0, 13, words.life_left, size=14, strong=True)
    data = f'data-from="{strung}" data-days="{num(days)}" data-x0="{num(LEFT)}" data-x1="{num(RIGHT)}"'
    made = canvas.svg(
        key=key,
        title=words.life_title,
        desc=" ".join(_sentences(curve, points, due, words)),
        paint=paint,
        extra=f"{data} {extra}".strip(),
    )
    # Under the curve and what is written about it, so that the line crosses no figure.
    curve_at = made.rindex("<path", 0, made.index(f'{paint("none", "petrol")} stroke-width="2"'))
    return made[:curve_at] + _today(paint, words) + made[curve_at:]


def sample(days: float, count: int = _SAMPLES) -> list[float]:
    """``count`` ages to draw a curve through: dense where it falls steeply, from a quarter of an hour on."""
    first = min(1 / 96, days / 2)
    # Even steps would need hundreds of points for the first hours, in which a tenth of the tension goes.
    return [first + (days - first) * (i / (count - 1)) ** 4 for i in range(count)]


def share_range(shares: Sequence[float]) -> tuple[float, float]:
    """The ends of the axis: the least share in whole tenths and the greatest, at least from seven tenths to one."""
    low = math.floor(min([0.7, *shares]) * 10 + 1e-9) / 10
    return max(0.0, low), max(1.0, *shares)


def share_axis(canvas: Canvas, panel: Panel, words: ChartWords) -> None:
    """Gridlines for every tenth, with their per cent; below, where the scale begins if that is not at nothing."""
    if panel.y.low:
        canvas.text(0, panel.y.start + 34, words.scale_from.format(low=percent(panel.y.low)), size=12, fill="soft")
    tenths = range(round(panel.y.low * 10), 11, 1 if panel.y.high - panel.y.low < 0.45 else 2)
    for tenth in tenths:  # all lines first, since neighbours that look the same become one path
        y = panel.y(tenth / 10)
        canvas.line([(LEFT, y), (RIGHT, y)], "rule" if tenth == 10 else "hair")
    for tenth in tenths:
        canvas.text(LEFT - 6, panel.y(tenth / 10) + 4, percent(tenth / 10), size=12, fill="soft", anchor="end")


def percent(share: float) -> str:
    """A share in whole per cent."""
    return f"{100 * share:.0f}\N{NARROW NO-BREAK SPACE}%"


def _dates(canvas: Canvas, panel: Panel, ticks: Sequence[Mark]) -> None:
    """The days along the foot; one whose text would touch the one before is left out."""
    end = -math.inf
    shown: list[tuple[float, Mark]] = []
    for tick in ticks:
        half = text_width(tick.text, 12) / 2
        centre = max(LEFT - 14 + half, min(WIDTH - half, panel.x(tick.days)))
        if centre - half >= end + 8:
            end = centre + half
            shown.append((centre, tick))
    foot_axis(canvas, panel, [tick.days for _, tick in shown])
    for centre, tick in shown:
        canvas.text(centre, _FOOT + 18, tick.text, size=12, fill="soft", anchor="middle")


def foot_axis(canvas: Canvas, panel: Panel, days: Sequence[float]) -> None:
    """The time axis with a tick at each of some days."""
    canvas.line([(LEFT, panel.y.start), (RIGHT, panel.y.start)], "rule")
    for day in days:
        canvas.line([(panel.x(day), panel.y.start), (panel.x(day), panel.y.start + 5)], "rule")


def _due(canvas: Canvas, panel: Panel, due: Mark, left: float, words: ChartWords) -> None:
    """The day that the strings are due: a flag on its line, a disc on the curve with what is left by then, the date above."""
    x, y = panel.x(due.days), panel.y(max(left, panel.y.low))
    due_mark(canvas, x, _TOP - 4)
    canvas.dot(x, y, 6, "ground")
    canvas.dot(x, y, 4.5, "plum")
    label = words.life_due.format(date=due.text)
    half = text_width(label, 13, strong=True) / 2
    at = max(half, min(WIDTH - half, x))
    canvas.text(at, _TOP - 9, label, size=13, fill="plum", anchor="middle", strong=True)
    canvas.text(x - 12, y - 9, percent(left), size=14, anchor="end", strong=True)


def _readings(canvas: Canvas, panel: Panel, points: Sequence[LifePoint], due: Mark | None) -> None:
    """The readings as discs, each with what was shown where that touches neither another nor the due day's."""
    taken: list[Point] = []
    places = [(panel.x(min(p.days, panel.x.high)), panel.y(max(p.left, panel.y.low))) for p in points]
    # All rings, then all discs: neighbours of one look become one path, and no ring cuts into a disc beside it.
    for radius, ink in _DISC:
        for x, y in places:
            canvas.dot(x, y, radius, ink)
    for p, (x, y) in zip(points, places, strict=True):
        width = text_width(p.text, 12, strong=True)
        free = all(abs(y - other_y) > 13 or abs(x - other_x) > width + 12 for other_x, other_y in taken)
        free = free and not (due and 0 < panel.x(due.days) - x < width + 60)
        if free and x + 9 + width < RIGHT:
            canvas.text(x + 8, y - 4, p.text, size=12, strong=True)
            taken.append((x, y))


def _today(paint: Paint, words: ChartWords) -> str:
    """The hidden line of the day on which the chart is looked at, at x = 0 until a script moves it."""
    label = text(5, _FOOT - 6, words.today, size=13, paint=paint("ink"), strong=True)
    line = f'<path d="M0 {num(_TOP - 4)}V{num(_FOOT)}"{paint("none", "ink")} stroke-width="1.5"/>'
    mark = f'<path d="M0 {num(_TOP - 4)}l-6-9H6z"{paint("ink")}/>'
    return f'<g data-today="" visibility="hidden">{line}{mark}{label}</g>'


def _sentences(curve: Curve, points: Sequence[LifePoint], due: Mark | None, words: ChartWords) -> list[str]:
    """The life in words, for readers who cannot see the chart."""
    out = [words.life_desc_point.format(reading=p.text, left=percent(p.left)) for p in points]
    if due:
        value, low, high = curve(due.days)
        band = (percent(low), percent(high))
        out.append(words.life_desc_due.format(date=due.text, left=percent(value), low=band[0], high=band[1]))
    return out
