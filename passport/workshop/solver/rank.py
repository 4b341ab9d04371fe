"""Which of many plans is the best: the surest, and of equally sure ones the lightest.

Compared are all plans with as many places as the best one needs that add no more than `EXTRA_G` beyond the lightest of
them. Chances count as equal to a tenth of a per cent.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from passport.physics.normal import COARSE, FINE, MIDDLING
from passport.workshop.solver.combos import Block
from passport.workshop.solver.doubt import at_most, chances
from passport.workshop.solver.problem import QUANTITIES, Problem, Solution, Window, row_of, solution_of

Array = NDArray[np.float64]

EXTRA_G: Final = 2.0
"""How much more than the lightest plan with as many places a surer one may weigh, g."""

DIGITS: Final = 3
"""Chances are compared to so many decimals."""

_KEPT: Final = 20_000
"""Plans of one set of places that are kept for their chance to be worked out: those that could be the surest."""

_AT_ONCE: Final = 500
_COARSE: Final = 0.002
"""How far off a coarse chance may be: what is within it of the best is worked out again."""


@dataclass
class Contest:
    """The plans of one number of places, gathered block by block, each set of places by itself.

    ``starts`` are the problems that the blocks belong to, with what was taken off before: group and option. Plans
    that add ``extra`` g more than the lightest take part.
    """

    starts: Sequence[tuple[Problem, dict[int, int]]]
    extra: float = EXTRA_G
    least: float = np.inf
    sets: dict[tuple[int, tuple[int, ...]], "_Kept"] = field(default_factory=dict)

    def enter(self, start: int, blocks: Iterable[Block]) -> None:
        """Gather plans of one of the problems."""
        problem = self.starts[start][0]
        for block in blocks:
            self.least = min(self.least, float(block.moments[:, 0].min()))
            kept = self.sets.setdefault((start, block.chosen), _Kept())
            kept.add(problem, block, self.least + self.extra)

    def ways(self) -> list[Solution]:
        """The best plan of each set of places, each with how many were compared in all."""
        self.sets = {key: kept for key, kept in self.sets.items() if kept.blocks}
        for kept in self.sets.values():
            kept.drop(self.least + self.extra)
        compared = sum(kept.count for kept in self.sets.values())
        found = [
            self._way(start, kept.best(self.starts[start][0], chosen))
            for (start, chosen), kept in self.sets.items()
            if kept.count
        ]
        complete = all(way.complete for way in found)
        return [replace(way, compared=compared, complete=complete) for way in found]

    def _way(self, start: int, way: Solution) -> Solution:
        problem, picks = self.starts[start]
        whole = tuple(picks.get(i, pick) for i, pick in enumerate(way.picks))
        assert len(whole) == len(problem.groups)
        return replace(way, picks=whole)


@dataclass
class _Kept:
    """The plans of one set of places: options, moments, worst misses, and a bound on the chance of each."""

    blocks: list[tuple[NDArray[np.intp], Array, Array, Array]] = field(default_factory=list)
    masses: list[Array] = field(default_factory=list)
    dropped: float = 0.0
    """The largest bound of those that were left out because there were too many."""

    @property
    def count(self) -> int:
        """How many plans there are, those left out included."""
        return sum(len(m) for m in self.masses)

    def add(self, problem: Problem, block: Block, most: float) -> None:
        """Gather those of a block that weigh at most ``most`` g."""
        light = block.moments[:, 0] <= most + 1e-6
        if light.any():
            picks, moments, worst = block.picks[light], block.moments[light], block.worst[light]
            self.masses.append(moments[:, 0])
            self.blocks.append((picks, moments, worst, _bound(problem, block.chosen, picks, moments)))
            # Thinned at twice the limit, not at each block: sorting is the expensive part.
            if sum(len(b[0]) for b in self.blocks) > 2 * _KEPT:
                self._thin()

    def drop(self, most: float) -> None:
        """Leave out what turned out to weigh too much."""
        self.masses = [m[m <= most + 1e-6] for m in self.masses]
        picks, moments, worst, bound = self._all()
        light = moments[:, 0] <= most + 1e-6
        self.blocks = [(picks[light], moments[light], worst[light], bound[light])]

    def best(self, problem: Problem, chosen: tuple[int, ...]) -> Solution:
        """The surest plan of them, to a tenth of a per cent; then the lightest, then the one nearest to the middle."""
        picks, moments, worst, bound = self._all()
        order = np.argsort(-bound, kind="stable")
        coarse, top = np.full(len(order), -1.0), -1.0
        for begin in range(0, len(order), _AT_ONCE):
            some = order[begin : begin + _AT_ONCE]
            # In falling order of the bound, so nothing behind can be surer than what was found.
            if bound[some[0]] < top - _COARSE:
                break
            coarse[some] = chance_of(problem, chosen, picks[some], moments[some], COARSE)
            top = max(top, float(coarse[some].max()))
        # Coarse chances are right to that much; finer ones cost more time and are for these alone.
        near = np.flatnonzero(coarse >= top - _COARSE)
        fine = np.concatenate([
            chance_of(problem, chosen, picks[near[i : i + 50]], moments[near[i : i + 50]], MIDDLING)
            for i in range(0, len(near), 50)
        ])  # fmt: skip
        # lexsort takes its last key first. Rounded, so that the last bits of another processor choose no other plan.
        keys = (worst[near].round(9), moments[near, 0].round(6), -fine.round(DIGITS))
        best = np.lexsort(keys)[0]
        whole: list[int | None] = [None] * len(problem.groups)
        for group, pick in zip(chosen, picks[near[best]], strict=True):
            whole[group] = int(pick)
        way = solution_of(problem, whole)
        return replace(way, chance=float(fine[best]), complete=self.dropped <= fine[best])

    def _thin(self) -> None:
        picks, moments, worst, bound = self._all()
        order = np.argsort(-bound, kind="stable")
        self.dropped = max(self.dropped, float(bound[order[_KEPT]]))
        kept = order[:_KEPT]
        self.blocks = [(picks[kept], moments[kept], worst[kept], bound[kept])]

    def _all(self) -> tuple[NDArray[np.intp], Array, Array, Array]:
        picks, moments, worst, bound = (np.concatenate(column) for column in zip(*self.blocks, strict=True))
        return picks, moments, worst, bound


def _spread(problem: Problem, chosen: Sequence[int], picks: NDArray[np.intp], moments: Array) -> Array:
    """The covariance of each plan's figures less what is wanted."""
    doubt = problem.doubt
    assert doubt is not None, "asked only where there is a doubt"
    added = np.zeros((len(picks), 4, 4))
    for column, group in enumerate(chosen):
        if group in doubt.options:
            added += doubt.options[group][picks[:, column]]
    return doubt.covariance(moments, added)


