"""The path of a string that was followed from hole to hole, laid out on a model's dimensions: length, mass, what to cut.

The order, the turns, the knots and their holes are those of the `passport.physics.stringing.route.Route`; where a hole
lies follows from where its string meets the hoop, as in `passport.physics.stringpath`.
"""

import math
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

from passport.physics.geometry import RacquetShape
from passport.physics.stringing.holes import Drilling, Hand, Hole
from passport.physics.stringing.route import LooseEnd, Pass, Piece, Route
from passport.physics.stringing.ways import Strand
from passport.physics.stringpath import TIE_OFF_MM, Chord, Side, Spot, StringPath, StringRun, Where, groove, weave
from passport.physics.uncertainty import Estimate

FOLLOWED_U: Final = 0.08
"""Standard uncertainty of the mass outside the head as a share of it, where the path is recorded but not every tie-off hole.

A model of the string that shares no code with this one, with grooves, slanted holes and tails as they happen to be, is 5 to
8 % off for tennis and squash, most of it at the knots.
"""

TIED_U: Final = 0.05
"""The same where every end's tie-off hole is recorded, too: that other model is 4 to 5 % off."""

KNOT_MM: Final = 22.0
"""String that one knot takes beyond the pass through its own hole, mm: two turns and a tail (common practice, no source)."""

TAIL_MM: Final = 300.0
"""String that the machine's tension head holds beyond the last hole, mm, at each end; a starting knot needs less (common
practice, no source)."""

STRETCH: Final[Mapping[str, Estimate]] = {
    "nylon": Estimate(0.06, 0.03),
    "polyester": Estimate(0.04, 0.02),
    "aramid": Estimate(0.015, 0.01),
    "gut": Estimate(0.06, 0.03),
}
"""How much longer a string of each material is at :data:`STRETCH_MPA`, as a share (common practice, no source)."""

STRETCH_MPA: Final = 185.0
"""The pull that :data:`STRETCH` is given for: 245 N in a string of 1.30 mm."""

_STEP_MM = 15.0


@dataclass(frozen=True, slots=True)
class PieceLength:
    """One piece of string: ``path`` mm as it lies, and its ``short`` side's share of it, 0 where it has none."""

    path: float
    short: float


@lru_cache(maxsize=1024)
def course(shape: RacquetShape, found: Route, gauge: float = 0.0) -> StringPath:
    """All runs of the string, each piece from one end to the other; ``gauge`` mm lengthens strings that cross others.

    Raises ``ValueError`` where the model has other counts than the route, or a string would lie outside the head.
    """
    return StringPath(tuple(run for piece in found.pieces for run in _piece(shape, found, piece, gauge)))


@lru_cache(maxsize=1024)
def lengths(shape: RacquetShape, found: Route, gauge: float = 0.0) -> tuple[PieceLength, ...]:
    """The length of each piece and of its short side up to the middle of the string. Raises as :func:`course` does."""
    said = []
    for piece in found.pieces:
        whole = sum(run.length for run in _piece(shape, found, piece, gauge))
        if piece.one_way:
            said.append(PieceLength(whole, 0.0))
            continue
        short = [*_tie(shape, found, piece.ends[0]), *_bed(shape, found, piece.passes[: piece.before], gauge)]
        middle = _bridge(shape, found, *piece.passes[piece.before - 1 : piece.before + 1])
        said.append(PieceLength(whole, sum(r.length for r in short) + sum(r.length for r in middle) / 2))
    return tuple(said)


def outside_u(found: Route) -> float:
    """Standard uncertainty of the mass outside the head as a share of it, for a path that is recorded."""
    return TIED_U if all(end.tie for end in found.ends) else FOLLOWED_U


def to_cut(length: float, material: str, gauge: float, tension: float, ends: int = 2) -> Estimate:
    """Slack string in mm for a way of ``length``: shorter by what the pull (N) stretches it, with the machine's tails.

    Each of the ``ends`` needs a tail. A material that is not in :data:`STRETCH` is taken not to stretch, which is never too
    short.
    """
    known = STRETCH.get(material, Estimate(0.0, 0.0))
    share = tension / (math.pi * gauge**2 / 4) / STRETCH_MPA
    stretch = known.value * share
    slack = length / (1 + stretch)
    return Estimate(slack + ends * TAIL_MM, slack * known.u * share / (1 + stretch))


def spot(shape: RacquetShape, found: Route, hole: Hole) -> Spot:
    """Where a hole lies on the inside of the hoop, (x, y) in mm: where its string meets it; a free one between others.

    Holes lie in the order that they are counted in; where spacings and numbers contradict each other by a place or two
    the order holds, and strings are a little slanted. Raises ``ValueError`` for a hole that is not there.
    """
    at = found.drilling.find(hole)
    if at is None:
        raise ValueError(f"there is no {hole}")
    return shape.outline_point(_angles(shape, found.drilling, hole.hand, in_order=found.numbered)[at])


