"""Where the numbers beside a racquet stand, and the lines that lead to them.

Coordinates are those of `passport.physics.geometry`. Numbers stand in columns along the racquet, on both sides. A
leader runs straight out from its piece to the foot of its column and from there slanting to its number; within a
column the numbers keep the order of their pieces, so no two leaders cross.
"""

from collections.abc import Sequence
from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Spot:
    """One place that wants a number: ``number``, and where its leader may start.

    ``x`` is the best place along the racquet, ``low`` to ``high`` the range it may be moved in; ``edge`` is the
    distance from the long axis at which the leader starts; ``side`` is 1 (right), −1 (left) or 0 (either).
    """

    number: int
    x: float
    low: float
    high: float
    edge: float
    side: int


@dataclass(frozen=True, slots=True)
class Zone:
    """A stretch of the racquet with its own pair of columns.

    ``low`` to ``high`` is the stretch, mm, open towards the end where ``open_end`` is; ``foot`` is the distance of the
    columns' feet from the long axis.
    """

    low: float
    high: float
    foot: float
    open_end: int


@dataclass(frozen=True, slots=True)
class Marker:
    """A placed number: its centre and the points of its leader, from the piece outwards."""

    number: int
    centre: Point
    leader: tuple[Point, Point, Point]


def spread(wanted: Sequence[float], gap: float) -> tuple[float, ...]:
    """Places at least ``gap`` apart, in the given rising order, that move least from those wanted (least squares).

    Taking i·gap off each turns the task into isotonic regression, solved by pooling neighbours that violate the order.
    """
    pools: list[tuple[float, int]] = []
    for i, place in enumerate(wanted):
        pool = (place - i * gap, 1)
        while pools and pools[-1][0] > pool[0]:
            mean, count = pools.pop()
            pool = ((mean * count + pool[0] * pool[1]) / (count + pool[1]), count + pool[1])
        pools.append(pool)
    level = [mean for mean, count in pools for _ in range(count)]
    return tuple(value + i * gap for i, value in enumerate(level))


def fit(wanted: Sequence[float], gap: float, zone: Zone) -> tuple[float, ...]:
    """Like `spread`, with all places kept on their side of the zone's closed end; they overflow at the open one."""
    places = spread(wanted, gap)
    last = len(places) - 1
    if zone.open_end > 0:
        return tuple(max(place, zone.low + i * gap) for i, place in enumerate(places))
    return tuple(min(place, zone.high - (last - i) * gap) for i, place in enumerate(places))


def choose_sides(spots: Sequence[Spot], taken: Sequence[float], apart: float) -> tuple[tuple[int, Spot], ...]:
    """Give each spot a side: its own where it has one, else the one with more room; ties alternate.

    ``taken`` are places along the right side that are already in use, ``apart`` the distance wanted between two.
    """
    used: dict[int, list[float]] = {1: list(taken), -1: []}
    chosen = []
    last = -1
    for spot in sorted(spots, key=lambda s: (s.side == 0, -s.x, s.number)):
        room = {side: min([abs(spot.x - x) for x in used[side]] + [apart]) for side in (1, -1)}
        side = spot.side or (max(room, key=lambda s: (room[s], -s * last)))
        used[side].append(spot.x)
        last = side
        chosen.append((side, spot))
    return tuple(chosen)


def part_anchors(spots: Sequence[Spot], apart: float) -> tuple[float, ...]:
    """Where the leaders of one column start: each inside its piece where possible, never two at one place.

    ``spots`` are sorted by their best place.
    """
    places: list[float] = []
    for spot in spots:
        least = places[-1] + apart if places else spot.low
        places.append(max(min(max(spot.x, least), spot.high), least if places else spot.low))
    return tuple(places)


def lay_out(
    spots: Sequence[Spot], zones: Sequence[Zone], *, radius: float, slant: float, taken: Sequence[float] = ()
) -> tuple[Marker, ...]:
    """Place every number, with discs of ``radius`` and slants ``slant`` wide; all in mm."""
    markers: list[Marker] = []
    for zone in zones:
        inside = [spot for spot in spots if zone.low <= spot.x < zone.high]
        sided = choose_sides(inside, taken, 2 * radius)
        for side in (1, -1):
            column = sorted((spot for s, spot in sided if s == side), key=lambda s: (s.x, s.number))
            anchors = part_anchors(column, 0.35 * radius)
            centres = fit(anchors, 2.3 * radius, zone)
            foot = side * zone.foot
            for spot, anchor, place in zip(column, anchors, centres, strict=True):
                centre = (place, foot + side * (slant + radius))
                leader = ((anchor, side * spot.edge), (anchor, foot), (place, foot + side * slant))
                markers.append(Marker(spot.number, centre, leader))
    return tuple(sorted(markers, key=lambda m: m.number))
