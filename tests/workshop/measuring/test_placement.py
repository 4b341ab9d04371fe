"""How the mass of each kind of thing is spread over the frame."""

import math

import pytest
from scipy.integrate import quad

from passport.physics.geometry import RacquetShape
from passport.records.schema.places import parse_place
from passport.workshop.measuring.placement import hour_of, lay, pieces

OPEN = RacquetShape(685.8, 330, 246, 12, 180, 32, "open", 16, 19)
SHAFT = RacquetShape(675, 244, 188, 9, 175, 24, "shaft", 22, 21)


def ellipse_mean(shape, power, low, high):
    """Mean of x to a power along the hoop's middle between two angles off the tip, by scipy's quadrature."""
    a, b = (shape.head_length + shape.rim) / 2, (shape.head_width + shape.rim) / 2

    def speed(t):
        return math.hypot(a * math.sin(t), b * math.cos(t))

    run = quad(speed, low, high)[0]
    return quad(lambda t: (shape.head_centre + a * math.cos(t)) ** power * speed(t), low, high)[0] / run, run


def test_tape_under_the_bumper_bends_with_the_hoop():
    """A strip under the bumper lies along the hoop around 12: its moments are those of the ellipse's arc."""
    first, run = ellipse_mean(OPEN, 1, -0.4, 0.4)
    second, _ = ellipse_mean(OPEN, 2, -0.4, 0.4)
    laid = lay("tape", parse_place("under the bumper"), 3, run, OPEN)
    assert laid.moments.m1 == pytest.approx(3 * first, rel=1e-9)
    assert laid.moments.m2 == pytest.approx(3 * second, rel=1e-9)
    assert (laid.count, laid.hour) == (1, 0.0)


def test_mirrored_strips_reach_as_far_as_the_arc():
    """Strips at 3 and 9 are two, and reach from the arc's lower end to its upper one."""
    laid = lay("tape", parse_place("3 and 9"), 4, 100, OPEN)
    assert laid.count == 2
    assert laid.to_mm - laid.from_mm == pytest.approx(99.0, abs=1.0)
    assert (laid.from_mm + laid.to_mm) / 2 == pytest.approx(OPEN.head_centre)


@pytest.mark.parametrize(("place", "shape", "count"), [
    ("12", OPEN, 1), ("6", OPEN, 1), ("10 and 2", OPEN, 2), ("under the bumper", OPEN, 1),
    ("throat", OPEN, 2), ("throat", SHAFT, 1), ("top of the handle", OPEN, 1), ("butt cap", OPEN, 1),
])  # fmt: skip
def test_left_and_right_weigh_the_same(place, shape, count):
    """What lies off the long axis is cut into two equal pieces, what lies on it into one."""
    assert pieces("tape", parse_place(place), shape) == count


def test_a_grip_fills_the_handle():
    """A grip of 14 g on 180 mm has the moments of an even rod: m·L/2 and m·L²/3, plus its thickness."""
    laid = lay("base grip", parse_place("along the handle"), 14, None, OPEN)
    assert laid.moments.m1 == pytest.approx(14 * 90)
    assert laid.moments.m2 == pytest.approx(14 * 180**2 / 3, rel=0.02)
    assert laid.moments.polar == pytest.approx(14 * 16**2)


def test_a_sleeve_starts_at_the_butt():
    """A sleeve that covers 155 mm lies from the butt up."""
    laid = lay("sleeve", parse_place("along the handle"), 4.2, 155, OPEN)
    assert (laid.from_mm, laid.to_mm) == (0, 155)


def test_paste_lies_inside_the_handle():
    """Silicone lies at its named place, close to the long axis."""
    laid = lay("silicone", parse_place("inside the handle"), 6, None, OPEN)
    assert (laid.from_mm, laid.to_mm) == (10, 60)
    assert 0 < laid.moments.polar < 6 * 16**2


def test_a_span_holds_a_strip_in_its_middle():
    """A strip in a span given in millimetres lies in its middle, however long the span."""
    laid = lay("tape", parse_place("300 mm to 360 mm"), 1, 20, OPEN)
    assert (laid.from_mm, laid.to_mm) == (320, 340)


def test_folded_tape_lies_where_it_is_folded():
    """Tape in the butt cap lies in the butt cap, however long it is."""
    laid = lay("tape", parse_place("butt cap"), 2, 100, OPEN)
    assert (laid.from_mm, laid.to_mm, laid.length) == (0, 10, 100)


def test_arms_of_an_open_throat_are_off_the_axis_and_a_shaft_is_not():
    """A strip at the throat adds to the twistweight on two arms, and next to nothing on a shaft."""
    arms = lay("tape", parse_place("throat"), 1, 30, OPEN).moments.polar
    shaft = lay("tape", parse_place("throat"), 1, 30, SHAFT).moments.polar
    assert arms > 20**2 > shaft == 0


def test_the_hour_of_a_place():
    """Only places on the hoop have an hour."""
    assert [hour_of(parse_place(p)) for p in ("under the bumper", "3 and 9", "throat")] == [0.0, 3.0, None]
