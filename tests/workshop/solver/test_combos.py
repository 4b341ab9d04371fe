"""Every combination of a few places, added up in two halves."""

import itertools

import pytest

from passport.physics.moments import Moments
from passport.workshop.solver.combos import best_of_each_set
from passport.workshop.solver.problem import Bounds, Group, Problem, Window, rung, solution_of

START = Moments.from_measured(300, 320, 290, 13)
GROUPS = tuple(
    Group(f"{x}", tuple(Moments.point(0.5 * k, x, y) for k in range(1, n + 1)))
    for x, y, n in ((660, 0, 6), (500, 130, 8), (330, 40, 3), (35, 0, 9), (5, 0, 4))
)


def key(way):
    """What makes one way of a set better than another."""
    return rung(way.worst), round(way.result.m0, 6), way.worst


@pytest.mark.parametrize("window", [
    Window(Bounds(304, 1), Bounds(318, 2), Bounds(295, 3)),
    Window(Bounds(304, 1), Bounds(318, 3), Bounds(293, 3), Bounds(13.2, 0.3)),
    Window(None, Bounds(316, 2), Bounds(292, 3)),
    Window(Bounds(303, 0.6)),
    Window(Bounds(290, 1)),
])  # fmt: skip
@pytest.mark.parametrize("size", range(5))
def test_the_best_of_each_set_by_plain_loops(window, size):
    """For each set of places the way found is the best of all combinations tried one by one, and no set is missed."""
    problem = Problem(START, GROUPS, window)
    expected = {}
    for chosen in itertools.combinations(range(len(GROUPS)), size):
        for options in itertools.product(*(range(len(GROUPS[i].options)) for i in chosen)):
            taken = dict(zip(chosen, options, strict=True))
            way = solution_of(problem, [taken.get(i) for i in range(len(GROUPS))])
            if way.inside and (chosen not in expected or key(way) < key(expected[chosen])):
                expected[chosen] = way
    found = {tuple(sorted(way.used)): way for way in best_of_each_set(problem, size)}
    assert found.keys() == expected.keys()
    for chosen, way in found.items():
        assert key(way) == pytest.approx(key(expected[chosen]))


def test_what_is_taken_off_is_no_place():
    """Groups that take something off, and empty ones, are not among the places tried."""
    groups = (GROUPS[0], Group("off", (Moments.point(-1, 90),), off=True), Group("full", ()))
    ways = list(best_of_each_set(Problem(START, groups, Window(Bounds(301, 1))), 1))
    assert [way.used for way in ways] == [{0}]
