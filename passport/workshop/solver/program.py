"""The same search as a mixed-integer program, solved by HiGHS: for many places, for what cannot be met, for proofs.

One 0-or-1 variable stands for each option. Mass, swingweight and twistweight are linear in the moments, and so is a
balance within its tolerance: |m₁ − B·m₀| ≤ tolerance·m₀. A last variable is the worst miss.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from passport.physics.moments import Moments
from passport.workshop.solver.problem import Bounds, Problem, Solution, solution_of

Vector = NDArray[np.float64]
Row = tuple[Vector, float, float]
"""Coefficients of all variables with the lower and the upper limit of their sum."""

SHY: Final = 1e-5
"""By how much the program's windows are narrower than the tolerances, as a share: its own feasibility limits."""

_OPTIONS: Final = {"mip_rel_gap": 0.0, "time_limit": 20.0}
"""A search ends with a proof that nothing is better, or after so many seconds with the best that it found."""

_SCALES: Final = (10.0, 100.0, 1.0, 0.1)
"""Scales of the variables that need not be whole, tried in turn where the solver gives up: the first did not on 800
random problems, on which the scale of 1 did on one in thirty."""

_OFF: Final = 1000.0
"""What one thing taken off counts in places; no racquet has as many."""


@dataclass(frozen=True, slots=True)
class Optimum:
    """Values of all variables at the least cost; ``proven`` where nothing costs less."""

    x: Vector
    least: float
    proven: bool

    def cost(self, row: Vector) -> float:
        """What a row of coefficients sums to, of whole numbers."""
        return float(row[:-1] @ np.round(self.x[:-1]))


