"""Every way to use few places, tried: exact, and faster than any cleverer search as long as they are few.

All combinations of one option from each of up to `MOST` groups are added up, in two halves that meet on the mass.
"""

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from passport.physics.moments import Moments
from passport.workshop.solver.problem import LADDER, SLACK, Group, Problem, Solution, Window, solution_of

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

MOST: Final = 4
"""Up to so many places every combination is tried; for more the mixed-integer program takes over."""


def best_of_each_set(problem: Problem, size: int) -> Iterator[Solution]:
    """For each set of ``size`` groups that are not taken off: its best way inside the window, where there is one.

    Best is the lowest rung of the ladder, then the least mass, then the least worst miss.
    """
    tables = {i: _table(g, problem.window) for i, g in enumerate(problem.groups) if not g.off and g.options}
    start = _row(problem.start, problem.window)
    twist = problem.start.polar is not None
    for chosen in combinations(tables, size):
        half = size // 2
        one = _sums([tables[i] for i in chosen[:half]], start)
        other = _sums([tables[i] for i in chosen[half:]], np.zeros(4))
        found = _best_pair(problem.window, one, other, twist)
        if found is not None:
            lengths = [len(tables[i]) for i in chosen]
            yield solution_of(problem, _picks(found, lengths, chosen, half, len(problem.groups)))


def _row(body: Moments, window: Window) -> Array:
    """Mass, first moment, swingweight and polar moment (0 where it is not known), in kg·cm² the last two."""
    return np.array([body.m0, body.m1, body.swingweight(window.axis), body.twistweight or 0.0])


def _table(group: Group, window: Window) -> Array:
    return np.array([_row(option, window) for option in group.options])


def _sums(tables: Sequence[Array], start: Array) -> Array:
    """All sums of one row from each table, the last table's rows running fastest."""
    sums = start[np.newaxis, :]
    for table in tables:
        sums = (sums[:, np.newaxis, :] + table[np.newaxis, :, :]).reshape(-1, 4)
    return sums


def _best_pair(window: Window, one: Array, other: Array, twist: bool) -> tuple[int, int] | None:
    """The rows of the two halves that make the best body inside the window."""
    first, second = _within_mass(window, one[:, 0], other[:, 0])
    if not len(first):
        return None
    worst = np.zeros(len(first))
    for miss in _misses(window, twist):
        sums = one[first] + other[second]
        worst = np.maximum(worst, np.abs(miss(sums)))
        kept = worst <= 1 + SLACK
        first, second, worst = first[kept], second[kept], worst[kept]
    if not len(first):
        return None
    mass = np.round(one[first, 0] + other[second, 0], 6)
    rungs = np.searchsorted(np.array(LADDER) * (1 + SLACK), worst)
    best = np.lexsort((worst, mass, rungs))[0]
    return int(first[best]), int(second[best])


def _within_mass(window: Window, one: Array, other: Array) -> tuple[Indices, Indices]:
    """Indices of all pairs whose masses add up to within the tolerance; of all pairs where no mass is wanted."""
    order = np.argsort(other, kind="stable")
    low, high = np.zeros(len(one), dtype=np.intp), np.full(len(one), len(other), dtype=np.intp)
    if window.mass:
        band, rounding = window.mass, 1e-6
        low = np.searchsorted(other[order], band.target - band.tolerance - one - rounding)
        high = np.searchsorted(other[order], band.target + band.tolerance - one + rounding, side="right")
    count = np.maximum(high - low, 0)
    first = np.repeat(np.arange(len(one)), count)
    within = np.arange(len(first)) - np.repeat(np.cumsum(count) - count, count)
    return first, order[np.repeat(low, count) + within]


def _misses(window: Window, twist: bool) -> Iterator[Callable[[Array], Array]]:
    """The misses of rows of moments, in tolerances, one function for each quantity that is wanted."""
    if window.mass:
        mass = window.mass
        yield lambda rows: (rows[:, 0] - mass.target) / mass.tolerance
    if window.swingweight:
        swing = window.swingweight
        yield lambda rows: (rows[:, 2] - swing.target) / swing.tolerance
    if window.balance:
        balance = window.balance
        yield lambda rows: (rows[:, 1] / rows[:, 0] - balance.target) / balance.tolerance
    if window.twistweight and twist:
        turn = window.twistweight
        yield lambda rows: (rows[:, 3] - turn.target) / turn.tolerance


def _picks(
    found: tuple[int, int], lengths: Sequence[int], chosen: Sequence[int], half: int, groups: int
) -> list[int | None]:
    """The options behind a row of each half."""
    picks: list[int | None] = [None] * groups
    for row, part in ((found[0], slice(0, half)), (found[1], slice(half, None))):
        sizes = lengths[part]
        for group, pick in zip(chosen[part], np.unravel_index(row, tuple(sizes) or (1,)), strict=False):
            picks[group] = int(pick)
    return picks