def distances(window: Window, moments: Array, twist: bool) -> tuple[Array, Array, list[int]]:
    """How far n bodies are from what is wanted, n × d; the d tolerances; and which of the four quantities they are."""
    wanted = [i for i, name in enumerate(QUANTITIES) if window.bounds(name) and (twist or name != "twistweight")]
    bounds = [b for i in wanted if (b := window.bounds(QUANTITIES[i]))]
    figures = moments.copy()
    # Column 1 is the first moment; a person asks for the balance.
    figures[:, 1] = moments[:, 1] / moments[:, 0]
    targets, tolerances = (np.array([getattr(b, name) for b in bounds]) for name in ("target", "tolerance"))
    return figures[:, wanted] - targets, tolerances, wanted


def _bound(problem: Problem, chosen: Sequence[int], picks: NDArray[np.intp], moments: Array) -> Array:
    if problem.doubt is None:
        return np.ones(len(picks))
    off, tolerances, wanted = distances(problem.window, moments, problem.start.polar is not None)
    spread = _spread(problem, chosen, picks, moments)[:, wanted][:, :, wanted]
    return at_most(off, spread, tolerances)


def chance_of(
    problem: Problem, chosen: Sequence[int], picks: NDArray[np.intp], moments: Array, nodes: int = FINE
) -> Array:
    """The probability that all is inside, for n plans inside the window; 1 where the figures are taken to be exact."""
    if problem.doubt is None:
        return np.ones(len(picks))
    off, tolerances, wanted = distances(problem.window, moments, problem.start.polar is not None)
    spread = _spread(problem, chosen, picks, moments)[:, wanted][:, :, wanted]
    return chances(off, spread, tolerances, nodes)


def with_chance(problem: Problem, way: Solution) -> Solution:
    """A solution of a problem in which nothing is taken off, with its chance."""
    used = sorted(way.used)
    picks = np.array([[way.picks[i] for i in used]], dtype=np.intp).reshape(1, -1)
    moments = row_of(way.result, problem.window.axis)[np.newaxis]
    return replace(way, chance=float(chance_of(problem, used, picks, moments)[0]))


def ordered(ways: Iterable[Solution], problem: Problem) -> list[Solution]:
    """Fewest places; least taken off; surest; lightest; nearest to the middle."""
    return sorted(ways, key=lambda way: order_of(way, problem))


def order_of(way: Solution, problem: Problem) -> tuple[int, float, float, float, float]:
    """What a solution is ranked by, the smaller the better."""
    return (
        len(way.used), round(-taken_off(way, problem), 6), -round(way.chance, DIGITS), round(way.result.m0, 6), way.worst
    )  # fmt: skip


def taken_off(way: Solution, problem: Problem) -> float:
    """The mass that a solution takes off, g, as a number below 0."""
    taken: Iterator[float] = (
        group.options[pick].m0
        for group, pick in zip(problem.groups, way.picks, strict=True)
        if group.off and pick is not None
    )
    return sum(taken)
