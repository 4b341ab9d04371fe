"""What can be reached: against linear programs, and against mixes made at random."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rebuildshop import HEAVY_HEAD, bench
from scipy.optimize import linprog

from passport.physics.moments import Moments
from passport.workshop.rebuild.reach import Reach, Supply, clipped, inside, reach_of
from passport.workshop.rebuild.rebuild import rebuild

BEGIN = Moments.from_measured(320.0, 316.0, 305.0)
PLACES = (
    (3.0, 670.0, 0.0),
    (4.0, 575.0, 90.0),
    (5.0, 505.0, 125.0),
    (3.0, 300.0, 40.0),
    (8.0, 35.0, 0.0),
    (4.0, 5.0, 0.0),
)
"""Room g, mm from the butt, mm off the axis."""


def made(places=PLACES) -> Reach:
    """The reach of points at these places."""
    points = [(room, Moments.point(1.0, x, y)) for room, x, y in places]
    sources = tuple(Supply(room, point.m1, point.swingweight()) for room, point in points)
    return Reach(BEGIN.m0, BEGIN.m1, BEGIN.swingweight(), sources)


def mix(reach: Reach, shares) -> tuple[float, float, float]:
    """Mass, balance and swingweight with a share of each place's room taken."""
    taken = [share * source.room for share, source in zip(shares, reach.sources, strict=True)]
    mass = reach.mass + sum(taken)
    first = reach.first + sum(g * s.x for g, s in zip(taken, reach.sources, strict=True))
    return mass, first / mass, reach.swing + sum(g * s.swing for g, s in zip(taken, reach.sources, strict=True))


shares = st.lists(st.floats(0, 1), min_size=len(PLACES), max_size=len(PLACES))


@given(shares)
def test_every_mix_is_between_least_and_most(taken):
    """Whatever is taken of each place, the swingweight lies between the least and the most for its mass and balance."""
    reach = made()
    mass, balance, swing = mix(reach, taken)
    low, high = reach.least(mass, balance), reach.most(mass, balance)
    assert low is not None and high is not None
    assert low - 1e-6 <= swing <= high + 1e-6


@given(shares)
def test_least_and_most_are_those_of_a_linear_program(taken):
    """The least and the most swingweight are those that scipy's linear programming finds."""
    reach = made()
    mass, balance, _ = mix(reach, taken)
    equal = [[1.0] * len(PLACES), [source.x / 100 for source in reach.sources]]
    wanted = [mass - reach.mass, (mass * balance - reach.first) / 100]
    bounds = [(0.0, source.room) for source in reach.sources]
    for sign, found in ((1, reach.least(mass, balance)), (-1, reach.most(mass, balance))):
        cost = [sign * source.swing for source in reach.sources]
        solved = linprog(cost, A_eq=equal, b_eq=wanted, bounds=bounds)
        if solved.status == 0:
            assert found == pytest.approx(reach.swing + sign * solved.fun, abs=1e-4)


def test_outline_begins_with_nothing_added_and_holds_all_full():
    """The outline's corners include nothing added and everything added."""
    reach, everything = made(), mix(made(), [1.0] * len(PLACES))
    corners = reach.outline()
    for wanted in ((BEGIN.mass, BEGIN.balance), everything[:2]):
        assert min(abs(m - wanted[0]) + abs(b - wanted[1]) for m, b in corners) < 1e-9


def test_outside_the_outline_there_is_no_swingweight():
    """A mass below the frame's own, or a balance that no place gives, cannot be reached."""
    reach = made()
    assert reach.least(BEGIN.mass - 0.1, BEGIN.balance) is None
    assert reach.most(BEGIN.mass + 3.0, 340.0) is None


