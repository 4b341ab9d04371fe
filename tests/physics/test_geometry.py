"""The racquet's shape: places on the hoop, strips, strings."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics.geometry import RacquetShape

TENNIS = RacquetShape(685.8, 340, 250, 12, 180, 32, "open", 16, 19)
BADMINTON = RacquetShape(675, 240, 186, 8, 170, 25, "shaft", 22, 21)


def test_tip_of_the_hoop_ends_the_racquet():
    """The outside of the hoop at 12 o'clock is the overall length."""
    x, y = TENNIS.on_hoop(12)
    assert x + TENNIS.rim / 2 == pytest.approx(TENNIS.length)
    assert y == pytest.approx(0, abs=1e-9)


def test_three_and_nine_face_each_other():
    """3 o'clock lies on the right at the middle of the head, 9 o'clock opposite to it."""
    right, left = TENNIS.on_hoop(3), TENNIS.on_hoop(9)
    assert right == pytest.approx((TENNIS.head_centre, (250 + 12) / 2))
    assert left == pytest.approx((right[0], -right[1]))


def test_six_is_nearest_to_the_hand():
    """6 o'clock is the point of the hoop nearest to the butt."""
    assert TENNIS.on_hoop(6)[0] == pytest.approx(min(TENNIS.on_hoop(h)[0] for h in range(12)))


@settings(deadline=None)  # the machine may be busy
@given(st.floats(0, 12))
def test_hours_lie_on_the_ellipse_in_their_direction(hour):
    """Each hour lies on the hoop's ellipse, in the direction in which a clock's hand points."""
    x, y = BADMINTON.on_hoop(hour)
    a, b = BADMINTON.hoop_axes
    dx = x - BADMINTON.head_centre
    assert (dx / a) ** 2 + (y / b) ** 2 == pytest.approx(1)
    assert math.remainder(math.atan2(y, dx) - math.radians(30 * hour), 2 * math.pi) == pytest.approx(0, abs=1e-9)


@settings(deadline=None)  # the machine may be busy
@given(st.floats(0, 12), st.floats(0, 2 * math.pi))
def test_eccentric_points_lie_on_the_same_ellipse(hour, t):
    """Points by eccentric angle and points by the clock lie on one ellipse."""
    a, b = TENNIS.hoop_axes
    for x, y in (TENNIS.hoop_point(t), TENNIS.on_hoop(hour)):
        assert ((x - TENNIS.head_centre) / a) ** 2 + (y / b) ** 2 == pytest.approx(1)


@settings(deadline=None)  # the machine may be busy
@given(st.floats(0, 12), st.floats(0.5, 900))
def test_a_strip_has_its_length_and_is_centred(hour, length):
    """A strip, followed as a fine polyline, is as long as asked and has half of it on each side of the hour."""
    path = TENNIS.hoop_path(hour, length, pieces=400)
    steps = [math.dist(p, q) for p, q in pairwise(path)]
    assert sum(steps) == pytest.approx(length, rel=2e-5)
    hour_point = TENNIS.on_hoop(hour)
    run, nearest = 0.0, (math.inf, 0.0)
    for point, step in zip(path, [*steps, 0.0], strict=True):
        nearest = min(nearest, (math.dist(point, hour_point), run))
        run += step
    assert nearest[1] == pytest.approx(length / 2, abs=1.2 * max(steps))


def test_a_circle_has_the_perimeter_of_a_circle():
    """A round hoop is 2πr around, and a strip of a sixth of it spans 60 degrees."""
    round_one = replace(TENNIS, head_width=340.0)
    around = 2 * math.pi * 176
    assert round_one.hoop_perimeter == pytest.approx(around, rel=1e-12)
    start, end = round_one.hoop_span(2, around / 6)
    assert (start, end) == pytest.approx((math.radians(30), math.radians(90)))


@pytest.mark.parametrize("length", [-1, 2000])
def test_strips_that_cannot_be_are_refused(length):
    """A strip of negative length, or longer than the hoop, is refused with both lengths named."""
    with pytest.raises(ValueError, match=rf"strip of {length} mm .* hoop of \d+ mm"):
        TENNIS.hoop_span(3, length)


def test_head_area_is_that_of_the_ellipse():
    """The strung area is π/4 of length times width."""
    assert TENNIS.head_area == pytest.approx(math.pi * 170 * 125)


def test_spacing_is_as_measured_or_estimated():
    """A measured spacing is used as it is; without one it is the head over the count plus three."""
    assert TENNIS.spacing == pytest.approx((250 / 19, 340 / 22))
    assert replace(TENNIS, main_spacing=11.5, cross_spacing=12.5).spacing == (11.5, 12.5)


@pytest.mark.parametrize("shape", [TENNIS, BADMINTON])
def test_strings_are_counted_centred_and_inside(shape):
    """There are as many strings as counted, mirrored about the middle, all inside the head and spaced evenly."""
    mains, crosses = shape.main_positions(), shape.cross_positions()
    assert (len(mains), len(crosses)) == (shape.mains, shape.crosses)
    assert sum(mains) == pytest.approx(0, abs=1e-9)
    assert sum(crosses) / len(crosses) == pytest.approx(shape.head_centre)
    assert all(shape.main_length(y) > 0 for y in mains)
    assert all(shape.cross_length(x) > 0 for x in crosses)
    assert [b - a for a, b in pairwise(mains)] == pytest.approx([shape.spacing[0]] * (shape.mains - 1))
    assert [b - a for a, b in pairwise(crosses)] == pytest.approx([shape.spacing[1]] * (shape.crosses - 1))


def test_string_lengths_at_the_middle_and_outside():
    """The middle strings are as long as the head, and there is no string outside of it."""
    assert TENNIS.main_length(0) == 340
    assert TENNIS.cross_length(TENNIS.head_centre) == 250
    assert TENNIS.main_length(125) == 0
    assert TENNIS.main_length(-130) == 0
    assert TENNIS.cross_length(TENNIS.length) == 0


@settings(deadline=None)  # the machine may be busy
@given(st.floats(-125, 125))
def test_string_ends_lie_on_the_ellipse(y):
    """The end of a main string lies on the ellipse of the strung area."""
    half = TENNIS.main_length(y) / 2
    assert (half / 170) ** 2 + (y / 125) ** 2 == pytest.approx(1)
