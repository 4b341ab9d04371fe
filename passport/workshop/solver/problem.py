"""What is asked of a plan: a body to start from, what may be done to it, and what is wanted of the result.

Each place is a group of options (so many steps of a material), of which at most one is taken; an option is the exact
change of moments that it makes, so what bends with the length of a strip is no approximation.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, Self

import numpy as np
from numpy.typing import NDArray

from passport.physics.moments import SWING_AXIS_MM, Moments
from passport.workshop.solver.doubt import Doubt

QUANTITIES: Final = ("mass", "balance", "swingweight", "twistweight")
"""What a window may want, in the order of all arrays."""

LADDER: Final = (0.5, 0.75, 1.0)
"""Shares of the tolerances that are tried in turn: the middle half first, so that what cannot be measured exactly does
not throw the result out."""

SLACK: Final = 1e-9
"""How far beyond a tolerance still counts as inside it, as a share: the rounding of a sum, nothing else."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """A target and its tolerance to either side."""

    target: float
    tolerance: float


@dataclass(frozen=True, slots=True)
class Window:
    """What is wanted: mass g, balance mm, swingweight and twistweight kg·cm², each where it is known."""

    mass: Bounds | None = None
    balance: Bounds | None = None
    swingweight: Bounds | None = None
    twistweight: Bounds | None = None
    axis: float = SWING_AXIS_MM

    def bounds(self, quantity: str) -> Bounds | None:
        """What is wanted of one quantity, None where nothing is."""
        found: Bounds | None = getattr(self, quantity)
        return found

    def misses(self, body: Moments) -> dict[str, float]:
        """Each quantity's distance from its target in tolerances, signed; above 1 in size is outside."""
        figures = {
            "mass": (self.mass, body.mass),
            "balance": (self.balance, body.balance),
            "swingweight": (self.swingweight, body.swingweight(self.axis)),
            "twistweight": (self.twistweight, body.twistweight),
        }
        return {
            name: (value - band.target) / band.tolerance
            for name, (band, value) in figures.items()
            if band is not None and value is not None
        }

    def worst(self, body: Moments) -> float:
        """The largest miss in size; 0 where nothing is wanted."""
        return max((abs(miss) for miss in self.misses(body).values()), default=0.0)

    def widened(self, factor: float) -> Self:
        """The same targets with ``factor`` times the tolerances."""

        def wide(band: Bounds | None) -> Bounds | None:
            return None if band is None else Bounds(band.target, band.tolerance * factor)

        mass, balance = wide(self.mass), wide(self.balance)
        return type(self)(mass, balance, wide(self.swingweight), wide(self.twistweight), self.axis)

    def inside(self, body: Moments) -> bool:
        """Whether every quantity is within its tolerance."""
        return self.worst(body) <= 1 + SLACK


@dataclass(frozen=True)
class Group:
    """Options of which at most one is taken, each as the change of moments that it makes.

    ``off`` marks things taken off, which are the last resort.
    """

    name: str
    options: tuple[Moments, ...]
    off: bool = False

    def table(self, axis: float) -> NDArray[np.float64]:
        """Mass g, first moment g·mm, swing- and twistweight kg·cm² of each option: n × 4, worked out once."""
        # Kept with the group: a site is asked for its table once for every blank and every number of places.
        if axis not in self._tables:
            self._tables[axis] = np.array([row_of(option, axis) for option in self.options]).reshape(-1, 4)
        return self._tables[axis]

    @cached_property
    def _tables(self) -> dict[float, NDArray[np.float64]]:
        return {}


def row_of(body: Moments, axis: float = SWING_AXIS_MM) -> NDArray[np.float64]:
    """Mass, first moment, swingweight and polar moment (0 where it is not known), in kg·cm² the last two."""
    return np.array([body.m0, body.m1, body.swingweight(axis), body.twistweight or 0.0])


@dataclass(frozen=True, slots=True)
class Budget:
    """No more than ``most`` of something over all groups; ``takes`` is what each option of a group takes of it."""

    most: float
    takes: Mapping[int, NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class Problem:
    """A body to ``start`` from, what may be done to it, and what is wanted of the result.

    ``clashes``: for two groups, the smaller index first, which option of the one (row) and of the other (column) cannot
    both be taken. ``doubt``: what makes the figures unsure; None where they are taken to be exact. ``most_places`` is how
    many groups something may be added of at most, ``budgets`` what all of them together may take.
    """

    start: Moments
    groups: tuple[Group, ...]
    window: Window
    clashes: Mapping[tuple[int, int], NDArray[np.bool_]] = field(default_factory=dict)
    doubt: Doubt | None = None
    most_places: int | None = None
    budgets: tuple[Budget, ...] = ()

    @property
    def reference(self) -> float:
        """The mass that a first moment is divided by to be taken for a balance, g."""
        return self.window.mass.target if self.window.mass else self.start.m0


@dataclass(frozen=True, slots=True)
class Solution:
    """What to take of each group (None: nothing), what comes out, and how far off it is in tolerances.

    ``chance``: the probability that all quantities are inside. ``compared``: how many plans with as many places this one
    was chosen from; ``complete``: whether they are all of those that add little more than the lightest. ``proven`` is
    False where the search ended before it could show that there is nothing better; ``gap`` is then by how much what was
    sought could be lower at most: grams where the least mass was sought, tolerances where the nearest was, else places.
    """

    picks: tuple[int | None, ...]
    result: Moments
    worst: float
    inside: bool
    proven: bool = True
    gap: float = 0.0
    chance: float = 1.0
    compared: int = 1
    complete: bool = True

    @property
    def used(self) -> frozenset[int]:
        """The groups that something was taken of."""
        return frozenset(i for i, pick in enumerate(self.picks) if pick is not None)


def add_up(problem: Problem, picks: Sequence[int | None]) -> Moments:
    """The body that comes out of taking one option, or none, of each group."""
    taken = [g.options[pick] for g, pick in zip(problem.groups, picks, strict=True) if pick is not None]
    return Moments.total([problem.start, *taken])


def solution_of(problem: Problem, picks: Sequence[int | None], proven: bool = True, gap: float = 0.0) -> Solution:
    """The solution that takes these options, re-added and judged; its chance is another's to say."""
    result = add_up(problem, picks)
    return Solution(tuple(picks), result, problem.window.worst(result), problem.window.inside(result), proven, gap)


def clash(problem: Problem, picks: Sequence[int | None]) -> bool:
    """Whether two of these options cannot both be taken."""
    return any(
        one is not None and other is not None and bool(table[one, other])
        for (i, k), table in problem.clashes.items()
        for one, other in [(picks[i], picks[k])]
    )


def rung(worst: float) -> int:
    """Which step of the ladder a worst miss is within; one more than the last for outside."""
    return next((i for i, share in enumerate(LADDER) if worst <= share * (1 + SLACK)), len(LADDER))
