"""Where tape lies: stretches of the hoop and of the shaft, and what lies on what."""

import math

import pytest
from scipy.integrate import quad

from passport.physics.geometry import RacquetShape
from passport.records.schema.places import parse_place
from passport.records.stretches import on_itself, overlap, stretches

SHAPE = RacquetShape(685.8, 330, 246, 12, 180, 32, "open", 16, 19)


def at(place, length=None):
    """What a strip covers at a place."""
    return stretches(parse_place(place), length, SHAPE)


def way(hour):
    """The way along the hoop from the tip to an hour, mm, by scipy's integral over the ellipse."""
    a, b = (330 + 12) / 2, (246 + 12) / 2
    angle = math.radians(30 * hour)
    t = math.atan2(a * math.sin(angle), b * math.cos(angle))
    return quad(lambda u: math.hypot(a * math.sin(u), b * math.cos(u)), 0, t)[0]


@pytest.mark.parametrize(("place", "hour"), [("10 and 2", 2.0), ("3 and 9", 3.0), ("4 and 8", 4.0)])
def test_a_strip_lies_around_its_hour(place, hour):
    """Half of a strip lies on each side of its hour, measured along the hoop."""
    (one,) = at(place, 80.0)
    assert (one.low, one.high) == pytest.approx((way(hour) - 40, way(hour) + 40), abs=1e-6)


def test_shoulders_and_sides_overlap():
    """100 mm at 10 and 2 and 120 mm at 3 and 9 have in common what their half lengths exceed the way between them by."""
    common = overlap(at("10 and 2", 100.0), at("3 and 9", 120.0))
    assert common == pytest.approx(50 + 60 - (way(3) - way(2)), abs=1e-6)
    assert common > 30
    assert overlap(at("10 and 2", 40.0), at("3 and 9", 60.0)) == 0


def test_the_tip_has_one_strip():
    """At 12 and under the bumper strips lie on each other, over half of the shorter on each side."""
    assert overlap(at("12", 60.0), at("under the bumper", 100.0)) == pytest.approx(30)


def test_touching_is_no_overlap():
    """Two strips end to end do not lie on each other."""
    near = 2 * (way(3) - way(2) - 30)
    assert overlap(at("10 and 2", 60.0), at("3 and 9", near)) == 0
    assert overlap(at("10 and 2", 60.0), at("3 and 9", near + 1)) == pytest.approx(0.5, abs=1e-3)


def test_mirrored_strips_that_meet():
    """A long strip near the tip would lie on its own mirror image."""
    assert on_itself(parse_place("11:30 and 12:30"), 100.0, SHAPE)
    assert not on_itself(parse_place("10 and 2"), 100.0, SHAPE)
    assert not on_itself(parse_place("12"), 150.0, SHAPE)


def test_millimetres_on_the_head_are_on_the_hoop():
    """A span given in millimetres within the head lies on the hoop where that is so far from the butt."""
    (sides,) = at("3 and 9", 60.0)
    x = [SHAPE.hoop_path(3.0, 60.0)[i][0] for i in (0, -1)]
    (span,) = at(f"{min(x):.4f} mm to {max(x):.4f} mm")
    assert (span.track, span.low, span.high) == (
        "hoop",
        pytest.approx(sides.low, abs=0.01),
        pytest.approx(sides.high, abs=0.01),
    )


def test_the_handle_and_the_throat():
    """On the shaft a strip is its millimetres from the butt; folded tape covers nothing; the hoop is another track."""
    (top,) = at("top of the handle", 40.0)
    assert (top.track, top.low, top.high) == ("axis", 140, 180)
    assert at("inside the handle", 60.0) == () == at("butt cap", 20.0)
    assert overlap(at("top of the handle", 40.0), at("150 mm to 200 mm")) == 30
    assert overlap(at("throat", 60.0), at("3 and 9", 100.0)) == 0


def test_one_side_only_lies_on_that_side():
    """Strips at 3 and at 9 only never lie on each other; each lies on a pair there, and over the tip on the other side."""
    assert overlap(at("3 only", 80.0), at("9 only", 80.0)) == 0
    assert overlap(at("3 only", 80.0), at("3 and 9", 40.0)) == pytest.approx(40)
    assert overlap(at("3 only", 80.0), at("3 only", 40.0)) == pytest.approx(40)
    over, to_the_tip = 2 * (way(0.5) + 10), 2 * way(0.5)
    assert overlap(at("12:30 only", over), at("11:30 only", to_the_tip)) == pytest.approx(10, abs=1e-3)
    assert not on_itself(parse_place("12:30 only"), 100.0, SHAPE)
