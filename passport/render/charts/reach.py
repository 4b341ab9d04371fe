"""What the materials in stock can reach from a frame: mass against balance, with lines of equal swingweight."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from passport.render.charts.plot import Canvas, text_width
from passport.render.theme.palette import Paint, Token

Point = tuple[float, float]

WIDTH = 300.0
HEIGHT = 222.0
_LEFT, _RIGHT, _TOP, _FOOT = 37.0, 8.0, 22.0, 183.0
_SIZE = 13.0


@dataclass(frozen=True, slots=True)
class ReachWords:
    """Every word of the chart; names in braces are filled in."""

    title: str = "What can be reached from this frame"
    mass: str = "mass, g"
    balance: str = "balance, mm"
    swing: str = "lines: least swingweight, kg·cm²"
    start: str = "untuned"
    target: str = "target"
    best: str = "plan 1"
    others: str = "others"
    hit: str = (
        "The outline holds every mass and balance that the stock can reach; on the shaded field, which meets the "
        "target’s box, the swingweight is right as well."
    )
    near: str = (
        "The outline holds every mass and balance that the stock can reach; the shaded field, where the swingweight is "
        "right as well, does not meet the target’s box."
    )
    miss: str = (
        "The outline holds every mass and balance that the stock can reach; none of its mixes has the target’s "
        "swingweight."
    )


@dataclass(frozen=True, slots=True)
class Box:
    """The target: mass in g and balance in mm, each with its tolerance."""

    mass: float
    balance: float
    mass_tolerance: float
    balance_tolerance: float

    @property
    def corners(self) -> tuple[Point, ...]:
        """The box of the tolerances."""
        (x, y), (dx, dy) = (self.mass, self.balance), (self.mass_tolerance, self.balance_tolerance)
        return (x - dx, y - dy), (x + dx, y - dy), (x + dx, y + dy), (x - dx, y + dy)


@dataclass(frozen=True, slots=True)
class ReachFigures:
    """What is drawn, all points in mass (g) and balance (mm).

    ``outline`` of what can be reached and ``fits`` where the swingweight is within its tolerance as polygons;
    ``contours`` by their least swingweight in kg·cm², each one or several lines; ``plans`` are the results of the
    plans, the first one the best.
    """

    start: Point
    target: Box
    outline: Sequence[Point]
    fits: Sequence[Point]
    contours: Sequence[tuple[float, Sequence[Sequence[Point]]]]
    plans: Sequence[Point]


@dataclass(frozen=True, slots=True)
class _ReachWindow:
    """The stretch of mass and balance that is shown, and where it falls on the chart."""

    low: Point
    high: Point

    def at(self, point: Point) -> Point:
        """A point on the chart, px."""
        x = _LEFT + (point[0] - self.low[0]) / (self.high[0] - self.low[0]) * (WIDTH - _RIGHT - _LEFT)
        y = _FOOT - (point[1] - self.low[1]) / (self.high[1] - self.low[1]) * (_FOOT - _TOP)
        return x, y

    def cut(self, polygon: Sequence[Point]) -> list[Point]:
        """The part of a polygon that is shown, px (Sutherland and Hodgman's clipping, from memory)."""
        points = list(polygon)
        for axis in (0, 1):
            for sign, edge in ((1, self.low[axis]), (-1, self.high[axis])):
                points = _half(points, axis, sign, edge)
        return [self.at(point) for point in points]

    def pieces(self, line: Sequence[Point]) -> list[list[Point]]:
        """The parts of a line that are shown, px."""
        found: list[list[Point]] = []
        for one, other in pairwise(line):
            part = self._part(one, other)
            if part and found and found[-1][-1] == self.at(part[0]):
                found[-1].append(self.at(part[1]))
            elif part:
                found.append([self.at(point) for point in part])
        return found

    def _part(self, one: Point, other: Point) -> tuple[Point, Point] | None:
        """The part of a straight line that is shown (Liang and Barsky's clipping, from memory)."""
        start, stop = 0.0, 1.0
        for axis in (0, 1):
            run = other[axis] - one[axis]
            for sign, edge in ((1, self.low[axis]), (-1, self.high[axis])):
                here, slope = sign * (one[axis] - edge), sign * run
                if slope == 0 and here < 0:
                    return None
                if slope > 0:
                    start = max(start, -here / slope)
                elif slope < 0:
                    stop = min(stop, -here / slope)
        if start >= stop:
            return None
        ends = [tuple(a + share * (b - a) for a, b in zip(one, other, strict=True)) for share in (start, stop)]
        return (ends[0][0], ends[0][1]), (ends[1][0], ends[1][1])


def sentence(figures: ReachFigures, words: ReachWords | None = None) -> str:
    """The one sentence that explains the chart."""
    words = words or ReachWords()
    if not figures.fits:
        return words.miss
    return words.hit if _touch(figures.fits, figures.target) else words.near


def reach_chart(
    figures: ReachFigures, *, key: str, paint: Paint, words: ReachWords | None = None, extra: str = ""
) -> str:
    """The chart as an SVG string; `sentence` is its description, to be printed beside it as well."""
    words = words or ReachWords()
    view = _view(figures)
    canvas = Canvas(WIDTH, HEIGHT)
    fields: tuple[tuple[Sequence[Point], Token, Token, float], ...] = (
        (figures.outline, "ground", "rule", 2.0),
        (figures.fits, "band", "ink", 1.2),
    )
    for polygon, fill, _, _ in fields:
        if len(shown := view.cut(polygon)) > 2:
            canvas.area(shown, fill)
    _scales(canvas, view, words)
    for polygon, _, edge, width in fields:
        for piece in view.pieces([*polygon, *polygon[:1]]):
            canvas.line(piece, edge, width)
    _contours(canvas, view, figures.contours, [view.at(corner) for corner in figures.target.corners])
    _target(canvas, view, figures, words)
    _key(canvas, words, len(figures.plans))
    return canvas.svg(key=key, title=words.title, desc=sentence(figures, words), paint=paint, extra=extra)


def _view(figures: ReachFigures) -> _ReachWindow:
    """Start, target and plans with some room around them."""
    box = figures.target
    points = [figures.start, *figures.plans, *box.corners]
    low = [min(p[axis] for p in points) for axis in (0, 1)]
    high = [max(p[axis] for p in points) for axis in (0, 1)]
    room = [
        max(1.2 * tolerance, 0.22 * (high[axis] - low[axis]))
        for axis, tolerance in enumerate((box.mass_tolerance, box.balance_tolerance))
    ]
    return _ReachWindow((low[0] - 0.5 * room[0], low[1] - room[1]), (high[0] + room[0], high[1] + room[1]))


def _half(points: list[Point], axis: int, sign: int, edge: float) -> list[Point]:
    """The part of a polygon on one side of a line across an axis."""
    kept: list[Point] = []
    for one, other in pairwise([*points, *points[:1]]):
        here, there = sign * (one[axis] - edge), sign * (other[axis] - edge)
        if here >= 0:
            kept.append(one)
        if (here < 0) != (there < 0):
            share = here / (here - there)
            kept.append((one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])))
    return kept


