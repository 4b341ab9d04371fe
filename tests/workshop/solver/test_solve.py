"""The search for whole steps: what it finds, in which order, and what it says where there is nothing."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics.moments import Moments
from passport.workshop.solver import program
from passport.workshop.solver.combos import MOST, best_of_each_set
from passport.workshop.solver.problem import Bounds, Group, Problem, Window, add_up, rung, solution_of
from passport.workshop.solver.program import Program
from passport.workshop.solver.solve import (
    CLOSE,
    additive,
    after_removals,
    extreme,
    least_miss,
    nearest,
    nearest_ways,
    reachable,
    solve,
)

START = Moments.from_measured(300, 320, 290, 13)
PLACES = {"tip": 670, "shoulder": 560, "sides": 500, "throat": 330, "top": 160, "handle": 35, "butt": 5}


def points(step: float = 1.0, most: int = 6, places: tuple[str, ...] = tuple(PLACES)) -> tuple[Group, ...]:
    """Groups of whole steps of mass at single points."""
    return tuple(
        Group(name, tuple(Moments.point(step * k, PLACES[name]) for k in range(1, most + 1))) for name in places
    )


def window(body: Moments, mass=1.0, balance=1.5, swing=1.5) -> Window:
    """A window around what a body reads."""
    return Window(Bounds(body.mass, mass), Bounds(body.balance, balance), Bounds(body.swingweight(), swing))


def test_nothing_to_do():
    """A body inside its window needs nothing, and there is no other way worth showing."""
    found = solve(Problem(START, points(), window(START)))
    assert [way.picks for way in found] == [(None,) * len(PLACES)]
    assert found[0].worst == 0


def test_fewest_places_come_first():
    """Where one place does, no way with two is the best; mass saved by a second place does not count."""
    target = START + Moments.point(4, 500)
    assert solve(Problem(START, points(), window(target)))[0].used == {2}


def test_well_inside_before_least_mass():
    """With as few places, the middle half of the tolerance is taken before the last gram is saved."""
    target = START + Moments.point(4, 35)
    best = solve(Problem(START, points(0.5, 12, ("handle",)), Window(mass=Bounds(target.mass, 1.0))))[0]
    assert best.picks == (6,)  # 3.5 g: half a gram under the target is inside the middle half, 3 g is only just inside


def test_least_mass_where_nothing_is_well_inside():
    """Where no step lies in the middle half the next rung counts, and in it the least mass."""
    shifted = Window(mass=Bounds(303.5, 0.9))  # 303 and 304 g are both 0.56 tolerances off
    assert solve(Problem(START, points(1.0, 6, ("handle",)), shifted))[0].result.mass == 303.0


def test_other_ways_use_other_places():
    """No other way contains a way already given, unless it takes the result well inside where those do not."""
    target = START + Moments.point(3, 500) + Moments.point(4, 35)
    ways = solve(Problem(START, points(), window(target)))
    assert len(ways) > 1
    for i, way in enumerate(ways):
        for other in ways[:i]:
            surer = rung(way.worst) == 0 < rung(other.worst)
            assert way.used != other.used
            assert surer or not other.used <= way.used


def test_things_come_off_only_where_nothing_else_helps():
    """A part that may go stays on while additions do, and goes where they do not."""
    off = Group("grip", (Moments.filled(5, 0, 180).scaled(-1),), off=True)
    groups = (*points(), off)
    light, heavy = START + Moments.point(3, 500), START - Moments.filled(5, 0, 180) + Moments.point(2, 35)
    assert solve(Problem(START, groups, window(light)))[0].picks[-1] is None
    assert solve(Problem(START, groups, window(heavy, 0.3, 0.3, 0.3)))[0].picks[-1] == 0


def test_the_least_is_taken_off():
    """Of two swaps that do, the one that takes less off is taken."""
    swaps = Group("grip", tuple(Moments.filled(m, 0, 180).scaled(-1) for m in (11.0, 3.0)), off=True)
    target = START - Moments.filled(3, 0, 180)
    best = solve(Problem(START, (*points(), swaps), window(target)))[0]
    assert best.picks[-1] == 1


def test_unknown_polar_moment_is_left_free():
    """A twistweight that is wanted of a body whose own is not known does not count."""
    start = replace(START, polar=None)
    wanted = Window(mass=Bounds(301, 0.1), twistweight=Bounds(99, 0.1))
    assert solve(Problem(start, points(), wanted))[0].inside


def test_many_places_by_the_program():
    """A target that takes five places is found by the mixed-integer program, and is inside."""
    target = Moments.total([START, *(Moments.point(6, PLACES[p]) for p in PLACES if p not in ("tip", "top"))])
    problem = Problem(START, points(), window(target, 0.4, 0.2, 0.2))
    best = solve(problem, 1)[0]
    assert len(best.used) > MOST
    assert best.inside and best.proven


def test_search_and_program_agree_on_the_fewest_places():
    """Trying all combinations and the mixed-integer program find the same least number of places."""
    for extra in (Moments.point(3, 500), Moments.point(2, 670) + Moments.point(5, 35)):
        problem = Problem(START, points(), window(START + extra, 0.4, 0.4, 0.4))
        found = Program(problem)
        least = found.run(found.count, found.window(1.0))
        sizes = [size for size in range(MOST) if list(best_of_each_set(problem, size))]
        assert sizes[0] == round(least.least)


def test_impossible_is_proven():
    """Nothing makes a body lighter by adding to it."""
    problem = Problem(START, points(), window(START - Moments.point(5, 670)))
    assert solve(problem) == ()
    assert not reachable(problem)


def test_between_steps_is_reachable():
    """A target between two steps could be met by dividing them."""
    problem = Problem(START, points(1.0, 6, ("handle",)), Window(mass=Bounds(302.5, 0.1)))
    assert solve(problem) == ()
    assert reachable(problem)


def test_nearest_within_reach_of_the_bound():
    """What is given as nearest is no further off than the bound of divided steps and what is allowed above it."""
    problem = Problem(START, points(0.2, 20), window(START - Moments.point(2, 500) + Moments.point(6, 35)))
    found = nearest(problem)
    assert not found.inside
    assert found.worst <= least_miss(problem) + CLOSE + 0.02  # the balance's miss is linear in the bound


def test_nearest_with_many_places_by_the_program():
    """Where few places do not come near enough, the mixed-integer program says what does."""
    target = Moments.total([START, *(Moments.point(9, x) for x in PLACES.values())])
    found = nearest(Problem(START, points(), window(target, 0.5, 0.1, 0.1)))
    assert len(found.used) > MOST


def test_nearest_by_taking_off():
    """What comes nearer with something taken off is given as a second way."""
    off = Group("grip", (Moments.filled(5, 0, 180).scaled(-1),), off=True)
    heavy = Problem(START, (*points(), off), Window(mass=Bounds(290, 1)))
    plain, other = nearest_ways(heavy)
    assert (plain.result.mass, other.result.mass) == (300, 295)
    assert len(nearest_ways(additive(heavy))) == 1


def test_every_way_to_take_things_off():
    """Two things, one with two choices, can be taken off in 1 + 3 + 2 ways."""
    two = tuple(Moments.point(-m, 90) for m in (1.0, 2.0))
    problem = Problem(START, (Group("a", two, True), Group("b", two[:1], True)), Window())
    assert len(list(after_removals(problem))) == 6


def test_extreme_of_a_quantity():
    """With at most 3 g at the tip the swingweight rises by 3·57² / 1000 kg·cm² at most (m·d²)."""
    problem = Problem(START, points(1.0, 3, ("tip",)), window(START))
    body = extreme(problem, "swingweight", 1, ())
    assert body.swingweight() == pytest.approx(290 + 3 * 570**2 / 1e5)
    assert extreme(replace(problem, window=window(START - Moments.point(9, 35))), "swingweight", 1, ("mass",)) is None


def test_no_groups_at_all():
    """Without anything to add a body is what it is."""
    assert solve(Problem(START, (), window(START)))[0].inside
    assert solve(Problem(START, (), Window(mass=Bounds(310, 1)))) == ()
    assert nearest(Problem(START, (), Window(mass=Bounds(310, 1)))).worst == 10


def test_a_solver_that_gives_up_says_so(monkeypatch):
    """An ending that is neither an answer nor a proof is an error, not a wrong answer."""

    class Odd:
        x, status, message = None, 4, "numerical trouble"

    monkeypatch.setattr("scipy.optimize.milp", lambda *_, **__: Odd())
    with pytest.raises(RuntimeError, match="numerical trouble"):
        reachable(Problem(START, points(), window(START)))


picks_of_three = st.dictionaries(st.sampled_from(range(len(PLACES))), st.integers(0, 5), max_size=3)


@settings(max_examples=60, deadline=None)
@given(picks=picks_of_three, near=st.floats(0.05, 1.0))
def test_a_target_of_known_steps_is_found_again(picks, near):
    """A target built by adding known steps is met, with no more places than it was built with."""
    problem = Problem(START, points(), Window())
    target = add_up(problem, [picks.get(i) for i in range(len(PLACES))])
    best = solve(replace(problem, window=window(target, near, near, near)), 1)[0]
    assert best.inside
    assert len(best.used) <= len(picks)


@settings(max_examples=40, deadline=None)
@given(mass=st.floats(296, 312), balance=st.floats(312, 330), swing=st.floats(285, 305), twist=st.floats(12.5, 14.0))
def test_every_way_is_inside_when_re_added(mass, balance, swing, twist):
    """Every way, re-added with plain sums over its points, is inside the window that it claims."""
    wanted = Window(Bounds(mass, 1), Bounds(balance, 1.5), Bounds(swing, 1.5), Bounds(twist, 0.5))
    problem = Problem(START, points(0.5, 10), wanted)
    for way in solve(problem):
        added = [(0.5 * (k + 1), x) for k, x in zip(way.picks, PLACES.values(), strict=True) if k is not None]
        m0 = 300 + sum(m for m, _ in added)
        b = (300 * 320 + sum(m * x for m, x in added)) / m0
        s = 290 + sum(m * (x - 100) ** 2 for m, x in added) / 1e5
        assert abs(m0 - mass) <= 1 + 1e-7
        assert abs(b - balance) <= 1.5 + 1e-7
        assert abs(s - swing) <= 1.5 + 1e-7
        assert way == solution_of(problem, way.picks)


def test_the_program_keeps_shy_of_the_limits():
    """The program's windows are narrower than the tolerances by more than its own feasibility limit of 1e-6."""
    assert program.SHY > 1e-6
