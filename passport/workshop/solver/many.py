"""Plans with more places, or more options, than can be tried one by one: from the mixed-integer program.

The program knows the fewest places and the least mass. What is surest it cannot know, since a chance is not linear: from
the lightest plan and from plans well inside the tolerances all neighbours are tried, a few steps more or fewer at each
place, until none is better. So not all plans are compared, and that is said (``complete``).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from passport.physics.normal import COARSE
from passport.workshop.solver.combos import clashing, judged
from passport.workshop.solver.highs import Row
from passport.workshop.solver.problem import LADDER, Problem, Solution, row_of, solution_of
from passport.workshop.solver.program import Program
from passport.workshop.solver.rank import DIGITS, EXTRA_G, chance_of, with_chance

_ROUNDS: Final = 12
"""How often the neighbours of the best so far are tried."""

_NEIGHBOURS: Final = 4000
"""Neighbours that are tried in one round at most."""


def many_places(problem: Problem, most: int, least: int) -> Iterator[Solution]:
    """Up to ``most`` ways with at least ``least`` places and other sets of them, the fewest places first."""
    program, cuts = Program(problem), list[Row]()
    for _ in range(most):
        way = _one_more(program, [*cuts, program.at_least(least)], least)
        if way is None:
            return
        yield way
        least = max(least, len(way.used))  # what is cut off makes no other way shorter
        cuts.append(program.not_all_of(way.used))


def _one_more(program: Program, cuts: Sequence[Row], least: int) -> Solution | None:
    """The fewest places, at least ``least``; then the surest plan that was found with as many, from a few beginnings."""
    # The lightest with as few as there can be is asked for first: where there is one, both questions are answered.
    few = program.at_most(program.count, least + 0.5)
    light, none = program.inside(program.mass, [*cuts, few])
    found, proven, gap = [light] if light else [], True, 0.0
    if not light:
        more = [program.at_least(least + 1)] if none.ended else []
        fewest, answer = program.inside(program.count, [*cuts, *more])
        proven, gap = answer.ended, answer.gap
        if fewest is None:
            return None
        few = program.at_most(program.count, len(fewest.used) + 0.5)
        light, _ = program.inside(program.mass, [*cuts, few])
        found = [fewest, *([light] if light else [])]
    for share in sorted(LADDER[:-1], reverse=True):
        middle, _ = program.inside(program.mass, [*cuts, few], share)
        if middle is None:
            break  # nothing is further inside either
        found.append(middle)
    heaviest = min(way.result.m0 for way in found) + EXTRA_G
    climb = _Climb(program.problem, heaviest)
    best = max((climb.best_from(way) for way in found), key=lambda w: (round(w.chance, DIGITS), -w.result.m0))
    sure = with_chance(program.problem, best)
    return replace(sure, compared=len(climb.seen), complete=False, proven=proven, gap=gap)


@dataclass
class _Climb:
    """The search among neighbours, with what it has ``seen``."""

    problem: Problem
    heaviest: float
    seen: set[tuple[int, ...]] = field(default_factory=set)

    def best_from(self, way: Solution) -> Solution:
        """The best that is reached from one plan, going to the best neighbour as long as there is a better one."""
        now = with_chance(self.problem, way)
        for _ in range(_ROUNDS):
            better = self._step(now)
            if better is None:
                break
            now = better
        return now

    def _step(self, way: Solution) -> Solution | None:
        chosen = tuple(sorted(way.used))
        around = self._around(way, chosen)
        rows = row_of(self.problem.start, self.problem.window.axis) + sum(
            (self.problem.groups[g].table(self.problem.window.axis)[around[:, c]] for c, g in enumerate(chosen)),
            np.zeros((len(around), 4)),
        )
        kept, _ = judged(self.problem.window, rows, self.problem.start.polar is not None)
        # A chance can always be bought with mass; without the limit the climb would end at the heaviest plan.
        kept &= (rows[:, 0] <= self.heaviest + 1e-6) & ~clashing(self.problem, chosen, around)
        around, rows = around[kept], rows[kept]
        if not len(around):
            return None
        sure = chance_of(self.problem, chosen, around, rows, COARSE)
        self.seen.update(tuple(map(int, (*chosen, *picks))) for picks in around)
        at = int(np.lexsort((rows[:, 0].round(6), -sure.round(DIGITS)))[0])
        picks: list[int | None] = [None] * len(self.problem.groups)
        for group, pick in zip(chosen, around[at], strict=True):
            picks[group] = int(pick)
        found = with_chance(self.problem, solution_of(self.problem, picks, way.proven, way.gap))
        better = (round(found.chance, DIGITS), -round(found.result.m0, 6)) > (
            round(way.chance, DIGITS),
            -round(way.result.m0, 6),
        )
        return found if better else None

    def _around(self, way: Solution, chosen: Sequence[int]) -> NDArray[np.intp]:
        """The options near those of a plan, as many steps away as there is room to try."""
        reach = 1
        # With few places a wide look costs little and leaps over dips; with many only the next steps are affordable.
        while reach < 10 and (2 * reach + 3) ** len(chosen) <= _NEIGHBOURS:
            reach += 1
        near = []
        for group in chosen:
            pick, count = way.picks[group], len(self.problem.groups[group].options)
            assert pick is not None, "chosen are those that something is taken of"
            near.append(np.arange(max(0, pick - reach), min(count, pick + reach + 1)))
        return np.stack([axis.reshape(-1) for axis in np.meshgrid(*near, indexing="ij")], axis=1)