def _touch(polygon: Sequence[Point], box: Box) -> bool:
    """Whether a polygon and the box have a point in common."""
    points = list(polygon)
    low, high = box.corners[0], box.corners[2]
    for axis in (0, 1):
        for sign, edge in ((1, low[axis]), (-1, high[axis])):
            points = _half(points, axis, sign, edge)
    return bool(points)


def _scales(canvas: Canvas, view: _ReachWindow, words: ReachWords) -> None:
    """Both axes with round numbers, the balance upwards, the mass to the right."""
    for value, text in ticks(view.low[0], view.high[0], 6):
        x, _ = view.at((value, view.low[1]))
        canvas.line([(x, _FOOT), (x, _FOOT + 4)], "rule")
        canvas.text(x, _FOOT + 17, text, size=_SIZE, fill="soft", anchor="middle")
    for value, text in ticks(view.low[1], view.high[1], 6):
        _, y = view.at((view.low[0], value))
        canvas.line([(_LEFT - 4, y), (_LEFT, y)], "rule")
        canvas.text(_LEFT - 7, y + 4.5, text, size=_SIZE, fill="soft", anchor="end")
    canvas.line([(_LEFT, _TOP), (_LEFT, _FOOT), (WIDTH - _RIGHT, _FOOT)], "rule")
    canvas.text(0, 12, words.balance, size=_SIZE, fill="ink", strong=True)
    canvas.text(WIDTH - _RIGHT, 12, words.swing, size=_SIZE, fill="soft", anchor="end")
    canvas.text(WIDTH - _RIGHT, _FOOT + 34, words.mass, size=_SIZE, fill="ink", anchor="end", strong=True)


