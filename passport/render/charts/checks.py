"""The checks of one instrument over time: each correction with two standard uncertainties, and which was in force."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from passport.render.charts.plot import Canvas
from passport.render.theme.palette import Paint

WIDTH, HEIGHT = 330.0, 104.0
_LEFT, _RIGHT, _TOP, _FOOT = 46.0, 324.0, 12.0, 84.0


@dataclass(frozen=True, slots=True)
class CheckPoint:
    """A check: its day, the correction that it gave, and its standard uncertainty, in the chart's unit."""

    day: date
    correction: float
    u: float


def checks_chart(points: Sequence[CheckPoint], today: date, unit: str, *, key: str, paint: Paint, title: str) -> str:
    """Corrections from the first check until ``today`` with the band of the one in force, as an SVG string.

    Raises:
        ValueError: there is no check.
    """
    if not points:
        raise ValueError("a chart of checks needs at least one of them")
    scale = _TimeAxes(
        points[0].day, max(today, points[-1].day), max(abs(p.correction) + 2 * p.u for p in points) * 1.05
    )
    canvas = Canvas(WIDTH, HEIGHT)
    for point, until in zip(points, [*(p.day for p in points[1:]), scale.end], strict=True):
        low, high = scale.y(point.correction - 2 * point.u), scale.y(point.correction + 2 * point.u)
        canvas.rect(scale.x(point.day), high, scale.x(until) - scale.x(point.day), low - high, "band")
    canvas.line([(_LEFT, scale.y(0)), (_RIGHT, scale.y(0))], "soft", 0.8, dash=(2, 2))
    for point in points:
        x, ends = scale.x(point.day), [scale.y(point.correction + side * 2 * point.u) for side in (-1, 1)]
        canvas.line([(x, ends[0]), (x, ends[1])], "ink", 1)
        canvas.dot(x, scale.y(point.correction), 2.4, "petrol")
    _axes(canvas, scale, unit)
    last = points[-1]
    desc = f"{len(points)} checks; the last one, of {last.day.isoformat()}: {last.correction:+.2f} ± {2 * last.u:.2f} {unit}."
    return canvas.svg(key=key, title=title, desc=desc, paint=paint)


@dataclass(frozen=True, slots=True)
class _TimeAxes:
    start: date
    end: date
    reach: float

    def x(self, day: date) -> float:
        days = max(1, (self.end - self.start).days)
        return _LEFT + (_RIGHT - _LEFT) * (day - self.start).days / days

    def y(self, value: float) -> float:
        return (_TOP + _FOOT) / 2 - value / self.reach * (_FOOT - _TOP) / 2


def _axes(canvas: Canvas, scale: _TimeAxes, unit: str) -> None:
    canvas.line([(_LEFT, _TOP), (_LEFT, _FOOT), (_RIGHT, _FOOT)], "soft", 0.8)
    for value in (scale.reach / 1.05, 0.0, -scale.reach / 1.05):
        canvas.text(_LEFT - 4, scale.y(value) + 4, f"{value:+.2f}" if value else f"0 {unit}", size=11, anchor="end")
    years = [date(year, 1, 1) for year in range(scale.start.year + 1, scale.end.year + 1)]
    for day in years:
        canvas.line([(scale.x(day), _FOOT), (scale.x(day), _FOOT + 4)], "soft", 0.8)
        canvas.text(scale.x(day), _FOOT + 16, f"{day.year}", size=11, anchor="middle")
    if not years:
        canvas.text(_LEFT, _FOOT + 16, scale.start.isoformat(), size=11)
