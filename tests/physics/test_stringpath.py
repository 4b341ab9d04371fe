"""Where the string lies outside the head: the turns and the knots."""

import pytest

from passport.physics.geometry import RacquetShape
from passport.physics.stringpath import Threading, estimated_path

SHAPE = RacquetShape(685.8, 330, 246, 12, 180, 32, "open", 16, 19, 12.0, 13.5)


@pytest.mark.parametrize("start", ["throat", "head"])
def test_the_knots_of_the_mains_are_away_from_the_first_cross(start):
    """Both lie in the groove at the end of the head where the crosses end, one a mirror of the other (plain geometry)."""
    path = estimated_path(SHAPE, Threading(2, 4, "throat", start))
    left, right = (run.start for run in path.runs if run.where == "tie-off" and run.of == "mains")
    assert left[0] == pytest.approx(right[0])
    assert left[1] == pytest.approx(-right[1])
    assert left[1] != pytest.approx(0)
    away = left[0] < SHAPE.head_centre if start == "head" else left[0] > SHAPE.head_centre
    assert away
    half = abs(left[0] - SHAPE.head_centre) / (SHAPE.head_length / 2), abs(left[1]) / (SHAPE.head_width / 2)
    assert 1.0 < half[0] ** 2 + half[1] ** 2 < 1.25, "outside the head, inside the hoop"


@pytest.mark.parametrize(("pieces", "knots"), [(1, 2), (2, 4), (1, 3), (2, 3)])
def test_there_are_as_many_knots_as_were_tied(pieces, knots):
    """Each takes the same string; a string in one piece has a bridge from main to cross more than two pieces have."""
    path = estimated_path(SHAPE, Threading(pieces, knots))
    tied = [run.length for run in path.runs if run.where == "tie-off"]
    assert len(tied) == knots
    assert len(set(tied)) == 1
    bridges = sum(run.where == "bridge" for run in path.runs)
    assert bridges == (SHAPE.mains - 1) + (SHAPE.crosses - 1) + (pieces == 1)


@pytest.mark.parametrize("start", ["head", "throat"])
def test_the_knots_of_the_crosses_are_at_the_last_and_at_the_first(start):
    """String in one piece ends with a knot at the last cross; of two pieces one more stands at the first (so the other
    model of the tests lays them, ``tests/support/finestring.py``)."""
    for pieces, knots in ((1, 2), (2, 4)):
        path = estimated_path(SHAPE, Threading(pieces, knots, crosses_start=start))
        tied = [run.start[0] for run in path.runs if run.where == "tie-off" and run.of == "crosses"]
        crossing = [run.start[0] for run in path.runs if run.where == "inside" and run.of == "crosses"]
        low, high = min(crossing), max(crossing)
        last, first = (low, high) if start == "head" else (high, low)
        near = (high - low) / len(set(crossing))
        assert abs(tied[0] - last) < near
        assert len(tied) == knots // 2
        assert all(abs(x - first) < near for x in tied[1:])
