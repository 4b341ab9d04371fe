"""Which blank for which frame: every pair judged, the best set and assignment found exactly."""

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from passport.workshop.measuring.states import Missing
from passport.workshop.rebuild.obstacle import obstacles
from passport.workshop.rebuild.planset import Candidate, Choice
from passport.workshop.rebuild.rebuild import rebuild, task_for
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.rebuild.targets import aims, window_of
from passport.workshop.solver.solve import additive, least_miss, solve

_MISS_STEP: Final = 0.05
_MISS_MOST: Final = 99.0
_MASS_STEP: Final = 0.1
_MASS_MOST: Final = 99.0
_COUNT_MOST: Final = 20


def choose(bench: Workbench, frames: Sequence[str], blanks: Sequence[str], plans: int = 3) -> Choice:
    """The best blank for each frame, and how every blank would do for every frame.

    Most frames matched; then the least missed; then blanks of the frame's own model; then the fewest things taken off,
    the fewest places, the least mass, each summed over all frames. Raises `Missing` where no blank can be judged for
    any frame.
    """
    table = [[judge(bench, frame, blank) for blank in blanks] for frame in frames]
    judged = [candidate for row in table for candidate in row if candidate is not None]
    if not judged:
        raise _first_problem(bench, frames, blanks)
    pairs = assignment(table)
    rebuilds = tuple(rebuild(bench, frames[i], blanks[k], plans) for i, k in pairs)
    left = tuple(frame for i, frame in enumerate(frames) if i not in {row for row, _ in pairs})
    return Choice(rebuilds, tuple(sorted(judged, key=lambda c: (frames.index(c.frame), _key(c)))), left)


def judge(bench: Workbench, frame: str, blank: str) -> Candidate | None:
    """How a blank would do for a frame, without laying anything out; None where a figure lacks or the sport differs."""
    own, other = bench.content.frames[frame].record.model, bench.content.blanks[blank].record.model
    if bench.model(own).sport != bench.model(other).sport:
        return None
    try:
        job, wanted = task_for(bench, frame, blank), aims(bench, frame)
    except Missing:
        return None
    problem = job.problem(window_of(wanted))
    found = solve(problem, 1)
    if found:
        off = len(job.swaps_of(found[0]))
        added = sum(option.mass for option in job.added(found[0]))
        return Candidate(frame, blank, True, 0.0, off, len(found[0].used) - off, added, own != other)
    plain = additive(problem)
    why = [o.text for o in obstacles(plain, job.predictor.shape.length)]
    text = why[0] if why else "The target lies between the steps of what is in stock."
    return Candidate(frame, blank, False, least_miss(plain), 0, 0, 0.0, own != other, text)


def assignment(table: Sequence[Sequence[Candidate | None]]) -> list[tuple[int, int]]:
    """Which column for which row, so that the sum over all rows is the best in the order of `choose`.

    The wishes are packed into one whole number each and handed to scipy's solver of the assignment problem; for up
    to a dozen frames their sums are exact. A pair that cannot be judged is never chosen.
    """
    from scipy.optimize import linear_sum_assignment  # a third of a second that other commands need not wait for

    rows = max(len(table), 1)
    costs = np.array([[_packed(candidate, rows) for candidate in row] for row in table], dtype=float)
    chosen = zip(*linear_sum_assignment(costs), strict=True)
    return [(int(i), int(k)) for i, k in chosen if table[int(i)][int(k)] is not None]


def _key(candidate: Candidate) -> tuple[bool, float, bool, int, int, float]:
    c = candidate
    return not c.matched, c.miss, c.other_model, c.removals, c.places, c.added_g


def _packed(candidate: Candidate | None, rows: int) -> float:
    """A candidate's wishes as one whole number, the most important in the highest place."""
    if candidate is None:
        digits: Iterable[float] = (2, _MISS_MOST / _MISS_STEP, 1, 0, 0, 0)
    else:
        unmatched, miss, other, removals, places, mass = _key(candidate)
        miss, mass = min(miss, _MISS_MOST) / _MISS_STEP, min(mass, _MASS_MOST) / _MASS_STEP
        digits = (unmatched, round(miss), other, min(removals, _COUNT_MOST), min(places, _COUNT_MOST), round(mass))
    tops = (2, _MISS_MOST / _MISS_STEP, 1, _COUNT_MOST, _COUNT_MOST, _MASS_MOST / _MASS_STEP)
    packed = 0.0
    for digit, top in zip(digits, tops, strict=True):
        packed = packed * (top * rows + 1) + digit
    return packed


def _first_problem(bench: Workbench, frames: Sequence[str], blanks: Sequence[str]) -> Missing:
    """What is missing for the first pair."""
    try:
        task_for(bench, frames[0], blanks[0])
        aims(bench, frames[0])
    except Missing as missing:
        return missing
    return Missing(f"'{blanks[0]}' is for another sport than '{frames[0]}'.", "Name a blank of the same sport.")
