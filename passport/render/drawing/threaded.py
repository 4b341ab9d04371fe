"""The path of a string, drawn: every main and cross as it is woven, its turns round the hoop, its order, ends and knots.

Units are mm in the racquet's own coordinates (`passport.physics.geometry`), tip up. Each string has the number of its
turn in the work beside the hole that it begins in, and an arrow of its direction; turns run outside the hoop; a ring is
the middle of the string, a dot a knot with the way to its hole.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from passport.physics.geometry import RacquetShape
from passport.physics.stringing.course import main_place, spot
from passport.physics.stringing.holes import Hole
from passport.physics.stringing.route import LooseEnd, Pass, Route, steps
from passport.physics.stringing.ways import Strand
from passport.physics.stringpath import Side
from passport.render.drawing.outline import ring
from passport.render.drawing.racquet import Caption
from passport.render.drawing.svg import document, num, nums
from passport.render.drawing.svg import text as words
from passport.render.theme.palette import Paint

Point = tuple[float, float]

_THREAD: Final = 1.7
"""How thick a string is drawn, thicker than life so that over and under can be told apart."""
_GAP: Final = 3.0
"""From a string's middle to where one that passes under it ends."""
_TURNS: Final[dict[Side, float]] = {"mains": 4.0, "crosses": 8.0}
_NUMBERS: Final[dict[Side, float]] = {"mains": 20.5, "crosses": 28.5}
_KNOT: Final = 12.5
"""How far outside the hoop turns, numbers and ways to knots lie: those of crosses further out, where both come together."""
_SKETCHED: Final[dict[Side, float]] = {"mains": 19.0, "crosses": 33.0}
"""The same of the numbers in a sketch, which are larger and so further apart."""


@dataclass(frozen=True, slots=True)
class ThreadedView:
    """The ``size`` of the numbers in mm of the racquet."""

    size: float = 6.5


def draw_path(shape: RacquetShape, found: Route, view: ThreadedView, caption: Caption, *, paint: Paint) -> str:
    """The path as an SVG string. Raises ``ValueError`` where it does not fit the shape (`passport.physics.stringing.course`)."""
    work = list(steps(found))
    drawn = _Drawn(shape, found, paint, view)
    body = (
        drawn.hoop()
        + "".join(drawn.strand(each, woven=_over(shape, each.strand)) for _, each in work)
        + "".join(drawn.turns())
        + "".join(drawn.knot(end) for end in found.ends)
        + "".join(drawn.number(i, each) for i, (_, each) in enumerate(work, 1))
        + "".join(drawn.start())
    )
    reach = shape.head_width / 2 + shape.rim + _NUMBERS["crosses"] + view.size
    tall = shape.head_length / 2 + shape.rim + _NUMBERS["mains"] + view.size
    box = (-reach, shape.length - shape.head_centre - tall, 2 * reach, 2 * tall)
    return document(
        body, key=caption.key, title=caption.title, desc=caption.desc, box=box, paint=paint, extra=caption.attributes
    )


def sketch_path(shape: RacquetShape, found: Route, size: float, caption: Caption, *, paint: Paint) -> str:
    """The same in a few thousand bytes, for a page: no weave and no arrows, whole millimetres, numbers of one ``size`` in mm."""
    drawn = _Drawn(shape, found, paint, ThreadedView(size))
    work = [each for _, each in steps(found)]
    body = (
        drawn.hoop()
        + "".join(f'<path d="{drawn.run(of)}"{drawn.ink(of)}/>' for of in _TURNS)
        + "".join(drawn.dot(end) for end in found.ends)
        + drawn.numbers(work)
        + "".join(drawn.start())
    )
    reach = shape.head_width / 2 + shape.rim + _SKETCHED["crosses"] + size
    tall = shape.head_length / 2 + shape.rim + _SKETCHED["mains"] + size
    box = (-reach, shape.length - shape.head_centre - tall, 2 * reach, 2 * tall)
    return document(body, key=caption.key, title=caption.title, desc=caption.desc, box=box, paint=paint)


def _over(shape: RacquetShape, strand: Strand) -> tuple[bool, ...]:
    """Whether a string passes over each one that it crosses, from left to right or throat to head.

    Neighbours alternate, and so does each string along its way: main i goes over cross j where i + j is even.
    """
    if strand.hand:
        main = main_place(shape.mains, strand)
        return tuple((main + cross) % 2 == 0 for cross in range(shape.crosses))
    cross = shape.crosses - strand.number
    return tuple((main + cross) % 2 == 1 for main in range(shape.mains))


