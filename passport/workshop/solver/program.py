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
from passport.workshop.solver.highs import HighsAnswer, Row, Vector, highs
from passport.workshop.solver.problem import Bounds, Problem, Solution, solution_of

EDGE: Final = 1e-6
"""By how much the program's windows are first wider than the tolerances, as a share, so that what lies on a limit is
found: whatever comes out is added up again."""

SHY: Final = 1e-5
"""By how much they are narrower where what was found lies beyond a limit after all: more than the solver's rounding."""

_OFF: Final = 1000.0
"""What one thing taken off counts in places; no racquet has as many."""


@dataclass(frozen=True, slots=True)
class Optimum:
    """Values of all variables, their cost, and a ``bound`` that no values go below; ``proven`` where nothing costs less."""

    x: Vector
    least: float
    proven: bool
    bound: float

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
            # m₁/m₀ ≤ edge is m₁ − edge·m₀ ≤ 0 as long as there is mass: exact, and linear.
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

    def run(self, cost: Vector, rows: Sequence[Row], start: Vector | None = None) -> Optimum | None:
        """The least cost in whole options that meets all rows, or None where nothing is found that meets them."""
        answer = self.asked(cost, rows, start)
        return None if answer.x is None else Optimum(answer.x, answer.cost, answer.ended, answer.bound)

    def asked(self, cost: Vector, rows: Sequence[Row], start: Vector | None = None) -> HighsAnswer:
        """The same with all that the solver says: also whether it is proven that nothing meets the rows."""
        whole = np.append(np.ones(self.size - 1), 0.0)
        return highs(cost, whole, [*rows, *self.once()], np.ones(self.size), start)

    def relaxed(self, cost: Vector, rows: Sequence[Row]) -> Vector | None:
        """The least cost in divisible options, or None where nothing meets the rows."""
        return highs(cost, np.zeros(self.size), [*rows, *self.once()], np.ones(self.size)).x

    def inside(self, cost: Vector, cuts: Sequence[Row], share: float = 1.0) -> tuple[Solution | None, HighsAnswer]:
        """The least cost inside a ``share`` of the window, re-added; and what the solver says of it.

        What the solver takes to be on a limit may be beyond it by its own rounding: then the window is narrowed.
        """
        # Wide first: the bound of this run holds for the true window, which a narrow one could not prove.
        first = self.asked(cost, [*self.window(share * (1 + EDGE)), *cuts])
        way = self.solved(first)
        if way is None or way.inside:
            return way, first
        again = self.asked(cost, [*self.window(share * (1 - SHY)), *cuts])
        way = self.solved(again)
        ended = first.ended and again.ended and (way is None or again.cost <= first.bound + 1e-6)
        return way, HighsAnswer(again.x, again.cost, first.bound, ended)

    def solved(self, answer: HighsAnswer) -> Solution | None:
        """The solution of an answer, None where there is none."""
        if answer.x is None:
            return None
        return self.solution(Optimum(answer.x, answer.cost, answer.ended, answer.bound))

    def once(self) -> Iterator[Row]:
        """One row for each group: at most one option of it; rows that keep what cannot both be taken apart, and those of
        what all may take together."""
        group = np.append(self._group, -1)
        for i in range(len(self.problem.groups)):
            yield (group == i).astype(float), -np.inf, 1.0
        yield from self._apart()
        if self.problem.most_places is not None:
            off = [i for i, each in enumerate(self.problem.groups) if each.off]
            yield (~np.isin(group, [-1, *off])).astype(float), -np.inf, float(self.problem.most_places)
        for budget in self.problem.budgets:
            row = np.zeros(self.size)
            for i, takes in budget.takes.items():
                mine = np.flatnonzero(group == i)
                row[mine] = takes[: len(mine)]
            yield row, -np.inf, budget.most

    def _apart(self) -> Iterator[Row]:
        """For each two groups that clash: of all options that exclude one another at most one."""
        group = np.append(self._group, -1)
        for (i, k), table in self.problem.clashes.items():
            mine, other = np.flatnonzero(group == i), np.flatnonzero(group == k)
            if len(mine) != table.shape[0] or len(other) != table.shape[1]:
                continue  # a group that nothing is taken of in this problem
            # One row for all options with the same conflicts, not one a pair: far fewer rows, and a tighter relaxation.
            for excluded in np.unique(table[table.any(axis=1)], axis=0):
                row = np.zeros(self.size)
                row[mine[(table >= excluded).all(axis=1)]] = 1.0
                row[other[excluded]] = 1.0
                yield row, -np.inf, 1.0

    def columns(self) -> dict[str, Vector]:
        """What each option adds: mass g, first moment g·mm, swingweight and twistweight kg·cm²."""
        found = {"mass": self.mass, "first": self._m1, "swingweight": self._swing, "twistweight": self._polar}
        return {name: column[:-1] for name, column in found.items()}

    def solution(self, found: Optimum) -> Solution:
        """The options that were taken, re-added exactly."""
        gap = 0.0 if found.proven else max(0.0, found.least - found.bound)
        return solution_of(self.problem, self.picks_of(found.x[:-1]), found.proven, gap)

    def picks_of(self, x: Vector) -> list[int | None]:
        """The option taken of each group."""
        picks: list[int | None] = [None] * len(self.problem.groups)
        # The solver's whole numbers are whole to within 1e-6 only.
        for k in np.flatnonzero(x > 0.5):
            picks[self._group[k]] = int(k - self._firsts[self._group[k]])
        return picks

    def columns_of(self, picks: Sequence[int | None]) -> list[int]:
        """The columns of the options that are taken."""
        return [int(self._firsts[i]) + pick for i, pick in enumerate(picks) if pick is not None]

    @cached_property
    def _firsts(self) -> NDArray[np.intp]:
        """The column of each group's first option."""
        return np.searchsorted(self._group, np.arange(len(self.problem.groups)))

    def blend(self, x: Vector) -> Moments:
        """The body that divided options make."""
        parts = [o.scaled(float(share)) for o, share in zip(self._options, x[:-1], strict=True) if share > 0]
        return Moments.total([self.problem.start, *parts])
