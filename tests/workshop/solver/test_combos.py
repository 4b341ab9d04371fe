"""Every combination of a few places, added up in two halves."""

import itertools

import numpy as np
import pytest

from passport.physics.moments import Moments
from passport.workshop.solver import combos
from passport.workshop.solver.combos import combinations_of, inside
from passport.workshop.solver.problem import Bounds, Group, Problem, Window, solution_of

START = Moments.from_measured(300, 320, 290, 13)
GROUPS = tuple(
    Group(f"{x}", tuple(Moments.point(0.5 * k, x, y) for k in range(1, n + 1)))
    for x, y, n in ((660, 0, 6), (500, 130, 8), (330, 40, 3), (35, 0, 9), (5, 0, 4))
)


@pytest.mark.parametrize("window", [
    Window(Bounds(304, 1), Bounds(318, 2), Bounds(295, 3)),
    Window(Bounds(304, 1), Bounds(318, 3), Bounds(293, 3), Bounds(13.2, 0.3)),
    Window(None, Bounds(316, 2), Bounds(292, 3)),
    Window(Bounds(303, 0.6)),
    Window(Bounds(290, 1)),
])  # fmt: skip
@pytest.mark.parametrize("size", range(5))
def test_all_plans_by_plain_loops(window, size):
    """The plans inside the window are those of all combinations tried one by one, with the same moments and misses."""
    problem = Problem(START, GROUPS, window)
    expected = {}
    for chosen in itertools.combinations(range(len(GROUPS)), size):
        for options in itertools.product(*(range(len(GROUPS[i].options)) for i in chosen)):
            taken = dict(zip(chosen, options, strict=True))
            way = solution_of(problem, [taken.get(i) for i in range(len(GROUPS))])
            if way.inside:
                expected[chosen, options] = way
    found = {
        (block.chosen, tuple(map(int, picks))): (moments, worst)
        for block in inside(problem, size)
        for picks, moments, worst in zip(block.picks, block.moments, block.worst, strict=True)
    }
    assert found.keys() == expected.keys()
    for plan, way in expected.items():
        moments, worst = found[plan]
        body = way.result
        assert list(moments) == pytest.approx([body.m0, body.m1, body.swingweight(), body.twistweight])
        assert worst == pytest.approx(way.worst)


def test_blocks_of_any_size_hold_the_same_plans(monkeypatch):
    """However few combinations are added up at a time, none is missed and none comes twice."""
    problem = Problem(START, GROUPS, Window(Bounds(304, 1), Bounds(318, 3)))
    whole = sorted(tuple(p) for block in inside(problem, 3) for p in block.picks.tolist())
    monkeypatch.setattr(combos, "_BLOCK", 7)
    parts = sorted(tuple(p) for block in inside(problem, 3) for p in block.picks.tolist())
    assert parts == whole and len(whole) > 100


def test_what_clashes_is_left_out():
    """Options that cannot both be taken are not taken together, and every other plan is there."""
    wide = Window(Bounds(304, 4))
    table = np.zeros((6, 8), dtype=bool)
    table[2:, 3:] = True
    free = [tuple(p) for b in inside(Problem(START, GROUPS, wide), 2) if b.chosen == (0, 1) for p in b.picks.tolist()]
    apart = Problem(START, GROUPS, wide, {(0, 1): table})
    kept = [tuple(p) for b in inside(apart, 2) if b.chosen == (0, 1) for p in b.picks.tolist()]
    assert sorted(kept) == sorted(p for p in free if not table[p])
    assert len(kept) < len(free)


def test_counting_combinations():
    """Of 6, 8, 3, 9 and 4 options there are 30 of one, and the sum of all products of two."""
    problem = Problem(START, GROUPS, Window())
    counts = (6, 8, 3, 9, 4)
    assert combinations_of(problem, 1) == 30
    assert combinations_of(problem, 2) == sum(a * b for a, b in itertools.combinations(counts, 2))


def test_what_is_taken_off_is_no_place():
    """Groups that take something off, and empty ones, are not among the places tried."""
    groups = (GROUPS[0], Group("off", (Moments.point(-1, 90),), off=True), Group("full", ()))
    blocks = list(inside(Problem(START, groups, Window(Bounds(301, 1))), 1))
    assert [block.chosen for block in blocks] == [(0,)]