class Program:
    """The mixed-integer program of a problem."""

    def __init__(self, problem: Problem) -> None:
        """Columns for the moments of every option, and one more for the worst miss."""
        self.problem = problem
        self._group = np.array([i for i, g in enumerate(problem.groups) for _ in g.options], dtype=int)
        self._options = [option for group in problem.groups for option in group.options]
        self.size = len(self._options) + 1
        axis = problem.window.axis
        self.mass = self._column([o.m0 for o in self._options])
        self._m1 = self._column([o.m1 for o in self._options])
        self._swing = self._column([o.swingweight(axis) for o in self._options])
        self._polar = self._column([o.twistweight or 0.0 for o in self._options])
        self.count = self._column([_OFF if problem.groups[i].off else 1.0 for i in self._group])
        self.miss = np.zeros(self.size)
        self.miss[-1] = 1.0

    @staticmethod
    def _column(values: Sequence[float]) -> Vector:
        return np.array([*values, 0.0])

    def measure(self, quantity: str) -> Vector:
        """What each option adds to a quantity; for a balance to the first moment about the wanted one."""
        if quantity == "balance" and self.problem.window.balance:
            return self._m1 - self.problem.window.balance.target * self.mass
        return {"mass": self.mass, "swingweight": self._swing, "twistweight": self._polar}[quantity]

    def rows(self, share: float) -> dict[str, list[Row]]:
        """The window, narrowed to a ``share`` of every tolerance, as rows in units of the tolerance."""
        start, window = self.problem.start, self.problem.window
        rows: dict[str, list[Row]] = {}
        for name, band, values, begin in (
            ("mass", window.mass, self.mass, start.m0),
            ("swingweight", window.swingweight, self._swing, start.swingweight(window.axis)),
            ("twistweight", window.twistweight, self._polar, start.twistweight),
        ):
            if band is not None and begin is not None:
                off = (begin - band.target) / band.tolerance
                rows[name] = [(values / band.tolerance, -share - off, share - off)]
        if window.balance:
            rows["balance"] = list(self._balance_rows(window.balance, share))
        return rows

    def _balance_rows(self, band: Bounds, share: float) -> Iterator[Row]:
        start, unit = self.problem.start, band.tolerance * self.problem.reference
        for side in (1, -1):
            edge = band.target + side * share * band.tolerance
            row, begin = (self._m1 - edge * self.mass) / unit, (start.m1 - edge * start.m0) / unit
            yield (row, -np.inf, -begin) if side > 0 else (row, -begin, np.inf)

    def window(self, share: float) -> list[Row]:
        """All rows of the window."""
        return [row for rows in self.rows(share).values() for row in rows]

    def within_miss(self) -> list[Row]:
        """Rows that keep every miss within the last variable, which is a share of `unit`."""
        rows: list[Row] = []
        for values, centre in self._centred():
            row, middle = values / self.unit, centre / self.unit
            rows += [(row - self.miss, -np.inf, middle), (row + self.miss, middle, np.inf)]
        return rows

    @cached_property
    def unit(self) -> float:
        """The worst miss of doing nothing, in tolerances, or 1: it keeps the last variable between 0 and 1.

        Without this scale the solver gives up on its own rounding where a target is far off.
        """
        return max([1.0, *(abs(centre) for _, centre in self._centred())])

    def _centred(self) -> Iterator[tuple[Vector, float]]:
        """For each wanted quantity what each option adds, and what is lacking, in tolerances."""
        start, window = self.problem.start, self.problem.window
        for name, found in self.rows(0.0).items():
            if name == "balance" and window.balance:
                unit = window.balance.tolerance * self.problem.reference
                yield self.measure("balance") / unit, -(start.m1 - window.balance.target * start.m0) / unit
            else:
                yield found[0][0], found[0][1]

    def miss_at_most(self, worst: float) -> Row:
        """A row that keeps the worst miss at or below so many tolerances."""
        return self.at_most(self.miss, worst / self.unit)

    def at_most(self, row: Vector, most: float) -> Row:
        """A row that keeps a sum at or below ``most``."""
        return row, -np.inf, most

    def not_all_of(self, used: Iterable[int]) -> Row:
        """A row that leaves out at least one of these groups."""
        row = np.isin(np.append(self._group, -1), sorted(used)).astype(float)
        return row, -np.inf, len(set(used)) - 1.0

    def at_least(self, places: int) -> Row:
        """A row that takes something of at least so many groups."""
        return np.append(np.ones(self.size - 1), 0.0), places, np.inf

    def run(self, cost: Vector, rows: Sequence[Row]) -> Optimum | None:
        """The least cost in whole options that meets all rows, or None where nothing meets them."""
        whole = np.append(np.ones(self.size - 1), 0.0)
        x, ended = self._highs(cost, whole, rows)
        return None if x is None else Optimum(x, float(cost @ x), ended)

    def relaxed(self, cost: Vector, rows: Sequence[Row]) -> Vector | None:
        """The least cost in divisible options, or None where nothing meets the rows."""
        return self._highs(cost, np.zeros(self.size), rows)[0]

    def once(self) -> Iterator[Row]:
        """One row for each group: at most one option of it."""
        group = np.append(self._group, -1)
        return (((group == i).astype(float), -np.inf, 1.0) for i in range(len(self.problem.groups)))

    def columns(self) -> dict[str, Vector]:
        """What each option adds: mass g, first moment g·mm, swingweight and twistweight kg·cm²."""
        found = {"mass": self.mass, "first": self._m1, "swingweight": self._swing, "twistweight": self._polar}
        return {name: column[:-1] for name, column in found.items()}

    def _highs(self, cost: Vector, whole: Vector, rows: Sequence[Row]) -> tuple[Vector | None, bool]:
        return highs(cost, whole, [*rows, *self.once()], np.ones(self.size))

    def solution(self, found: Optimum) -> Solution:
        """The options that were taken, re-added exactly."""
        picks: list[int | None] = [None] * len(self.problem.groups)
        firsts = np.searchsorted(self._group, np.arange(len(picks)))
        for k in np.flatnonzero(found.x[:-1] > 0.5):
            picks[self._group[k]] = int(k - firsts[self._group[k]])
        return solution_of(self.problem, picks, found.proven)

    def blend(self, x: Vector) -> Moments:
        """The body that divided options make."""
        parts = [o.scaled(float(share)) for o, share in zip(self._options, x[:-1], strict=True) if share > 0]
        return Moments.total([self.problem.start, *parts])


def highs(cost: Vector, whole: Vector, rows: Sequence[Row], high: Vector) -> tuple[Vector | None, bool]:
    """The variables, from 0 to ``high``, at the least cost, and whether the search came to its end.

    ``whole`` is 1 for variables that must be whole. None where no values meet the rows. Now and then the solver gives
    up on its own rounding; another scale of the variables that need not be whole then helps. Raises ``RuntimeError``
    where none does, which no input is known to bring about.
    """
    # here, because it takes a third of a second to load, which other commands need not wait for
    from scipy.optimize import Bounds, LinearConstraint, milp

    kept = rows or [(np.zeros(len(cost)), -1.0, 1.0)]
    matrix, low, top = (np.array(column) for column in zip(*kept, strict=True))
    message = ""
    for scale in _SCALES:
        unit = np.where(whole > 0, 1.0, scale)
        limits, bounds = LinearConstraint(matrix / unit, low, top), Bounds(np.zeros(len(cost)), high * unit)
        result = milp(cost / unit, integrality=whole, bounds=bounds, constraints=limits, options=_OPTIONS)
        if result.x is not None:
            return np.asarray(result.x) / unit, result.status == 0
        if result.status == 2:  # infeasible, and proven to be
            return None, True
        message = result.message
    raise RuntimeError(f"the solver ended without an answer: {message}")
