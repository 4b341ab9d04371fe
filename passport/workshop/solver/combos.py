"""Every way to use few places, tried: exact, and faster than any cleverer search as long as they are few.

All combinations of one option from each of up to `MOST` groups are added up, in two halves that meet on the mass, a
block at a time, so that memory does not grow with their number.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import prod
from typing import Final

import numpy as np
from numpy.typing import NDArray

from passport.workshop.solver.problem import SLACK, Problem, Window, row_of

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

MOST: Final = 4
"""Up to so many places every combination is tried; for more the mixed-integer program takes over."""

COMBINATIONS: Final = 10_000_000
"""More combinations than this are not tried one by one either: some seconds at most."""

_BLOCK: Final = 100_000
"""Combinations that are added up at a time: a few megabytes."""

_ROUNDING: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Block:
    """Plans inside the window that use all of the ``chosen`` groups.

    ``picks``: n × groups, the option taken of each; ``moments``: n × 4, mass g, first moment g·mm, swingweight and
    twistweight kg·cm² (0 where it is not known); ``worst``: the largest miss in tolerances.
    """

    chosen: tuple[int, ...]
    picks: Indices
    moments: Array
    worst: Array


def open_groups(problem: Problem) -> list[int]:
    """The groups that something can be added of."""
    return [i for i, group in enumerate(problem.groups) if not group.off and group.options]


def combinations_of(problem: Problem, size: int) -> int:
    """How many combinations of ``size`` groups there are."""
    counts = [len(problem.groups[i].options) for i in open_groups(problem)]
    return sum(prod(chosen) for chosen in combinations(counts, size))


def inside(problem: Problem, size: int) -> Iterator[Block]:
    """All plans with ``size`` groups that are inside the window and do not lie on each other, in blocks."""
    tables = {i: problem.groups[i].table(problem.window.axis) for i in open_groups(problem)}
    start, twist = row_of(problem.start, problem.window.axis), problem.start.polar is not None
    for chosen in combinations(tables, size):
        if _hopeless(problem.window, start, [tables[i] for i in chosen], twist):
            continue
        # Meeting in the middle: with a hundred options a place, four places are 10⁸ sums, two halves 10⁴ each.
        half = size // 2
        one = _sums([tables[i] for i in chosen[:half]], start)
        other = _sums([tables[i] for i in chosen[half:]], np.zeros(4))
        lengths = [len(tables[i]) for i in chosen]
        for first, second in _within_mass(problem.window, one[:, 0], other[:, 0]):
            kept, worst = judged(problem.window, one[first] + other[second], twist)
            if kept.any():
                first, second, worst = first[kept], second[kept], worst[kept]  # noqa: PLW2901
                picks = _picks(first, second, lengths, half)
                free = ~clashing(problem, chosen, picks)
                if free.any():
                    yield Block(chosen, picks[free], (one[first] + other[second])[free], worst[free])


def judged(window: Window, rows: Array, twist: bool) -> tuple[NDArray[np.bool_], Array]:
    """Which bodies are inside the window, and the worst miss of each in tolerances."""
    worst = np.zeros(len(rows))
    for miss in _misses(window, twist):
        worst = np.maximum(worst, np.abs(miss(rows)))
    return worst <= 1 + SLACK, worst


def clashing(problem: Problem, chosen: Sequence[int], picks: Indices) -> NDArray[np.bool_]:
    """Which plans, n × chosen groups, have two options that cannot both be taken, or take more than there is."""
    found = np.zeros(len(picks), dtype=bool)
    for (a, i), (b, k) in combinations(enumerate(chosen), 2):
        table = problem.clashes.get((i, k))
        if table is not None:
            found |= table[picks[:, a], picks[:, b]]
    for budget in problem.budgets:
        taken = sum(
            (budget.takes[i][picks[:, a]] for a, i in enumerate(chosen) if i in budget.takes), np.zeros(len(picks))
        )
        found |= taken > budget.most + _ROUNDING
    return found


def _hopeless(window: Window, start: Array, tables: Sequence[Array], twist: bool) -> bool:
    """Whether the least and the most of each option keep a quantity outside whatever is taken of these places."""
    low = start + sum((t.min(axis=0) for t in tables), np.zeros(4))
    high = start + sum((t.max(axis=0) for t in tables), np.zeros(4))
    # The balance is left out: it is a quotient, and the ends of its parts say nothing sharp about it.
    for i, bounds in ((0, window.mass), (2, window.swingweight), (3, window.twistweight if twist else None)):
        if bounds:
            # A shade wide: this only skips work, and must never skip a plan that lies on the limit.
            reach = bounds.tolerance * (1 + _ROUNDING)
            if low[i] > bounds.target + reach or high[i] < bounds.target - reach:
                return True
    return False


def _sums(tables: Sequence[Array], start: Array) -> Array:
    """All sums of one row from each table, the last table's rows running fastest."""
    sums = start[np.newaxis, :]
    for table in tables:
        sums = (sums[:, np.newaxis, :] + table[np.newaxis, :, :]).reshape(-1, 4)
    return sums


def _within_mass(window: Window, one: Array, other: Array) -> Iterator[tuple[Indices, Indices]]:
    """Indices of all pairs whose masses add up to within the tolerance, in blocks; of all where no mass is wanted."""
    # Stable, so that equal masses keep their order and the same records give the same plan everywhere.
    order = np.argsort(other, kind="stable")
    low, high = np.zeros(len(one), dtype=np.intp), np.full(len(one), len(other), dtype=np.intp)
    if window.mass:
        band = window.mass
        low = np.searchsorted(other[order], band.target - band.tolerance - one - _ROUNDING)
        high = np.searchsorted(other[order], band.target + band.tolerance - one + _ROUNDING, side="right")
    count = np.maximum(high - low, 0)
    ends = np.cumsum(count)
    total = int(ends[-1]) if len(ends) else 0
    for begin in range(0, total, _BLOCK):
        # All pairs numbered through and cut into blocks by number: a loop over rows in Python would take most of the
        # time.
        at = np.arange(begin, min(begin + _BLOCK, total))
        first = np.searchsorted(ends, at, side="right")
        yield first, order[low[first] + at - (ends[first] - count[first])]


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


def _picks(first: Indices, second: Indices, lengths: Sequence[int], half: int) -> Indices:
    """The options behind rows of the two halves, n × groups."""
    columns = [
        column
        for rows, sizes in ((first, lengths[:half]), (second, lengths[half:]))
        for column in (np.unravel_index(rows, tuple(sizes)) if sizes else ())
    ]
    return np.stack(columns, axis=1) if columns else np.zeros((len(first), 0), dtype=np.intp)