def _moved(pen: tuple[int, int], to: tuple[int, int]) -> str:
    """A line from where the pen is, in SVG's shortest form."""
    dx, dy = to[0] - pen[0], to[1] - pen[1]
    if not (dx or dy):
        return ""
    return f"h{dx}" if not dy else f"v{dy}" if not dx else f"l{dx} {dy}"


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The parts of the drawing."""

    shape: RacquetShape
    found: Route
    paint: Paint
    view: ThreadedView

    def spot(self, hole: Hole) -> Point:
        """Where a hole lies on the inside of the hoop."""
        return spot(self.shape, self.found, hole)

    def point(self, at: Point) -> Point:
        """A point of the racquet on the picture."""
        return at[1], self.shape.length - at[0]

    def hoop(self) -> str:
        """The hoop as a light band."""
        band = f'{self.paint("none", "band")} stroke-width="{num(self.shape.rim)}"'
        if self.shape.outline.profile:
            turn = f' transform="matrix(0 -1 1 0 0 {num(self.shape.length)})"'
            return ring(self.shape, self.shape.rim / 2, band + turn)
        a, b = self.shape.hoop_axes
        centre = num(self.shape.length - self.shape.head_centre)
        return f'<ellipse cy="{centre}" rx="{num(b)}" ry="{num(a)}"{band}/>'

    def strand(self, each: Pass, *, woven: tuple[bool, ...]) -> str:
        """One string in pieces that end where it passes under another, from outer edge to outer edge of the hoop."""
        shape, axis = self.shape, 0 if each.strand.hand else 1
        first, last = sorted((self.spot(each.start), self.spot(each.stop)), key=lambda p: p[axis])
        crossed = shape.cross_positions()
        if not each.strand.hand:
            x = (first[0] + last[0]) / 2
            crossed = tuple(shape.main_at(y, x) for y in shape.main_positions())
        cuts = [at for at, over in zip(crossed, woven, strict=True) if not over and first[axis] < at < last[axis]]
        lines = []
        for i in range(len(cuts) + 1):
            head = [self.out(first, 0.0), first] if i == 0 else []
            tail = [last, self.out(last, 0.0)] if i == len(cuts) else []
            start = cuts[i - 1] + _GAP if i else first[axis]
            stop = cuts[i] - _GAP if i < len(cuts) else last[axis]
            inner = [self._along(first, last, axis, at) for at in (start, stop)] if start < stop else []
            if head or tail or inner:  # else two strings cross closer to each other than a gap is wide
                lines.append(self.line([*head, *inner, *tail]))
        return f'<path d="{"".join(lines)}"{self.ink(each.strand.of)} stroke-width="{num(_THREAD)}"/>'

    def ink(self, of: Side) -> str:
        """The stroke of mains, or the lighter one of crosses."""
        return self.paint("none", "ink" if of == "mains" else "rule")

    def fill(self, of: Side) -> str:
        """The same as a fill."""
        return self.paint("ink" if of == "mains" else "rule")

    @staticmethod
    def _along(first: Point, last: Point, axis: int, at: float) -> Point:
        """The point of a straight string at a place along one axis."""
        share = (at - first[axis]) / (last[axis] - first[axis])
        return first[0] + share * (last[0] - first[0]), first[1] + share * (last[1] - first[1])

    def out(self, at: Point, far: float) -> Point:
        """The point that lies ``far`` outside the hoop's outer edge, from a point on its inside."""
        nx, ny = self.shape.outward(self.shape.outline_turn(*at))
        size = self.shape.rim + far
        return at[0] + size * nx, at[1] + size * ny

    def round(self, one: Point, other: Point, far: float) -> list[Point]:
        """Points round the hoop, from the inside at one place out and on to the other."""
        first, last = (self.shape.outline_turn(*p) for p in (one, other))
        turn = (last - first + math.pi) % (2 * math.pi) - math.pi
        count = max(2, math.ceil(math.dist(one, other) / 6))
        angles = [first + turn * i / count for i in range(count + 1)]
        round_it = [self.shape.off_outline(t, self.shape.rim + far) for t in angles]
        return [self.out(one, 0.0), *round_it, self.out(other, 0.0)]

    def line(self, points: list[Point]) -> str:
        """Path data through points."""
        return "M" + "L".join(nums(*self.point(p)) for p in points)

    def run(self, of: Side) -> str:
        """Path data of all mains or crosses with the turns to each, straight from edge to edge of the hoop."""
        data, pen = "", (0, 0)
        for piece in self.found.pieces:
            last: Pass | None = None
            for each in piece.passes:
                if each.strand.of == of:
                    ends = [self.out(self.spot(hole), 0.0) for hole in (each.start, each.stop)]
                    turn = self._bend(self.spot(last.stop), self.spot(each.start), _TURNS[of]) if last else []
                    for i, at in enumerate((*turn, *ends)):
                        x, y = (round(value) for value in self.point(at))
                        joined = i > 0 or (last is not None and last.strand.of == of)
                        data += _moved(pen, (x, y)) if joined else f"M{x} {y}"
                        pen = x, y
                last = each
        return data.replace(" -", "-")

    def _bend(self, one: Point, other: Point, far: float) -> list[Point]:
        """A turn round the hoop by its middle alone, or by a few points where it is long; without where it ends."""
        points = self.round(one, other, far)[:-1]
        step = 6 if len(points) > 12 else len(points)
        return points[step // 2 :: step]

    def numbers(self, work: Sequence[Pass]) -> str:
        """The turns of the mains, and of the crosses the first, every fifth and the last, beside the hole that each begins in."""
        size, shown = self.view.size, ""
        for order, each in enumerate(work, 1):
            mains = each.strand.of == "mains" or work[order - 2].strand.of == "mains"
            if mains or not order % 5 or order == len(work):
                x, y = self.point(self.out(self.spot(each.start), _SKETCHED[each.strand.of]))
                shown += f'<text x="{num(x, 0)}" y="{num(y + 0.36 * size, 0)}">{order}</text>'
        return f'<g font-size="{num(size)}" text-anchor="middle"{self.paint("ink")}>{shown}</g>'

    def dot(self, end: LooseEnd) -> str:
        """A dot where an end is tied off, or at its own hole where nobody told."""
        x, y = self.point(self.out(self.spot(end.tie or end.hole), _KNOT if end.tie else _TURNS[end.of]))
        return f'<circle cx="{num(x, 0)}" cy="{num(y, 0)}" r="3.4"{self.fill(end.of)}/>'

    def turns(self) -> Iterator[str]:
        """The string outside the hoop, each turn with an arrow in the direction of the work."""
        for piece in self.found.pieces:
            for i, (one, other) in enumerate(pairwise(piece.passes), 1):
                start, stop = self.spot(one.stop), self.spot(other.start)
                of: Side = "mains" if one.strand.hand and other.strand.hand else "crosses"
                points = self.round(start, stop, _TURNS[of])
                yield f'<path d="{self.line(points)}"{self.ink(of)} stroke-width="{num(_THREAD)}"/>'
                if i != piece.before:  # the middle has its own mark
                    yield self._arrow(points if i > piece.before else points[::-1], of)

    def _arrow(self, points: list[Point], of: Side) -> str:
        (x1, y1), (x2, y2) = (self.point(p) for p in (points[len(points) // 2 - 1], points[len(points) // 2]))
        length = math.hypot(x2 - x1, y2 - y1) or 1.0
        ux, uy = (x2 - x1) / length, (y2 - y1) / length
        x, y = (x1 + x2) / 2 + 2.2 * ux, (y1 + y2) / 2 + 2.2 * uy
        data = "M" + "L".join(
            nums(x - 4.4 * ux * k + 2.2 * uy * s, y - 4.4 * uy * k - 2.2 * ux * s) for k, s in ((0, 0), (1, 1), (1, -1))
        )
        return f'<path d="{data}z"{self.fill(of)}/>'

    def knot(self, end: LooseEnd) -> str:
        """A dot where an end is tied off, with the way to it; a dot at its own hole where nobody told."""
        at = self.spot(end.hole)
        to = self.spot(end.tie) if end.tie else at
        x, y = self.point(self.out(to, _KNOT if end.tie else _TURNS[end.of]))
        way = ""
        if end.tie:
            line = self.line(self.round(at, to, _KNOT)[:-1])
            way = f'<path d="{line}"{self.ink(end.of)} stroke-width="{num(_THREAD)}" stroke-dasharray="3 1.8"/>'
        return way + f'<circle cx="{num(x)}" cy="{num(y)}" r="3.4"{self.fill(end.of)}/>'

    def number(self, order: int, each: Pass) -> str:
        """The turn of a string in the work, beside the hole that it begins in."""
        x, y = self.point(self.out(self.spot(each.start), _NUMBERS[each.strand.of]))
        size = self.view.size
        return words(x, y + 0.36 * size, f"{order}", size=size, paint=self.paint("ink"), anchor="middle")

    def start(self) -> Iterator[str]:
        """The ring at the middle of a string that is pulled from it to both sides."""
        for piece in self.found.pieces:
            if piece.before:
                one, other = piece.passes[piece.before - 1], piece.passes[piece.before]
                spots = [self.spot(one.stop), self.spot(other.start)]
                points = self.round(spots[0], spots[1], _TURNS["mains"])
                (x1, y1), (x2, y2) = (self.point(p) for p in (points[1], points[-2]))
                mark = self.paint("sheet", "ink")
                yield f'<circle cx="{num((x1 + x2) / 2)}" cy="{num((y1 + y2) / 2)}" r="3.2"{mark} stroke-width="1.4"/>'
