"""How the mass of each kind of thing is spread over the frame."""

import math
from dataclasses import astuple

import pytest
from scipy.integrate import quad

from passport.physics.geometry import RacquetShape
from passport.records.schema.places import parse_place
from passport.workshop.measuring.placement import hour_of, lay, pieces, sideways

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
    ("throat", OPEN, 2), ("throat", SHAFT, 1), ("3 only", OPEN, 1), ("top of the handle", OPEN, 1), ("butt cap", OPEN, 1),
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
    """Silicone fills the handle from 10 mm on as far as its volume reaches, close to the long axis.

    12 g of 1.1 g/cm³ (about 1.0 to 1.2, from memory) in a bore of 24 mm are 24 mm long: V/(πr²).
    """
    laid = lay("silicone", parse_place("inside the handle"), 12, None, OPEN)
    assert laid.from_mm == 10
    assert laid.to_mm - 10 == pytest.approx(12 / 1.1 * 1000 / (math.pi * (OPEN.handle_width / 2 - 4) ** 2))
    assert 20 < laid.to_mm - 10 < 30
    assert 0 < laid.moments.polar < 12 * 16**2


def test_paste_of_a_length_that_was_measured():
    """A length that somebody wrote down wins over the one worked out; no silicone runs out of the handle."""
    place = parse_place("inside the handle")
    assert lay("silicone", place, 12, 40, OPEN).to_mm == 50
    assert lay("silicone", place, 500, None, OPEN).to_mm == OPEN.handle


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


def test_one_side_only_has_the_moments_of_the_pair():
    """Neither swing axis nor long axis sees the side: 3 g at 3 only have the moments of 3 g at 3 and 9 together."""
    alone, pair = (lay("tape", parse_place(place), 3, 60, OPEN) for place in ("9 only", "3 and 9"))
    assert astuple(alone.moments) == pytest.approx(astuple(pair.moments))
    assert (alone.count, pair.count, alone.hour, pair.hour) == (1, 2, 9.0, 3.0)


def test_one_side_only_moves_the_middle_of_mass():
    """m·y on its own side, y the arc's mean distance from the long axis by scipy's quadrature; a pair moves nothing."""
    a, b = (OPEN.head_length + OPEN.rim) / 2, (OPEN.head_width + OPEN.rim) / 2
    half = 0.25

    def speed(t):
        return math.hypot(a * math.sin(t), b * math.cos(t))

    low, high = math.pi / 2 - half, math.pi / 2 + half
    run = quad(speed, low, high)[0]
    mean = quad(lambda t: b * math.sin(t) * speed(t), low, high)[0] / run
    assert sideways(parse_place("3 only"), 3, run, OPEN) == pytest.approx(3 * mean)
    assert sideways(parse_place("9 only"), 3, run, OPEN) == pytest.approx(-3 * mean)
    assert sideways(parse_place("3 and 9"), 3, run, OPEN) == 0
    assert sideways(parse_place("12 only"), 3, run, OPEN) == 0


@pytest.mark.parametrize(("kind", "place", "mass", "length", "about"), [
    ("head tape", "12", 1.5, None, 5.0), ("damper", "between the mains", 2.0, None, 1.3),
])  # fmt: skip
def test_what_a_head_tape_and_a_damper_do(kind, place, mass, length, about):
    """A head tape of 1.5 g at the tip is about +5 kg·cm² on a tennis frame, a damper of 2 g about +1.3: m·(x − 10 cm)²."""
    found = lay(kind, parse_place(place), mass, length, OPEN)
    assert found.moments.swingweight() == pytest.approx(about, abs=0.2)
    assert found.moments.polar == pytest.approx(0, abs=1)


def test_savers_lie_where_the_strings_do():
    """Savers on the string bed have its middle and its spread: the head's centre, and more than a point there has."""
    laid = lay("string savers", parse_place("on the string bed"), 0.3, None, OPEN)
    assert laid.moments.m0 == pytest.approx(0.3)
    assert laid.moments.balance == pytest.approx(OPEN.head_centre, abs=1)
    assert laid.moments.swingweight() > 0.3e-2 * ((OPEN.head_centre - 100) / 10) ** 2 / 10
    assert (laid.from_mm, laid.to_mm) == (OPEN.head_centre - 165, OPEN.head_centre + 165)
