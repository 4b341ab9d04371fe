"""The path laid out: lengths against the usual path and a count by hand, what to cut."""

import math

import pytest

from passport.physics.geometry import RacquetShape
from passport.physics.stringing.course import KNOT_MM, TAIL_MM, course, lengths, spot, to_cut
from passport.physics.stringing.holes import HANDS, Drilling, Hole
from passport.physics.stringing.route import Route, Threaded, Tie
from passport.physics.stringing.ways import StrungWay
from passport.physics.stringpath import Threading, estimated_path

TENNIS = RacquetShape(685.8, 330, 246, 12, 180, 32, "open", 16, 19, 12.0, 13.5)
SKIPPED = tuple(Hole(hand, end, 8) for end in ("throat", "head") for hand in HANDS)


DRILLED = Drilling(16, 19, SKIPPED)


def way(name, crosses=None, ties=(), drilling=DRILLED):
    """A route on the frame."""
    found = Threaded(drilling, StrungWay(name, "throat", crosses), ties=tuple(ties)).route()
    assert isinstance(found, Route)
    return found


def test_two_pieces_are_as_long_as_the_usual_path():
    """Without known tie-offs, laid round the hoop in arcs: within a millimetre of the usual path's straight turns."""
    found = course(TENNIS, way("two pieces", "head"), 1.25)
    usual = estimated_path(TENNIS, Threading(2, 4, "throat", "head", 1.25))
    for side in ("mains", "crosses"):
        assert found.length(side) == pytest.approx(usual.length(side), abs=1.0)
        assert found.moments(side, 1.5).m2 == pytest.approx(usual.moments(side, 1.5).m2, rel=1e-3)


def test_inside_the_head_every_way_is_alike():
    """The strings are the same whatever their order: what differs is round the hoop and at the knots."""
    inside = {
        course(TENNIS, way(name, c)).length(outside=False)
        for name, c in (("one piece", None), ("around the world", None), ("box", None), ("two pieces", "head"))
    }
    assert max(inside) - min(inside) < 1e-6
    assert course(TENNIS, way("one piece")).length() > course(TENNIS, way("box")).length()


def test_pieces_add_up():
    """The pieces are the whole string, and the two sides of the mains are mirrors but for the middle turn's half."""
    found = way("two pieces", "head")
    mains, crosses = lengths(TENNIS, found, 1.25)
    assert mains.path + crosses.path == pytest.approx(course(TENNIS, found, 1.25).length())
    assert mains.short == pytest.approx(mains.path / 2)
    assert crosses.short == 0.0


def test_a_knot_in_its_hole():
    """From hole 9 to hole 6 at the throat, round the hoop past two mains: about 24 mm, the pass, and the knot."""
    plain, told = way("one piece"), way("one piece", ties=[Tie("mains", "throat", 6)])
    knots = [run for run in course(TENNIS, told).runs if run.where == "tie-off" and run.of == "mains"]
    x6, x9 = (spot(TENNIS, told, Hole("left", "throat", n)) for n in (6, 9))
    assert sum(run.length for run in knots) == pytest.approx(math.dist(x6, x9) + 12 * 0.8 + KNOT_MM, rel=0.05)
    assert course(TENNIS, told).length("crosses") == course(TENNIS, plain).length("crosses")


def test_a_free_hole_lies_between_its_neighbours():
    """A hole that nobody uses lies on the hoop between the strings beside it."""
    drilling = Drilling(16, 19, SKIPPED, blocked=tuple(Hole(hand, "throat", 12) for hand in HANDS))
    found = way("one piece", drilling=drilling)
    below, free, above = (spot(TENNIS, found, Hole("right", "throat", n)) for n in (11, 12, 13))
    assert below[0] < free[0] < above[0]
    x, y = (free[0] - TENNIS.head_centre) / 165, free[1] / 123
    assert math.hypot(x, y) == pytest.approx(1.0)


def test_what_to_cut():
    """A string that stretches by 4 % under its pull is cut 4 % shorter, plus a tail at each end; twice the pull twice that."""
    pull = 185.0 * math.pi * 1.25**2 / 4
    assert to_cut(10_000, "polyester", 1.25, pull).value == pytest.approx(10_000 / 1.04 + 2 * TAIL_MM)
    assert to_cut(10_000, "polyester", 1.25, 2 * pull).value == pytest.approx(10_000 / 1.08 + 2 * TAIL_MM)
    assert to_cut(10_000, "other", 1.25, pull).value == 10_000 + 2 * TAIL_MM
    assert to_cut(10_000, "nylon", 1.25, pull).u == pytest.approx(10_000 * 0.03 / 1.06**2, rel=0.1)


def test_another_pattern_is_refused():
    """A path is laid on a frame of its own counts only."""
    with pytest.raises(ValueError, match="another pattern"):
        course(RacquetShape(685.8, 330, 246, 12, 180, 32, "open", 18, 20), way("one piece"))
