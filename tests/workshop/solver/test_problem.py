"""What is asked of a plan."""

import pytest

from passport.physics.moments import Moments
from passport.workshop.solver.problem import LADDER, Bounds, Group, Problem, Window, add_up, rung, solution_of

START = Moments.from_measured(300, 320, 290, 13)
WINDOW = Window(Bounds(301, 1), Bounds(319, 2), Bounds(290, 1.5), Bounds(13.5, 0.5))


def test_misses_are_in_tolerances_and_signed():
    """1 g short of ± 1 g is −1, 1 mm beyond ± 2 mm is +0.5."""
    assert WINDOW.misses(START) == pytest.approx({"mass": -1, "balance": 0.5, "swingweight": 0, "twistweight": -1})
    assert WINDOW.worst(START) == pytest.approx(1)


def test_the_limit_itself_is_inside():
    """A body exactly on a limit is inside, and a hair beyond it is not."""
    assert WINDOW.inside(START)
    assert not WINDOW.inside(START - Moments.point(1e-3, 320))


def test_what_is_not_wanted_or_not_known_does_not_count():
    """A quantity without a band, or a twistweight that nobody knows, is no miss."""
    assert Window().worst(START) == 0
    assert Window(twistweight=Bounds(99, 1)).misses(Moments(300, 96000, 5e7, None)) == {}


def test_widened():
    """Wider tolerances leave targets and missing bands as they are."""
    wide = Window(Bounds(300, 1), None, Bounds(290, 2)).widened(3)
    assert (wide.mass, wide.balance, wide.swingweight) == (Bounds(300, 3), None, Bounds(290, 6))


def test_adding_up_what_is_taken():
    """One option of a group, or none, joins the start."""
    groups = (Group("a", (Moments.point(1, 500), Moments.point(2, 500))), Group("b", (Moments.point(4, 50),)))
    problem = Problem(START, groups, WINDOW)
    assert add_up(problem, [1, None]).mass == 302
    found = solution_of(problem, [None, 0])
    assert (found.used, found.result.mass, found.inside) == ({1}, 304, False)


def test_the_ladder():
    """The rungs are the middle half, three quarters and the whole; beyond is one more."""
    assert [rung(worst) for worst in (0.0, 0.5, 0.51, 0.75, 1.0, 1.01)] == [0, 0, 1, 1, 2, 3]
    assert LADDER[-1] == 1.0


def test_the_mass_of_reference():
    """A balance's first moment is judged over the wanted mass, or the body's own where none is wanted."""
    assert Problem(START, (), WINDOW).reference == 301
    assert Problem(START, (), Window()).reference == 300
