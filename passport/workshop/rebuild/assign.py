"""Which blank for which frame: every pair judged, the best set and assignment found exactly."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

import numpy as np

from passport.records.language.worded import worded
from passport.workshop.measuring.states import Missing
from passport.workshop.rebuild.obstacle import obstacles
from passport.workshop.rebuild.plan import Aim
from passport.workshop.rebuild.planset import Candidate, Choice, Unjudged
from passport.workshop.rebuild.rebuild import rebuild, search, task_for
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.rebuild.targets import aims
from passport.workshop.solver.highs import Row, highs
from passport.workshop.solver.solve import additive, least_miss

_MISS_STEP: Final = 0.05
_MISS_MOST: Final = 1000.0
_MASS_STEP: Final = 0.1
_CHANCE_STEP: Final = 0.001


def choose(bench: Workbench, frames: Sequence[str], blanks: Sequence[str], plans: int = 3) -> Choice:
    """The best blank for each frame, and how every blank would do for every frame.

    Most frames matched; then blanks whose swingweight was measured; then the least missed; then blanks of the frame's own model; then the fewest things taken off,
    the fewest places, the surest, the least mass, each summed over all frames. What cannot be judged is named with what
    is missing. Raises `Missing` where no blank can be judged for any frame.
    """
    table, unjudged = list[list[Candidate | None]](), list[Unjudged]()
    for frame in frames:
        row = _row(bench, frame, blanks, frames)
        table.append([one if isinstance(one, Candidate) else None for one in row])
        unjudged += [one for one in row if isinstance(one, Unjudged)]
    # Judged first for all pairs, and laid out for the chosen ones alone: plans take far longer than a verdict.
    judged = [candidate for row in table for candidate in row if candidate is not None]
    if not judged:
        raise _first_problem(bench, frames, blanks)
    pairs = assignment(table)
    rebuilds = tuple(rebuild(bench, frames[i], blanks[k], plans) for i, k in pairs)
    without = {one.frame for one in unjudged if not one.blank}
    left = tuple(f for i, f in enumerate(frames) if i not in {row for row, _ in pairs} and f not in without)
    ranking = tuple(sorted(judged, key=lambda c: (frames.index(c.frame), _key(c))))
    return Choice(rebuilds, ranking, left, tuple(dict.fromkeys(unjudged)))


def _row(
    bench: Workbench, frame: str, blanks: Sequence[str], frames: Sequence[str]
) -> list[Candidate | Unjudged | None]:
    """A frame with every blank judged, or what is missing for that; of what the frame itself lacks it is said once."""
    try:
        wanted = aims(bench, frame)
    except Missing as missing:
        return [Unjudged(frame, "", missing.what, missing.do)] * len(blanks)
    return [_judged(bench, frame, blank, wanted, frames) for blank in blanks]


def _judged(
    bench: Workbench, frame: str, blank: str, wanted: tuple[Aim, ...], frames: Sequence[str]
) -> Candidate | Unjudged | None:
    """A pair judged, or what is missing for that; of what a blank lacks by itself it is said once."""
    if _sport(bench, frame, blank):
        try:
            return judge(bench, frame, blank, wanted)
        except Missing as missing:
            return Unjudged(frame, blank, missing.what, missing.do)
    # Said of the blank once, and only if it fits none of the frames; else it is simply for another of them.
    if any(_sport(bench, other, blank) for other in frames):
        return None
    return Unjudged(
        "", blank, worded("It is for another sport than the frame."), worded("Name a blank of the same sport.")
    )


def _sport(bench: Workbench, frame: str, blank: str) -> bool:
    """Whether a blank is for the sport of a frame."""
    own, other = bench.content.frames[frame].record.model, bench.content.blanks[blank].record.model
    return bench.model(own).sport == bench.model(other).sport


def judge(bench: Workbench, frame: str, blank: str, wanted: tuple[Aim, ...]) -> Candidate:
    """How a blank would do for a frame, without laying anything out; raises `Missing`."""
    own, other = bench.content.frames[frame].record.model, bench.content.blanks[blank].record.model
    job = task_for(bench, frame, blank)
    problem, found = search(job, wanted, 1)
    if found:
        chance = job.chance(found[0], wanted)
        off = len(job.swaps_of(found[0]))
        added = sum(option.mass for option in job.added(found[0]))
        places = len(found[0].used) - off
        return Candidate(
            frame, blank, True, 0.0, off, places, added, own != other, chance=chance, estimated=job.unswung
        )
    plain = additive(problem)
    why = [o.text for o in obstacles(plain, job.predictor.shape.length)]
    text = why[0] if why else worded("The target lies between the steps of what is in stock.")
    return Candidate(frame, blank, False, least_miss(plain), 0, 0, 0.0, own != other, text, estimated=job.unswung)


def assignment(table: Sequence[Sequence[Candidate | None]]) -> list[tuple[int, int]]:
    """Which column for which row, so that the sum over all rows is the best in the order of `choose`.

    One wish after the other: each is met as well as those before it allow, in whole numbers, so that no sum is a matter
    of rounding. A pair that cannot be judged is never chosen.
    """
    pairs = [(i, k, c) for i, row in enumerate(table) for k, c in enumerate(row) if c is not None]
    if not pairs:
        return []
    rows = list(_once([i for i, _, _ in pairs])) + list(_once([k for _, k, _ in pairs]))
    x = np.zeros(len(pairs))
    for wish in zip(*(_wishes(c) for _, _, c in pairs), strict=True):
        # Wish after wish, not one weighted sum: weights large enough to keep the order lose whole numbers to rounding.
        cost = np.array(wish, dtype=float)
        if not cost.any():
            continue
        found = highs(cost, np.ones(len(pairs)), rows, np.ones(len(pairs)))
        assert found.x is not None, "to choose nothing is always possible"
        x = np.round(found.x)
        # What this wish reached becomes a limit for those after it; costs are whole, so half of one is safe.
        rows.append((cost, -np.inf, float(cost @ x) + 0.5))
    return [(i, k) for (i, k, _), taken in zip(pairs, x, strict=True) if taken]


def _once(names: Sequence[int]) -> Iterator[Row]:
    """Each frame gets one blank at most, and each blank one frame."""
    for name in set(names):
        yield np.array([float(other == name) for other in names]), -np.inf, 1.0


def _wishes(c: Candidate) -> Iterable[int]:
    """What a candidate costs by each wish, in whole numbers, the most important first."""
    yield -int(c.matched)
    yield -1  # a blank that does not match is better than none
    yield int(c.estimated)  # what was judged by fewer quantities is no surer
    yield round(min(c.miss, _MISS_MOST) / _MISS_STEP)
    yield int(c.other_model)
    yield c.removals
    yield c.places
    yield round((1 - c.chance) / _CHANCE_STEP) if c.matched else 0
    yield round(c.added_g / _MASS_STEP)


def _key(candidate: Candidate) -> tuple[bool, bool, float, bool, int, int, float, float]:
    c = candidate
    return not c.matched, c.estimated, c.miss, c.other_model, c.removals, c.places, -round(c.chance, 3), c.added_g


def _first_problem(bench: Workbench, frames: Sequence[str], blanks: Sequence[str]) -> Missing:
    """What is missing for the first pair."""
    try:
        task_for(bench, frames[0], blanks[0])
        aims(bench, frames[0])
    except Missing as missing:
        return missing
    return Missing(
        worded("'{blanks}' is for another sport than '{frames}'.", blanks=blanks[0], frames=frames[0]),
        worded("Name a blank of the same sport."),
    )
