"""Outlines: what is refused, what stays, lines across them."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics.head.outline import EGG, ELLIPSE, ROUNDER, SQUARER, TEARDROP, HeadOutline

FORMS = [ELLIPSE, ROUNDER, SQUARER, EGG, TEARDROP]


@pytest.mark.parametrize(
    "points",
    [
        [(0.98, 0.3)],
        [(-0.5, 0.9), (0.5, 0.3), (0.0, 0.1)],
        [(0.1, 1.4)],
        [(-0.6, 0.75), (-0.3, 0.6)],
        [(0.5, 0.8), (0.5, 0.82)],
    ],
)
def test_widths_that_no_head_has_are_refused(points):
    """A width at the very end, a waist, one that is wider than the head, two bumps and two widths at one height are refused."""
    with pytest.raises(ValueError, match="width"):
        ELLIPSE.through(points)


def test_an_outline_with_a_needles_waist_is_refused():
    """A form must have a width everywhere."""
    with pytest.raises(ValueError, match="wider"):
        HeadOutline((0.0, 1.0)).fitted()


@pytest.mark.parametrize("form", FORMS)
def test_a_width_that_the_form_has_anyway_changes_nothing(form):
    """Measured widths that lie on a form leave it as it is."""
    found = form.through([(xi, form.half_width(xi)) for xi in (-0.7, -0.2, 0.6)])
    for k in range(21):
        assert found.half_width(-1 + k / 10) == pytest.approx(form.half_width(-1 + k / 10), abs=1e-9)


@settings(deadline=None)  # the machine may be busy
@given(st.sampled_from(FORMS), st.floats(-0.03, 0.03))
def test_fuller_by_a_share(form, by):
    """A fuller outline has exactly so much more area, and its widest place as before."""
    found = form.fuller(by)
    assert found.fullness == pytest.approx(form.fullness * (1 + by), rel=1e-12)
    assert found.half_width(form.widest[0]) == pytest.approx(form.widest[1], abs=1e-12)


@settings(deadline=None)  # the machine may be busy
@given(st.sampled_from(FORMS), st.floats(0.0, 0.8), st.floats(-0.3, 0.3))
def test_a_line_along_the_head_ends_on_its_edge(form, eta, fan):
    """Both ends of a line lie on the outline, on either side of its middle, and it is inside between them."""
    span = form.span(eta, fan)
    if span is None:
        assert all(eta * (1 + fan * xi) >= form.half_width(xi) for xi in (0.0, 0.2, 0.4))
        return
    low, high = span
    for xi in span:
        assert eta * (1 + fan * xi) == pytest.approx(form.half_width(xi), abs=1e-7)
    assert eta * (1 + fan * (low + high) / 2) < form.half_width((low + high) / 2) + 1e-9


def test_points_are_named_by_their_angle():
    """The tip is at 0, the right side before the throat at π, and the names of forms are in order of their shoulders."""
    for form in FORMS:
        assert form.point(0.0) == pytest.approx((1, 0))
        assert form.point(math.pi) == pytest.approx((-1, 0), abs=1e-12)
        assert form.point(math.pi / 2)[1] > 0.9
    assert ROUNDER.fullness < ELLIPSE.fullness < SQUARER.fullness
    assert TEARDROP.half_width(-0.8) < EGG.half_width(-0.8) < ELLIPSE.half_width(-0.8)
