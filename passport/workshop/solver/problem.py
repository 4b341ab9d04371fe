"""What is asked of a plan: a body to start from, what may be done to it, and what is wanted of the result.

Each place is a group of options (so many steps of a material), of which at most one is taken; an option is the exact
change of moments that it makes, so what bends with the length of a strip is no approximation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Self

from passport.physics.moments import SWING_AXIS_MM, Moments

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


@dataclass(frozen=True, slots=True)
class Group:
    """Options of which at most one is taken, each as the change of moments that it makes.

    ``off`` marks things taken off, which are the last resort.
    """

    name: str
    options: tuple[Moments, ...]
    off: bool = False


@dataclass(frozen=True, slots=True)
class Problem:
    """A body to ``start`` from, what may be done to it, and what is wanted of the result."""

    start: Moments
    groups: tuple[Group, ...]
    window: Window

    @property
    def reference(self) -> float:
        """The mass that a first moment is divided by to be taken for a balance, g."""
        return self.window.mass.target if self.window.mass else self.start.m0


@dataclass(frozen=True, slots=True)
class Solution:
    """What to take of each group (None: nothing), what comes out, and how far off it is in tolerances.

    ``proven`` is False where the search ended before it could show that there is nothing better.
    """

    picks: tuple[int | None, ...]
    result: Moments
    worst: float
    inside: bool
    proven: bool = True

    @property
    def used(self) -> frozenset[int]:
        """The groups that something was taken of."""
        return frozenset(i for i, pick in enumerate(self.picks) if pick is not None)


def add_up(problem: Problem, picks: Sequence[int | None]) -> Moments:
    """The body that comes out of taking one option, or none, of each group."""
    taken = [g.options[pick] for g, pick in zip(problem.groups, picks, strict=True) if pick is not None]
    return Moments.total([problem.start, *taken])


def solution_of(problem: Problem, picks: Sequence[int | None], proven: bool = True) -> Solution:
    """The solution that takes these options, re-added and judged."""
    result = add_up(problem, picks)
    return Solution(tuple(picks), result, problem.window.worst(result), problem.window.inside(result), proven)


def rung(worst: float) -> int:
    """Which step of the ladder a worst miss is within; one more than the last for outside."""
    return next((i for i, share in enumerate(LADDER) if worst <= share * (1 + SLACK)), len(LADDER))