@given(shares, st.floats(300, 330), st.floats(0.1, 3))
def test_the_field_that_fits_is_where_the_swingweight_can_be_met(taken, target, tolerance):
    """A mix of the wanted swingweight lies on the field, and where the swingweights are all off there is no field."""
    reach = made()
    mass, balance, swing = mix(reach, taken)
    low, high = target - tolerance, target + tolerance
    field = [(m - reach.mass, m * b - reach.first) for m, b in reach.fits(low, high)]
    least, most = reach.least(mass, balance), reach.most(mass, balance)
    on_it = bool(field) and inside(field, (mass - reach.mass, mass * balance - reach.first), 1e-3)
    if low + 1e-6 < swing < high - 1e-6:
        assert on_it
    if least is not None and most is not None and (least > high + 1e-3 or most < low - 1e-3):
        assert not field or not inside(field, (mass - reach.mass, mass * balance - reach.first), -1e-3)


@given(st.lists(shares, min_size=1, max_size=5))
def test_the_field_is_the_least_swingweight_everywhere(taken):
    """At all places at once the field says what is said of each of them alone."""
    reach = made()
    places = np.array([mix(reach, one)[:2] for one in taken])
    field = reach.least_field(places[:, 0], places[:, 1])
    for (mass, balance), found in zip(places, field, strict=True):
        assert found == pytest.approx(reach.least(mass, balance))


def test_no_place_reaches_only_the_frame_itself():
    """Without places the outline is one point, and no swingweight but its own fits."""
    reach = made(())
    assert {(round(m, 9), round(b, 9)) for m, b in reach.outline()} == {(320.0, 316.0)}
    assert reach.fits(306.0, 307.0) == ()
    assert reach.fits(304.0, 306.0) != ()


def test_one_place_reaches_a_line():
    """One place gives one swingweight for each mass."""
    reach = made(PLACES[:1])
    mass, balance, swing = mix(reach, [0.5])
    assert reach.least(mass, balance) == pytest.approx(swing)
    assert reach.most(mass, balance) == pytest.approx(swing)


def test_clipping_keeps_the_half_where_the_function_is_not_negative():
    """A square cut down the middle leaves the half that was asked for."""
    square = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))
    assert set(clipped(square, lambda p: p[0] - 1)) == {(1.0, 0.0), (2.0, 0.0), (2.0, 2.0), (1.0, 2.0)}
    assert clipped(square, lambda p: p[0] - 3) == ()
    assert clipped(square, lambda p: 1.0) == square


def test_the_best_plan_is_within_reach_of_its_own_frame(tmp_path):
    """The plan's own result lies in the reach, to the little that a shorter strip's moments differ from a longer one's."""
    found = rebuild(bench(tmp_path), "ada/main", "near")
    reach = reach_of(found, found.plans[0])
    done = found.plans[0].predicted
    low, high = (limit(done.mass.value, done.balance.value) for limit in (reach.least, reach.most))
    assert low is not None and high is not None
    assert low - 0.1 < done.swingweight.value < high + 0.1
    swing = found.aim("swingweight")
    assert reach.fits(swing.target - swing.tolerance, swing.target + swing.tolerance)


def test_a_head_too_heavy_leaves_no_field(tmp_path):
    """Where the swingweight is too high before anything is added, nothing fits."""
    found = rebuild(bench(tmp_path, {"blank": HEAVY_HEAD}), "ada/main", "blank")
    swing = found.aim("swingweight")
    assert reach_of(found, found.plans[0]).fits(swing.target - swing.tolerance, swing.target + swing.tolerance) == ()


def test_what_a_plan_takes_off_is_off(tmp_path):
    """A plan that swaps a grip starts its reach without the old grip and with the new one."""
    heavy = "mass: 308 g, balance: 316 mm, swingweight: 288 kgcm2"
    found = rebuild(bench(tmp_path, {"blank": heavy}, build=("leather",)), "ada/main", "blank")
    swapping = next(plan for plan in found.plans if plan.removals)
    (removal, *_) = swapping.removals
    change = removal.piece.mass_g - (removal.instead.mass_g if removal.instead else 0.0)
    reach = reach_of(found, swapping)
    others = sum(r.piece.mass_g - (r.instead.mass_g if r.instead else 0.0) for r in swapping.removals[1:])
    assert reach.mass == pytest.approx(found.start.mass.value - change - others)
