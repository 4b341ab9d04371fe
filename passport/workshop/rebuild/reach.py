"""What the materials in stock can reach from a frame: every mass and balance, and the swingweights that go with them.

A place takes from 0 to so many grams, and each of its grams adds the same mass, first moment and swingweight. All mixes
together are a zonotope, a sum of line segments; its faces are spanned by pairs of places, so that the least and the
most swingweight for a given mass and first moment are the largest and the smallest of a few planes (linear programming
duality, from memory). Steps are taken as infinitely fine, so no plan reaches what lies outside.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from passport.physics.moments import Moments
from passport.workshop.rebuild.plan import Plan, Rebuild

Point = tuple[float, float]
"""Mass in g and balance in mm; inside this module also mass added in g and first moment added in g·mm."""
Plane = tuple[float, float, float]
"""Swingweight a gram, swingweight a gram and millimetre, and at nothing added: kg·cm²."""

_FINE = 12
"""Pieces of each edge: straight in mass and first moment, slightly bent in mass and balance."""


@dataclass(frozen=True, slots=True)
class Supply:
    """A place that takes up to ``room`` g; each gram adds 1 g, ``x`` g·mm of first moment and ``swing`` kg·cm²."""

    room: float
    x: float
    swing: float


@dataclass(frozen=True)
class Reach:
    """A body to begin with, mass g, first moment g·mm and swingweight kg·cm², and the places that add to it."""

    mass: float
    first: float
    swing: float
    sources: tuple[Supply, ...]

    def outline(self) -> tuple[Point, ...]:
        """All masses and balances that can be reached, as the corners of their edge."""
        return self._shown(self._zone())

    def fits(self, low: float, high: float) -> tuple[Point, ...]:
        """Where a mix exists whose swingweight is between ``low`` and ``high``; empty where there is none."""
        zone = self._zone()
        for a, b, c in self._planes(min):
            zone = clipped(zone, lambda p, a=a, b=b, c=c: high - (a * p[0] + b * p[1] + c))  # type: ignore[misc]
        for a, b, c in self._planes(max):
            zone = clipped(zone, lambda p, a=a, b=b, c=c: a * p[0] + b * p[1] + c - low)  # type: ignore[misc]
        return self._shown(zone)

    def least_field(self, masses: NDArray[np.float64], balances: NDArray[np.float64]) -> NDArray[np.float64]:
        """The least swingweight in kg·cm² at masses in g and balances in mm, arrays of one shape.

        Beyond the outline it is what the planes say there, which nothing reaches.
        """
        added, first = masses - self.mass, masses * balances - self.first
        least: NDArray[np.float64] = np.max([a * added + b * first + c for a, b, c in self._planes(min)], axis=0)
        return least

    def least(self, mass: float, balance: float) -> float | None:
        """The least swingweight at a mass and a balance; None where they cannot be reached."""
        return self._swing(mass, balance, self._planes(min), max)

    def most(self, mass: float, balance: float) -> float | None:
        """The most swingweight at a mass and a balance; None where they cannot be reached."""
        return self._swing(mass, balance, self._planes(max), min)

    def _swing(
        self, mass: float, balance: float, planes: Sequence[Plane], pick: Callable[[Iterable[float]], float]
    ) -> float | None:
        added = (mass - self.mass, mass * balance - self.first)
        return _at(planes, added, pick) if inside(self._zone(), added) else None

    def _zone(self) -> tuple[Point, ...]:
        """The corners of what can be added, mass and first moment, counterclockwise from nothing added."""
        by_place = sorted(self.sources, key=lambda source: source.x)
        corners = [(0.0, 0.0)]
        for source, sign in [*((s, 1) for s in by_place), *((s, -1) for s in by_place)]:
            mass, first = corners[-1]
            corners.append((mass + sign * source.room, first + sign * source.room * source.x))
        return tuple(corners[:-1]) or ((0.0, 0.0),)

    def _planes(self, turn: Callable[[float, float], float]) -> list[Plane]:
        """The planes under (``min``) or over (``max``) all mixes: one through each pair of places."""
        # Two places at the same distance from the butt span no plane of their own.
        pairs = [(p, q) for p, q in combinations(self.sources, 2) if p.x != q.x]
        slopes = [(q.swing - p.swing) / (q.x - p.x) for p, q in pairs]
        leans = [(p.swing - slope * p.x, slope) for (p, _), slope in zip(pairs, slopes, strict=True)]
        if not leans:
            leans = [(source.swing, 0.0) for source in self.sources[:1]] or [(0.0, 0.0)]
        return [
            (a, b, self.swing + sum(s.room * turn(0.0, s.swing - a - b * s.x) for s in self.sources)) for a, b in leans
        ]

    def _line(self, one: Point, other: Point) -> tuple[Point, ...]:
        """A straight line in mass and first moment as it runs in mass and balance."""
        steps = ((i / _FINE, 1 - i / _FINE) for i in range(_FINE + 1))
        added = ((one[0] * v + other[0] * u, one[1] * v + other[1] * u) for u, v in steps)
        return tuple((self.mass + m, (self.first + f) / (self.mass + m)) for m, f in added)

    def _shown(self, zone: Sequence[Point]) -> tuple[Point, ...]:
        """A polygon of mass and first moment as one of mass and balance."""
        return tuple(p for one, other in pairwise([*zone, *zone[:1]]) for p in self._line(one, other)[:-1])


def reach_of(found: Rebuild, plan: Plan) -> Reach:
    """What can be reached from a finished but untuned frame, after what ``plan`` takes off it.

    The places' grams are those of the table of what one gram more does; what ``plan`` has at a place counts as room.
    """
    start, done = found.start, plan.predicted
    begin = Moments.from_measured(start.mass.value, start.balance.value, start.swingweight.value)
    for removal in plan.removals:
        begin = begin - removal.piece.moments
        if removal.instead:
            begin = begin + removal.instead.moments
    mass, balance = done.mass.value, done.balance.value
    # The table of effects has the first plan's grams taken off its room already; for another plan it has not.
    used = {piece.place: piece.mass_g for piece in plan.additions} if plan is found.plans[0] else {}
    sources = []
    for effect in found.effects:
        room = effect.room_g + used.get(effect.place, 0.0)
        if room > 0:
            # The table says what a gram does to the balance; undone here, since only first moments add up.
            x = (balance + effect.balance_mm) * (mass + 1) - balance * mass
            sources.append(Supply(room, x, effect.swingweight_kgcm2))
    return Reach(begin.m0, begin.m1, begin.swingweight(), tuple(sources))


def clipped(polygon: Sequence[Point], keep: Callable[[Point], float]) -> tuple[Point, ...]:
    """The part of a polygon where a linear function is not negative (Sutherland and Hodgman's clipping, from memory)."""
    corners: list[Point] = []
    for one, other in pairwise([*polygon, *polygon[:1]]):
        here, there = keep(one), keep(other)
        if here >= 0:
            corners.append(one)
        if (here < 0) != (there < 0):
            share = here / (here - there)
            corners.append((one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])))
    return tuple(corners)


def inside(polygon: Sequence[Point], point: Point, slack: float = 1e-6) -> bool:
    """Whether a point lies in a convex polygon given counterclockwise, or within ``slack`` of its edge."""
    for (x, y), (u, v) in pairwise([*polygon, *polygon[:1]]):
        size = ((u - x) ** 2 + (v - y) ** 2) ** 0.5
        if size and ((u - x) * (point[1] - y) - (v - y) * (point[0] - x)) / size < -slack:
            return False
    return bool(polygon)


def _at(planes: Sequence[Plane], point: Point, pick: Callable[[Iterable[float]], float]) -> float:
    return pick(a * point[0] + b * point[1] + c for a, b, c in planes)
