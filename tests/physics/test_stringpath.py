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
