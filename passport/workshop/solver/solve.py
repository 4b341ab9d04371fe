"""Which whole steps to add where: the exact search behind every plan.

The order of wishes: inside every tolerance; as little as possible taken off that may stay; the fewest places; well
inside the tolerances (their middle half, else three quarters, where that takes no further place); the least mass; the
nearest to the middle.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, product
from typing import Final

from passport.physics.moments import Moments
from passport.workshop.solver.combos import MOST, best_of_each_set
from passport.workshop.solver.problem import LADDER, Problem, Solution, rung, solution_of
from passport.workshop.solver.program import SHY, Program, Row

CLOSE: Final = 0.1
"""How much worse than the best, in tolerances, still counts as nearest where it saves places."""


def solve(problem: Problem, most: int = 3) -> tuple[Solution, ...]:
    """The best way and up to ``most`` − 1 others that use other sets of places, best first; empty where there is none.

    Another way is one that leaves out a place of each way already given, or one with a further place that takes the
    result well inside the tolerances where the ways already given do not.
    """
    ways = _ways(problem, most)
    first = next(ways, ())
    if not first:
        return ()
    given = [min(first, key=lambda way: _order(way, problem))]
    if not given[0].used:
        return tuple(given)
    _others(given, first, problem, most)
    if len(given) < most:
        _others(given, next(ways, ()), problem, most)
    return tuple(sorted(given, key=lambda way: _order(way, problem)))


def _others(given: list[Solution], ways: Sequence[Solution], problem: Problem, most: int) -> None:
    """Add to the ways given what else is worth showing, the surest first, up to ``most``."""
    for way in sorted(ways, key=lambda way: (rung(way.worst) > 0, *_order(way, problem))):
        if len(given) < most and _is_another(way, given):
            given.append(way)


def nearest(problem: Problem) -> Solution:
    """What comes nearest to the window with nothing taken off: few places, and a worst miss that nothing betters much.

    The worst miss is within `CLOSE` of the least that divided steps would leave where up to `MOST` places do that;
    else it is the least of all. A balance's miss is measured as that of the first moment over the wanted mass, which
    is linear.
    """
    problem = additive(problem)
    program = Program(problem)
    least = least_miss(problem)
    wide = replace(problem, window=problem.window.widened(least + CLOSE))
    for size in range(MOST + 1):
        found = min(best_of_each_set(wide, size), key=lambda way: way.worst, default=None)
        if found is not None:
            return solution_of(problem, found.picks)
    first = program.run(program.miss, program.within_miss())
    assert first is not None, "doing nothing is always possible"
    misses = [*program.within_miss(), program.miss_at_most(first.least * program.unit + CLOSE)]
    return program.solution(program.run(program.count, misses) or first)


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


def _order(way: Solution, problem: Problem) -> tuple[int, float, int, float, float]:
    """Fewest places, least taken off, lowest rung, least mass, least miss."""
    off = sum(
        group.options[pick].m0
        for group, pick in zip(problem.groups, way.picks, strict=True)
        if group.off and pick is not None
    )
    return len(way.used), round(-off, 6), rung(way.worst), round(way.result.m0, 6), way.worst


def _is_another(way: Solution, given: Sequence[Solution]) -> bool:
    """Whether a way is worth showing beside those given."""
    surer = rung(way.worst) == 0 and all(rung(other.worst) > 0 for other in given)
    return all(not other.used <= way.used or (surer and other.used != way.used) for other in given)


def _ways(problem: Problem, most: int) -> Iterator[tuple[Solution, ...]]:
    """For as little taken off as possible: the best ways of each set of places, by rising number of places."""
    for removals in range(sum(group.off for group in problem.groups) + 1):
        found = False
        for ways in _by_places(problem, removals, most):
            found = True
            yield ways
        if found:
            return


def _by_places(problem: Problem, removals: int, most: int) -> Iterator[tuple[Solution, ...]]:
    open_starts = [(start, picks) for start, picks in _removals(problem, removals) if reachable(start)]
    additions = sum(bool(group.options) and not group.off for group in problem.groups)
    found = False
    for size in range(min(MOST, additions) + 1):
        ways = [
            solution_of(problem, _merge(way.picks, picks))
            for start, picks in open_starts
            for way in best_of_each_set(start, size)
        ]
        if ways:
            found = True
            yield tuple(ways)
    if not found and additions > MOST:
        ways = [
            solution_of(problem, _merge(way.picks, picks), way.proven)
            for start, picks in open_starts
            for way in _many_places(start, most)
        ]
        if ways:
            least = min(len(way.used) for way in ways)
            yield tuple(way for way in ways if len(way.used) == least)
            yield tuple(way for way in ways if len(way.used) > least)


def additive(problem: Problem) -> Problem:
    """The problem with nothing taken off."""
    return replace(problem, groups=tuple(replace(g, options=()) if g.off else g for g in problem.groups))


def after_removals(problem: Problem) -> Iterator[tuple[Problem, dict[int, int]]]:
    """The additive problem after each way to take things off, and that way; the first takes off nothing."""
    for count in range(sum(group.off for group in problem.groups) + 1):
        yield from _removals(problem, count)


def _removals(problem: Problem, count: int) -> Iterator[tuple[Problem, dict[int, int]]]:
    """All ways to take off, or swap, exactly ``count`` things."""
    off = [i for i, group in enumerate(problem.groups) if group.off]
    for chosen in combinations(off, count):
        for options in product(*(range(len(problem.groups[i].options)) for i in chosen)):
            picks = dict(zip(chosen, options, strict=True))
            start = Moments.total([problem.start, *(problem.groups[i].options[k] for i, k in picks.items())])
            yield replace(additive(problem), start=start), picks


def _merge(picks: Sequence[int | None], others: dict[int, int]) -> list[int | None]:
    return [others.get(i, pick) for i, pick in enumerate(picks)]


def _many_places(problem: Problem, most: int) -> Iterator[Solution]:
    """Ways with more places than are tried one by one, from the mixed-integer program."""
    program, cuts = Program(problem), list[Row]()
    for _ in range(most):
        way = _one_more(program, [*cuts, program.at_least(MOST + 1)])
        if way is None or not way.inside:
            return
        yield way
        cuts.append(program.not_all_of(way.used))


def _one_more(program: Program, cuts: Sequence[Row]) -> Solution | None:
    full = 1 - SHY
    fewest = program.run(program.count, [*program.window(full), *cuts])
    if fewest is None:
        return None
    count = program.at_most(program.count, fewest.cost(program.count) + 0.5)
    for share in LADDER:
        light = program.run(program.mass, [*program.window(share * full), *cuts, count])
        if light is not None:
            return program.solution(light)
    return program.solution(fewest)