def ticks(low: float, high: float, most: int) -> list[tuple[float, str]]:
    """At most ``most`` round numbers between two limits, 1, 2 or 5 times a power of ten apart, with their texts."""
    if not high > low:
        return []
    power = 10.0 ** math.floor(math.log10((high - low) / most))
    for step in (power * factor for factor in (1, 2, 5, 10, 20)):
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
        if last - first < most:
            break
    places = max(0, -math.floor(math.log10(step)))
    return [(round(i * step, 9), f"{i * step:.{places}f}") for i in range(first, last + 1)]


def _contours(
    canvas: Canvas,
    view: _ReachWindow,
    contours: Sequence[tuple[float, Sequence[Sequence[Point]]]],
    box: Sequence[Point],
) -> None:
    """Lines of equal least swingweight, each with its figure on it, none over the target's box or the word below it."""
    labels: list[tuple[float, float, str]] = []
    (left, low), (right, high) = box[0], box[2]
    for value, lines in contours:
        shown = [piece for line in lines for piece in view.pieces(line)]
        for piece in shown:
            canvas.line(piece, "rule", 1, dash=(5, 3))
        points = [point for piece in shown for point in piece]
        text = f"{value:g}"
        half = text_width(text, _SIZE) / 2 + 3
        fitting = [p for p in points if _LEFT + half < p[0] < WIDTH - _RIGHT - half and _TOP + 8 < p[1] < _FOOT - 8]
        clear = [p for p in fitting if not (left - 16 < p[0] < right + 16 and high - 10 < p[1] < low + 26)]
        free = [p for p in clear if all(abs(p[1] - v) > 15 or abs(p[0] - u) > 34 for u, v, _ in labels)]
        if free:
            x, y = max(free)
            labels.append((x, y, text))
    for x, y, text in labels:
        half = text_width(text, _SIZE) / 2 + 2
        canvas.rect(x - half, y - 7, 2 * half, 14, "sheet")
        canvas.text(x, y + 4.5, text, size=_SIZE, fill="soft", anchor="middle")


def _target(canvas: Canvas, view: _ReachWindow, figures: ReachFigures, words: ReachWords) -> None:
    """The frame without tuning, the target with its box, and the plans, the first one large."""
    box = figures.target
    corners = [view.at(corner) for corner in box.corners]
    canvas.area(corners, None, "plum", 2)
    x, y = view.at((box.mass, box.balance))
    for dx, dy in ((6, 0), (0, 6)):
        canvas.line([(x - dx, y - dy), (x + dx, y + dy)], "plum", 2)
    canvas.text(corners[1][0], corners[1][1] + 14, words.target, size=_SIZE, fill="plum", anchor="end", strong=True)
    _start(canvas, *view.at(figures.start))
    for number, plan in reversed(list(enumerate(figures.plans))):
        _plan(canvas, *view.at(plan), first=number == 0)


def _start(canvas: Canvas, x: float, y: float) -> None:
    """The frame without tuning."""
    canvas.diamond(x, y, 6.5, "sheet")
    canvas.diamond(x, y, 5, "ink")


def _plan(canvas: Canvas, x: float, y: float, *, first: bool) -> None:
    """The result of a plan."""
    canvas.dot(x, y, 5.7 if first else 4, "sheet")
    canvas.dot(x, y, 4.3 if first else 2.7, "petrol")


def _key(canvas: Canvas, words: ReachWords, plans: int) -> None:
    """What the marks are."""
    x, y = _LEFT + 2, _FOOT + 34
    for text, kind in ((words.start, 0), (words.best, 1), (words.others, 2))[: 1 + min(plans, 2)]:
        if kind == 0:
            _start(canvas, x, y - 4.5)
        else:
            _plan(canvas, x, y - 4.5, first=kind == 1)
        canvas.text(x + 9, y, text, size=_SIZE, fill="soft")
        x += text_width(text, _SIZE) + 26
