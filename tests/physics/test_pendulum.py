"""Swingweight from a pendulum or from two wires."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics.moments import Moments
from passport.physics.pendulum import (
    BifilarReading,
    PendulumReading,
    amplitude_factor,
    bifilar_inertia,
    bifilar_swingweight,
    pendulum_inertia,
    pendulum_period,
    pendulum_swingweight,
)
from passport.physics.uncertainty import Estimate

FRAMES = st.builds(
    lambda mass, balance, gyration: Moments(mass, mass * balance, mass * (balance**2 + gyration**2), None),
    st.floats(70, 400),
    st.floats(280, 400),
    st.floats(160, 260),
)


@settings(deadline=None)  # the machine may be busy
@given(FRAMES, st.floats(-20, 200), st.floats(0, 1.2))
def test_a_timed_frame_gives_its_swingweight_back(frame, pivot, amplitude):
    """The period of a frame, turned back into a swingweight, is the frame's own, for any pivot and amplitude."""
    period = pendulum_period(frame, pivot, amplitude)
    assert pendulum_swingweight(frame.mass, frame.balance, pivot, period, amplitude=amplitude) == pytest.approx(
        frame.swingweight()
    )
    assert pendulum_inertia(frame.mass, frame.balance, pivot, period, amplitude=amplitude) == pytest.approx(
        frame.swingweight(pivot)
    )


@settings(deadline=None)  # the machine may be busy
@given(FRAMES)
def test_hung_by_the_head_or_by_the_butt(frame):
    """A frame hung by the tip gives the same swingweight as one hung by the butt."""
    by_tip = pendulum_swingweight(frame.mass, frame.balance, 680, pendulum_period(frame, 680))
    by_butt = pendulum_swingweight(frame.mass, frame.balance, 5, pendulum_period(frame, 5))
    assert by_tip == pytest.approx(by_butt)


def test_period_grows_with_amplitude():
    """A wide swing takes longer, a very small one as long as none, and the direction does not matter."""
    factors = [amplitude_factor(a) for a in (0.0, 0.1, 0.5, 1.5, 3.0)]
    assert factors == sorted(factors)
    assert factors[0] == 1
    assert amplitude_factor(-0.5) == amplitude_factor(0.5)


@pytest.mark.parametrize("amplitude", [math.pi, -4, math.nan])
def test_more_than_half_a_turn_is_refused(amplitude):
    """A swing of half a turn or more to each side is refused."""
    with pytest.raises(ValueError, match="less than half a turn"):
        amplitude_factor(amplitude)


@pytest.mark.parametrize(
    ("mass", "pivot", "period", "words"),
    [(0, 10, 1.3, "above 0"), (300, 10, 0, "above 0"), (300, 350.5, 1.3, "move the pivot")],
)
def test_pendulums_that_cannot_swing_are_refused(mass, pivot, period, words):
    """No mass, no period, or a pivot at the balance point is refused with what to do."""
    with pytest.raises(ValueError, match=words):
        pendulum_inertia(mass, 350, pivot, period)
    with pytest.raises(ValueError, match="does not swing"):
        pendulum_period(Moments.rod(300, 700), 350)


@pytest.mark.parametrize("swings", [10, 50])
def test_more_swings_make_the_time_matter_less(swings):
    """The time of n swings gives the same swingweight as one period, with the time's share divided by n."""
    once = reading(Estimate(1.3, 0.1), 1)
    often = reading(Estimate(1.3 * swings, 0.1), swings)
    assert often.value == pytest.approx(once.value)
    assert share(often, "time") == pytest.approx(share(once, "time") / swings, rel=1e-3)


def reading(time: Estimate, swings: int) -> Estimate:
    """The swingweight of one timing of a usual frame."""
    known = Estimate(300, 0), Estimate(350, 0.5), Estimate(10, 0.5)
    return PendulumReading(*known, time, swings).swingweight()


def share(result: Estimate, name: str) -> float:
    """The amount that one input adds to a result's uncertainty."""
    return next(part.amount for part in result.shares if part.name == name)


def test_a_timing_needs_a_swing():
    """A timing of no swings is refused."""
    with pytest.raises(ValueError, match="at least one"):
        reading(Estimate(1.3, 0.1), 0)


def test_an_unsure_small_amplitude_adds_nothing():
    """Around a very small swing the amplitude hardly matters, even where it is not known well."""
    timing = PendulumReading(
        Estimate(300, 0), Estimate(350, 0), Estimate(10, 0), Estimate(1.3, 0), amplitude=Estimate(0, 0.05)
    )
    assert timing.swingweight().u == pytest.approx(0, abs=1e-6)


def test_balance_matters_less_than_its_two_places_alone():
    """Balance enters the arm and the shift with opposite signs: its share is below that of the two added up."""
    result = reading(Estimate(1.3, 0.0), 1)
    i_pivot_per_mm = 428.2 / 340
    shift_per_mm = 300 * 2 * (340 - 250) / 1e5
    assert share(result, "balance") == pytest.approx(0.5 * (i_pivot_per_mm - shift_per_mm), rel=1e-3)


def test_other_axes():
    """The swingweight about the pivot itself is the pendulum's inertia."""
    timing = PendulumReading(Estimate(300, 0.1), Estimate(350, 0.5), Estimate(10, 0.5), Estimate(1.3, 0.001))
    assert timing.swingweight(axis=10.0).value == pytest.approx(timing.inertia().value)


@settings(deadline=None)  # the machine may be busy
@given(FRAMES, st.floats(150, 500), st.floats(300, 2000))
def test_two_wires_give_the_swingweight_back(frame, spacing, wire):
    """The period on two wires, from energy balance, turned back into a swingweight is the frame's own."""
    stiffness = frame.mass * 9806.65 * spacing**2 / (4 * wire)  # g·mm²/s² per radian
    period = 2 * math.pi * math.sqrt(frame.i_cm * 1e5 / stiffness)
    assert bifilar_swingweight(frame.mass, frame.balance, spacing, wire, period) == pytest.approx(frame.swingweight())


def test_two_wires_with_uncertainty():
    """On two wires the spacing and the time count double, the wire's length once, relative to the inertia."""
    timing = BifilarReading(
        Estimate(300, 0), Estimate(320, 0.5), Estimate(400, 1), Estimate(1000, 5), Estimate(15, 0.03), swings=10
    )
    inertia = timing.inertia()
    relative = {part.name: part.amount / inertia.value for part in inertia.shares}
    assert relative["spacing"] == pytest.approx(2 / 400, rel=1e-3)
    assert relative["time"] == pytest.approx(2 * 0.03 / 15, rel=1e-3)
    assert relative["wire"] == pytest.approx(5 / 1000, rel=1e-3)
    whole = timing.swingweight()
    assert whole.value == pytest.approx(inertia.value + 300 * 220**2 / 1e5)
    assert share(whole, "balance") == pytest.approx(0.5 * 300 * 2 * 220 / 1e5, rel=1e-3)


@pytest.mark.parametrize("wrong", range(4))
def test_two_wires_need_all_figures(wrong):
    """Mass, spacing, wire length and period on two wires must all be above 0."""
    figures = [300.0, 400.0, 1000.0, 1.5]
    figures[wrong] = 0.0
    with pytest.raises(ValueError, match="above 0"):
        bifilar_inertia(*figures)
