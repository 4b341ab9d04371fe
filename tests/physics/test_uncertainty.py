"""Uncertainty: propagation, conformity and refusals."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from passport.physics.uncertainty import (
    Estimate,
    combined,
    conformity,
    conformity_probability,
    correlation,
    from_half_width,
    from_readings,
    from_resolution,
    propagate,
)

SMALL = st.floats(0.01, 5)


def total(a: float, b: float) -> float:
    """The simplest model."""
    return a + b


def test_resolution_and_half_width_agree():
    """A display step is a rectangle of half its width to each side, so both ways give the same u."""
    assert from_resolution(0.2) == pytest.approx(from_half_width(0.1))
    assert from_resolution(0.2) == pytest.approx(0.2 / 12**0.5)


def test_combined_is_the_root_sum_of_squares():
    """Independent parts of 3 and 4 combine to 5."""
    assert combined(3, 4) == 5


@settings(deadline=None)  # the machine may be busy
@given(SMALL, SMALL)
def test_a_sum_of_independent_inputs(u_a, u_b):
    """The u of a sum is the root sum of squares, shared out by input."""
    result = propagate(total, {"a": Estimate(10, u_a), "b": Estimate(-3, u_b)})
    assert result.value == 7
    assert result.u == pytest.approx(math.hypot(u_a, u_b), rel=1e-6)
    assert [share.amount for share in result.shares] == pytest.approx([u_a, u_b], rel=1e-6)
    assert [share.sensitivity for share in result.shares] == pytest.approx([1, 1], rel=1e-6)


@settings(deadline=None)  # the machine may be busy
@given(SMALL, SMALL, st.sampled_from([("a", "b"), ("b", "a")]))
def test_full_correlation_adds_or_cancels(u_a, u_b, pair):
    """Fully correlated inputs add their u in a sum, and cancel when they run against each other."""
    inputs = {"a": Estimate(10, u_a), "b": Estimate(5, u_b)}
    assert propagate(total, inputs, {pair: 1.0}).u == pytest.approx(u_a + u_b, rel=1e-6)
    assert propagate(total, inputs, {pair: -1.0}).u == pytest.approx(abs(u_a - u_b), rel=1e-6, abs=1e-6)


def test_an_input_that_enters_twice_is_one_input():
    """In x·x the two terms add before squaring: the relative u doubles instead of growing by √2."""
    result = propagate(lambda x: x * x, {"x": Estimate(10, 0.1)})
    assert result.u / result.value == pytest.approx(2 * 0.01, rel=1e-9)


def test_an_exact_input_adds_nothing():
    """An input with u = 0 is never moved, even where the model has a corner."""
    result = propagate(lambda a, b: abs(a) + b, {"a": Estimate(0, 0), "b": Estimate(1, 0.5)})
    assert result.u == pytest.approx(0.5)
    assert result.shares[0].amount == 0


@pytest.mark.parametrize("pairs", [{("a", "c"): 0.5}, {("a", "a"): 0.5}, {("a", "b"): 1.1}])
def test_nonsense_correlations_are_refused(pairs):
    """A correlation of an unknown input, of one with itself, or beyond 1, is refused."""
    with pytest.raises(ValueError, match="correlation"):
        propagate(total, {"a": Estimate(1, 1), "b": Estimate(1, 1)}, pairs)


def test_expanded_and_interval():
    """The expanded uncertainty is twice u, and the interval lies around the value."""
    estimate = Estimate(100, 1.5)
    assert estimate.expanded() == 3
    assert estimate.interval() == (97, 103)
    assert estimate.interval(coverage=1) == (98.5, 101.5)


def test_readings_give_mean_and_its_uncertainty():
    """Two readings 2 apart have their middle as mean and u = 1."""
    assert from_readings([9, 11]) == Estimate(10, 1)


def test_too_few_or_still_readings_are_refused():
    """Scatter needs two readings, correlation pairs that vary."""
    with pytest.raises(ValueError, match="at least two"):
        from_readings([5])
    with pytest.raises(ValueError, match="differ in length"):
        correlation([1, 2, 3], [1, 2])
    with pytest.raises(ValueError, match="never vary"):
        correlation([1, 1, 1], [1, 2, 3])


def test_correlation_of_lines():
    """Readings on a rising line correlate with 1, on a falling one with −1."""
    assert correlation([1, 2, 4], [10, 20, 40]) == pytest.approx(1)
    assert correlation([1, 2, 4], [-10, -20, -40]) == pytest.approx(-1)


@settings(deadline=None)  # the machine may be busy
@given(st.floats(-10, 10), SMALL, st.floats(-5, 0), st.floats(0, 5))
def test_probability_is_a_probability_and_mirrors(value, u, low, high):
    """The probability lies in 0 … 1, and turning everything round changes nothing."""
    p = conformity_probability(value, u, low, high)
    assert 0 <= p <= 1
    assert p == pytest.approx(conformity_probability(-value, u, -high, -low), abs=1e-12)


def test_probability_of_an_exact_value_and_an_open_side():
    """An exact value conforms or not; at an open side's only limit the chance is even."""
    assert conformity_probability(3, 0, 0, 3) == 1
    assert conformity_probability(3.1, 0, 0, 3) == 0
    assert conformity_probability(5, 1, 5, math.inf) == pytest.approx(0.5)


def test_far_tail_keeps_its_digits():
    """Far outside on either side the probability is tiny, equal on both sides, and not rounded to 0."""
    above, below = conformity_probability(20, 1, -3, 3), conformity_probability(-20, 1, -3, 3)
    assert above == pytest.approx(below, rel=1e-9)
    assert 0 < above < 1e-50


@pytest.mark.parametrize(("u", "low", "high"), [(-1, 0, 1), (1, 2, 1)])
def test_nonsense_tolerances_are_refused(u, low, high):
    """A negative u or limits in the wrong order are refused."""
    with pytest.raises(ValueError, match="lower limit first"):
        conformity_probability(0, u, low, high)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(0, "inside"), (1, "inside"), (1.01, "undecided"), (3, "undecided"), (5, "undecided"), (5.01, "outside")],
)
def test_guarded_verdicts(value, verdict):
    """With ± 3 and U = 2 a value is inside to 1, outside beyond 5, undecided between, on both sides."""
    assert conformity(value, 1, -3, 3).verdict == verdict
    assert conformity(-value, 1, -3, 3).verdict == verdict


def test_a_coarse_instrument_is_told():
    """Where U is more than the half tolerance nothing can be inside, and that is said."""
    coarse = conformity(0, 2, -3, 3)
    assert coarse.verdict == "undecided"
    assert not coarse.decidable
    assert coarse.guard == 4
    assert conformity(0, 1.5, -3, 3).decidable


@settings(deadline=None)  # the machine may be busy
@given(st.floats(-20, 20), SMALL)
def test_verdicts_agree_with_the_probability(value, u):
    """Inside means at least 95 % probable, outside at most 2.5 %."""
    assume(abs(abs(value) - 3) > 1e-6)
    found = conformity(value, u, -3, 3)
    if found.verdict == "inside":
        assert found.probability > 0.95
    if found.verdict == "outside":
        assert found.probability < 0.025


def test_the_slope_is_taken_over_a_hundredth_of_u():
    """Of x³ the difference over ±h is 3x² + h² a step (exact algebra), with h a hundredth of u as it says."""
    found = propagate(lambda x: x**3, {"x": Estimate(1.0, 0.3)})
    assert found.shares[0].sensitivity == pytest.approx(3 + 0.003**2, rel=1e-10)
