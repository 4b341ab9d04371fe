"""Which whole steps to add where: the exact search behind every plan.

The order of wishes: inside every tolerance; as little as possible taken off that may stay; the fewest places; the surest
of all plans with as many places that add little more than the lightest of them (`rank`); the least mass; the nearest to
the middle.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, product
from typing import Final

from passport.physics.moments import Moments
from passport.workshop.solver.combos import COMBINATIONS, MOST, combinations_of, inside, open_groups
from passport.workshop.solver.many import many_places
from passport.workshop.solver.problem import Problem, Solution, solution_of
from passport.workshop.solver.program import Program
from passport.workshop.solver.rank import Contest, order_of, ordered

CLOSE: Final = 0.1
"""How much worse than the best, in tolerances, still counts as nearest where it saves places."""

SURER: Final = 0.05
"""By how much a chance must be larger for a way with a further place to be worth showing."""

_TRIED: Final = 3
"""From so many places on it is worth asking first whether divided steps would do at all."""

Start = tuple[Problem, dict[int, int]]
"""An additive problem, and what was taken off before: group and option."""


def solve(problem: Problem, most: int = 3) -> tuple[Solution, ...]:
    """The best way and up to ``most`` − 1 others that use other sets of places, best first; empty where there is none.

    Another way is one that leaves out a place of each way already given, or one with a further place that is surer by
    at least `SURER` than all of those given.
    """
    ways = _ways(problem, most)
    first = next(ways, ())
    if not first:
        return ()
    given = [min(first, key=lambda way: order_of(way, problem))]
    # A frame that is right as it is needs no second plan.
    if not given[0].used or most == 1:
        return tuple(given)
    _others(given, first, problem, most)
    if len(given) < most:
        _others(given, next(ways, ()), problem, most)
    return tuple(ordered(given, problem))


def others(given: Sequence[Solution], problem: Problem, most: int = 3) -> tuple[Solution, ...]:
    """Ways that are given, and behind them, up to ``most`` in all, those of `solve` that use other places."""
    found = list(given)
    if len(found) < most and any(way.used for way in found):
        _others(found, solve(problem, most), problem, most)
    return tuple(found)


def _others(given: list[Solution], ways: Sequence[Solution], problem: Problem, most: int) -> None:
    """Add to the ways given what else is worth showing, the best first, up to ``most``."""
    for way in ordered(ways, problem):
        if len(given) < most and _is_another(way, given):
            given.append(way)


def nearest(problem: Problem) -> Solution:
    """What comes nearest to the window with nothing taken off: few places, and a worst miss that nothing betters much.

    The worst miss is within `CLOSE` of the least that divided steps would leave where up to `MOST` places do that;
    else it is the least of all that was found. A balance's miss is measured as that of the first moment over the wanted
    mass, which is linear.
    """
    problem = additive(problem)
    program = Program(problem)
    least = least_miss(problem)
    wide = replace(problem, window=problem.window.widened(least + CLOSE))
    for size in range(_most(problem) + 1):
        if combinations_of(wide, size) > COMBINATIONS:
            break
        found = _least_worst(wide, size)
        if found is not None:
            return solution_of(problem, found)
    first = program.run(program.miss, program.within_miss())
    assert first is not None, "doing nothing is always possible"
    misses = [*program.within_miss(), program.miss_at_most(first.least * program.unit + CLOSE)]
    few = program.run(program.count, misses) or first
    way = program.solution(few)
    gap = max(0.0, (first.least - first.bound) * program.unit)
    return replace(way, proven=first.proven, gap=0.0 if first.proven else gap)


def _most(problem: Problem) -> int:
    """Up to how many places every combination is tried."""
    return MOST if problem.most_places is None else min(MOST, problem.most_places)


def _least_worst(wide: Problem, size: int) -> list[int | None] | None:
    """The options of the plan with so many places whose worst miss is the least; None where all are outside."""
    best, found = float("inf"), None
    for block in inside(wide, size):
        at = int(block.worst.argmin())
        if block.worst[at] < best:
            best, found = float(block.worst[at]), (block.chosen, block.picks[at])
    if found is None:
        return None
    taken = dict(zip(found[0], map(int, found[1]), strict=True))
    return [taken.get(i) for i in range(len(wide.groups))]


def nearest_ways(problem: Problem) -> tuple[Solution, ...]:
    """What comes nearest by additions alone, and with things taken off where that comes nearer by more than `CLOSE`."""
    plain = nearest(problem)
    others = (
        solution_of(problem, _merge(nearest(start).picks, picks)) for start, picks in after_removals(problem) if picks
    )
    best = min(others, key=lambda way: way.worst, default=plain)
    return (plain,) if best.worst > plain.worst - CLOSE else (plain, best)


def least_miss(problem: Problem) -> float:
    """The least worst miss, in tolerances, if steps could be divided at will: a bound for every plan."""
    program = Program(problem)
    found = program.relaxed(program.miss, program.within_miss())
    assert found is not None, "doing nothing is always possible"
    return float(found[-1]) * program.unit


def reachable(problem: Problem) -> bool:
    """Whether the window could be met if steps could be divided at will: if not, no plan meets it.

    The linear relaxation contains every plan, so that its infeasibility is a proof.
    """
    program = Program(problem)
    return program.relaxed(program.miss, program.window(1.0)) is not None


def extreme(problem: Problem, quantity: str, sign: int, rest: Sequence[str]) -> Moments | None:
    """The body with the largest (``sign`` 1) or smallest (−1) quantity that keeps the ``rest`` in the window.

    Steps may be divided at will; of a balance the first moment about the wanted balance is taken, which has the same
    sign. None where the rest cannot be kept either.
    """
    program = Program(problem)
    rows = [row for name, found in program.rows(1.0).items() if name in rest for row in found]
    found = program.relaxed(-sign * program.measure(quantity), rows)
    return None if found is None else program.blend(found)


def _is_another(way: Solution, given: Sequence[Solution]) -> bool:
    """Whether a way is worth showing beside those given."""
    surer = all(way.chance >= other.chance + SURER for other in given)
    return all(not other.used <= way.used or (surer and other.used != way.used) for other in given)


def _ways(problem: Problem, most: int) -> Iterator[tuple[Solution, ...]]:
    """For as little taken off as possible: the best ways of each set of places, by rising number of places."""
    for removals in range(sum(group.off for group in problem.groups) + 1):
        found = False
        starts = list(_removals(problem, removals))
        for ways in _by_places(starts, most):
            found = True
            yield ways
        # Fewer things taken off always comes before anything that a further removal could bring.
        if found:
            return


def _by_places(starts: Sequence[Start], most: int) -> Iterator[tuple[Solution, ...]]:
    """The best ways by rising number of places, from the problems after one number of removals."""
    if not starts:
        return
    additions, most_places = len(open_groups(starts[0][0])), starts[0][0].most_places
    found = False
    for size in range(min(_most(starts[0][0]), additions) + 1):
        # One linear program a start; with one or two places trying them all is quicker than asking.
        if size == _TRIED and not found:
            starts = [start for start in starts if reachable(start[0])]
        if sum(combinations_of(start, size) for start, _ in starts) > COMBINATIONS:
            yield from _by_program(starts, most, size)
            return
        contest = Contest(starts)
        for i, (start, _) in enumerate(starts):
            contest.enter(i, inside(start, size))
        ways = contest.ways()
        if ways:
            found = True
            yield tuple(ways)
    if not found and starts and additions > MOST and (most_places is None or most_places > MOST):
        # Only where few places were not enough: each further place is more work at the bench, so it is never the better
        # plan.
        yield from _by_program(starts, most, MOST + 1)


def _by_program(starts: Sequence[Start], most: int, least: int) -> Iterator[tuple[Solution, ...]]:
    """The ways with at least so many places that the mixed-integer program finds, those with the fewest first."""
    ways = [
        replace(way, picks=tuple(_merge(way.picks, picks)))
        for start, picks in starts
        for way in many_places(start, most, least)
    ]
    for count in sorted({len(way.used) for way in ways}):
        yield tuple(way for way in ways if len(way.used) == count)


def additive(problem: Problem) -> Problem:
    """The problem with nothing taken off."""
    return replace(problem, groups=tuple(replace(g, options=()) if g.off else g for g in problem.groups))


def after_removals(problem: Problem) -> Iterator[tuple[Problem, dict[int, int]]]:
    """The additive problem after each way to take things off, and that way; the first takes off nothing."""
    for count in range(sum(group.off for group in problem.groups) + 1):
        yield from _removals(problem, count)


def after_taking(problem: Problem, picks: Mapping[int, int]) -> Problem:
    """The additive problem after some things were taken off, each a group and its option."""
    start = Moments.total([problem.start, *(problem.groups[i].options[k] for i, k in picks.items())])
    doubt = problem.doubt
    for i, k in picks.items():
        doubt = doubt.after(i, k) if doubt else None
    return replace(additive(problem), start=start, doubt=doubt)


def _removals(problem: Problem, count: int) -> Iterator[tuple[Problem, dict[int, int]]]:
    """All ways to take off, or swap, exactly ``count`` things."""
    off = [i for i, group in enumerate(problem.groups) if group.off]
    for chosen in combinations(off, count):
        for options in product(*(range(len(problem.groups[i].options)) for i in chosen)):
            picks = dict(zip(chosen, options, strict=True))
            yield after_taking(problem, picks), picks


def _merge(picks: Sequence[int | None], others: dict[int, int]) -> list[int | None]:
    return [others.get(i, pick) for i, pick in enumerate(picks)]
