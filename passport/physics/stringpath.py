"""The whole string of a racquet: inside the head, through the hoop, round it from hole to hole, and into the knots.

What lies outside the strung area is 12 to 18 % of what lies inside, and it sits at the hoop, where it swings most.
A :class:`StringPath` is a list of straight runs, wherever they come from. :func:`estimated_path` lays them out from a
model's dimensions and its counts alone, which knows no single hole; a path that was taken from the real holes is one
more maker of a :class:`StringPath`, with a smaller uncertainty than :data:`OUTSIDE_U`.

Left out: that a string under tension is longer, and so lighter a metre, than one that was weighed slack. What a
workshop's own frames gained when they were strung (`passport.physics.conditioning`) makes up for that too.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Final, Literal, get_args

from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments

Side = Literal["mains", "crosses"]
Where = Literal["inside", "rim", "bridge", "tie-off"]
End = Literal["throat", "head"]
Spot = tuple[float, float]

GROOVE: Final = 0.2
"""How deep the groove lies that the string runs in round the hoop, as a share of the rim (common practice, no source)."""

TIE_OFF_MM: Final = 40.0
"""String beyond the last hole that one knot takes, mm: along the hoop to the tie-off hole, the knot itself and the tail,
without the further pass through the hoop (common practice, no source)."""

OUTSIDE_U: Final = 0.15
"""Standard uncertainty of the mass outside the head as a share of it.

Two geometries that share nothing but the frames' dimensions differ by up to a fifth of it (tennis 1.9 to 2.7 g against
2.0 to 2.1 g, squash 1.1 to 1.5 against 1.45, badminton 0.4 to 0.5 against 0.4): neither is a truth, and their spread is
the measure of what this one does not know.
"""


@dataclass(frozen=True, slots=True)
class StringRun:
    """String laid straight between two points (x, y) in mm, ``length`` mm of it, which may be more than their distance."""

    of: Side
    where: Where
    start: Spot
    end: Spot
    length: float

    def moments(self, g_per_m: float) -> Moments:
        """Mass and moments of the run: an even rod from ``start`` to ``end``."""
        mass = g_per_m * self.length / 1000
        (x1, y1), (x2, y2) = self.start, self.end
        x, y = (x1 + x2) / 2, (y1 + y2) / 2
        m2, polar = x**2 + (x2 - x1) ** 2 / 12, y**2 + (y2 - y1) ** 2 / 12
        return Moments(mass, mass * x, mass * m2, mass * polar)


@dataclass(frozen=True, slots=True)
class Threading:
    """How a frame is strung, as far as the string's path hangs on it: ``pieces``, ``knots``, where it starts.

    ``gauge`` is the strings' thickness in mm, which lengthens them where they cross; 0 leaves that out.
    """

    pieces: int = 1
    knots: int = 2
    mains_start: End = "throat"
    crosses_start: End = "head"
    gauge: float = 0.0


@dataclass(frozen=True)
class StringPath:
    """All runs of the string of one stringing."""

    runs: tuple[StringRun, ...]

    def length(self, of: Side | None = None, *, outside: bool | None = None) -> float:
        """Length of string in mm, of both or one of the sides, all of it or what lies outside (or inside) the head."""
        return sum(run.length for run in self._some(of, outside))

    def moments(self, of: Side, g_per_m: float, *, outside: bool | None = None) -> Moments:
        """Mass and moments of the mains or the crosses of ``g_per_m``, all or what is outside (or inside) the head."""
        if outside is None:
            return self.moments(of, g_per_m, outside=False) + self.moments(of, g_per_m, outside=True)
        return self._each[of, outside].scaled(g_per_m)

    @cached_property
    def _each(self) -> dict[tuple[Side, bool], Moments]:
        """Moments of each side, inside and outside the head, for string of 1 g/m.

        A choice among fifty blanks asks for the same path thousands of times, of other strings only.
        """
        return {
            (of, outside): Moments.total(run.moments(1.0) for run in self._some(of, outside))
            for of in get_args(Side)
            for outside in (False, True)
        }

    def _some(self, of: Side | None, outside: bool | None) -> Iterator[StringRun]:
        for run in self.runs:
            if of in (None, run.of) and outside in (None, run.where != "inside"):
                yield run


@lru_cache(maxsize=1024)
def estimated_path(shape: RacquetShape, laid: Threading = Threading()) -> StringPath:
    """The path that a model's dimensions and counts let expect; its outside is uncertain by :data:`OUTSIDE_U`.

    Each string passes the hoop at right angles to it, and goes straight on to the hole of its neighbour: the centre
    mains are joined where the mains start, the rest turn at alternate ends. A string in one piece goes on from its
    outermost main to the nearest cross. Each knot takes one more pass through the hoop and :data:`TIE_OFF_MM`.
    """
    mains = [Chord(shape, "mains", y) for y in shape.main_positions() if shape.main_length(y) > 0]
    crosses = [Chord(shape, "crosses", x) for x in shape.cross_positions() if shape.cross_length(x) > 0]
    runs = [run for chord in (*mains, *crosses) for run in chord.runs(weave(shape, chord.of, laid.gauge))]
    runs += _turns(mains, _main_turns(len(mains), laid.mains_start))
    rising = crosses if laid.crosses_start == "throat" else crosses[::-1]
    runs += _turns(rising, [i % 2 for i in range(len(rising) - 1)])
    runs += _ends(shape, mains, crosses, laid)
    return StringPath(tuple(runs))


def groove(shape: RacquetShape, x: float, y: float) -> Spot:
    """Where the string lies round the hoop, outwards at right angles from the point (x, y) of the strung area's edge."""
    nx, ny = shape.outward(shape.outline_turn(x, y))
    through = shape.rim * (1 - GROOVE)
    return x + through * nx, y + through * ny