@lru_cache(maxsize=512)
def _angles(shape: RacquetShape, drilling: Drilling, hand: Hand, *, in_order: bool) -> tuple[float, ...]:
    """The angle of each hole of a side, from the throat's centre to the head's."""
    natural = []
    for drilled in drilling.row(hand):
        strings = []
        if drilled.main:
            end, number = drilled.main
            strings.append(chord(shape, Strand("mains", number, hand)).inner(int(end == "head")))
        if drilled.cross:
            strings.append(chord(shape, Strand("crosses", drilled.cross)).inner(int(hand == "right")))
        natural.append([abs(_angle(shape, each)) for each in strings])
    means = [sum(each) / len(each) if each else None for each in natural]
    known = [i for i, mean in enumerate(means) if mean is not None]
    values = [mean for mean in means if mean is not None]
    if in_order:
        values.sort(reverse=True)
    filled = [_between(i, known, values) for i in range(len(means))]
    return tuple(angle if hand == "right" else -angle for angle in filled)


def _between(at: int, known: Sequence[int], values: Sequence[float]) -> float:
    """The value at a place, on the straight line between the known ones beside it."""
    after = bisect_left(known, at)
    if known[after] == at:
        return values[after]
    share = (at - known[after - 1]) / (known[after] - known[after - 1])
    return values[after - 1] + share * (values[after] - values[after - 1])


def chord(shape: RacquetShape, strand: Strand) -> Chord:
    """A string inside the head. Raises ``ValueError`` for one that lies outside it."""
    if strand.hand:
        at = shape.main_positions()[main_place(shape.mains, strand)]
        inside = shape.main_length(at)
    else:
        at = shape.cross_positions()[shape.crosses - strand.number]
        inside = shape.cross_length(at)
    if inside <= 0:
        raise ValueError(f"{strand} would lie outside the head")
    return Chord(shape, strand.of, at)


def main_place(mains: int, strand: Strand) -> int:
    """The place of a main among all, from the left, 0 first."""
    half = mains // 2
    return half - strand.number if strand.hand == "left" else half + strand.number - 1 + mains % 2


def _piece(shape: RacquetShape, found: Route, piece: Piece, gauge: float) -> Iterator[StringRun]:
    if (shape.mains, shape.crosses) != (found.drilling.mains, found.drilling.crosses):
        raise ValueError("the path is that of another pattern")
    yield from _tie(shape, found, piece.ends[0])
    yield from _bed(shape, found, piece.passes, gauge)
    yield from _tie(shape, found, piece.ends[1])


def _bed(shape: RacquetShape, found: Route, passes: Sequence[Pass], gauge: float) -> Iterator[StringRun]:
    """The strings inside the head with their passes of the hoop, and the turns between them."""
    for each in passes:
        own = chord(shape, each.strand)
        yield from own.runs(weave(shape, own.of, gauge))
    for one, other in pairwise(passes):
        yield from _bridge(shape, found, one, other)


def _bridge(shape: RacquetShape, found: Route, one: Pass, other: Pass) -> Iterator[StringRun]:
    """String round the hoop from where one string leaves to where the next begins."""
    start, stop = spot(shape, found, one.stop), spot(shape, found, other.start)
    yield from _turn(shape, start, stop, other.strand.of, "bridge")


def _turn(shape: RacquetShape, start: Spot, stop: Spot, of: Side, where: Where) -> Iterator[StringRun]:
    first, last = _angle(shape, start), _angle(shape, stop)
    turn = (last - first + math.pi) % (2 * math.pi) - math.pi
    count = max(1, math.ceil(math.dist(start, stop) / _STEP_MM))
    spots = [groove(shape, *shape.outline_point(first + turn * i / count)) for i in range(count + 1)]
    for one, other in pairwise(spots):
        yield StringRun(of, where, one, other, math.dist(one, other))


def _tie(shape: RacquetShape, found: Route, end: LooseEnd) -> Iterator[StringRun]:
    """The knot of one end: in the hole that was told, else as much as knots usually take."""
    inner = spot(shape, found, end.hole)
    if end.tie is None:
        outer = groove(shape, *inner)
        yield StringRun(end.of, "tie-off", outer, outer, TIE_OFF_MM + math.dist(inner, outer))
        return
    to = spot(shape, found, end.tie)
    yield from _turn(shape, inner, to, end.of, "tie-off")
    through = groove(shape, *to)
    yield StringRun(end.of, "tie-off", through, to, math.dist(through, to))
    yield StringRun(end.of, "tie-off", to, to, KNOT_MM)


def _angle(shape: RacquetShape, at: Spot) -> float:
    return shape.outline_turn(*at)