@dataclass(frozen=True, slots=True)
class Chord:
    """One string inside the head, at ``at`` mm across at the head's middle (a main) or from the butt (a cross), with its two
    ends."""

    shape: RacquetShape
    of: Side
    at: float

    def inner(self, end: int) -> Spot:
        """Where it meets the inside of the hoop: end 0 at the throat or on the left, 1 at the head or on the right."""
        sign = 2 * end - 1
        if self.of == "mains":
            ends = self.shape.main_ends(self.at)
            return ends[end] if ends else (self.shape.head_centre, self.at)
        return self.at, sign * self.shape.cross_length(self.at) / 2

    def outer(self, end: int) -> Spot:
        """Where it lies in the groove round the hoop."""
        return groove(self.shape, *self.inner(end))

    def runs(self, wave: float) -> Iterator[StringRun]:
        """The string inside the head, ``wave`` of its length longer than straight, and its two passes of the hoop."""
        yield _run(self.of, "inside", self.inner(0), self.inner(1), 1 + wave)
        for end in (0, 1):
            yield _run(self.of, "rim", self.inner(end), self.outer(end))


def _run(of: Side, where: Where, start: Spot, end: Spot, longer: float = 1.0) -> StringRun:
    return StringRun(of, where, start, end, math.dist(start, end) * longer)


def weave(shape: RacquetShape, of: Side, gauge: float) -> float:
    """How much longer a string is for bending round those that it crosses, as a share of its length.

    From one crossing to the next, a spacing s on, it moves by a thickness d out of the plane where both bend alike:
    √(1 + (d/s)²) − 1 (plain geometry).
    """
    spacing = shape.spacing[1 if of == "mains" else 0]
    return math.hypot(1, gauge / spacing) - 1


def _main_turns(count: int, start: End) -> list[int]:
    """At which end each main joins the next one, from left to right: the centre pair where the mains start."""
    first, centre = int(start == "head"), count // 2 - 1
    return [(first + abs(i - centre)) % 2 for i in range(count - 1)]


def _turns(chords: Iterable[Chord], ends: Iterable[int]) -> Iterator[StringRun]:
    for (one, other), end in zip(pairwise(chords), ends, strict=True):
        yield _run(one.of, "bridge", one.outer(end), other.outer(end))


def _ends(shape: RacquetShape, mains: list[Chord], crosses: list[Chord], laid: Threading) -> Iterator[StringRun]:
    """From the mains to the crosses of a string in one piece, and the knots, shared out among both sides' last holes."""
    if not (mains and crosses):
        return
    head = int(laid.crosses_start == "head")
    first, last = (crosses[-1], crosses[0]) if head else (crosses[0], crosses[-1])
    if laid.pieces == 1:
        yield _run("crosses", "bridge", mains[-1].outer(head), first.outer(1))
    # a string in one piece ends with a main and with the last cross; one of two pieces begins with a knot at each, too
    spots: list[tuple[Side, Spot]] = [("mains", mains[0].outer(1 - head)), ("crosses", last.outer(0))]
    spots += [("mains", mains[-1].outer(1 - head)), ("crosses", first.outer(1))]
    for k in range(laid.knots):
        of, spot = spots[k % len(spots)]
        yield StringRun(of, "tie-off", spot, spot, TIE_OFF_MM + shape.rim * (1 - GROOVE))
