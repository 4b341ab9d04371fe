"""Uncertainty of a racquet in another state, against the ``uncertainties`` package."""

import pytest
from uncertainties import correlated_values, ufloat

from passport.physics.body import Body
from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate


def test_measured_frame_reads_back_with_its_own_uncertainty() -> None:
    """Mass, balance and swingweight turned into moments and read off again keep value and u."""
    given = {"m": Estimate(312.4, 0.07), "b": Estimate(322.0, 0.35), "s": Estimate(310.0, 0.4)}
    body = Body.of(lambda v: Moments.from_measured(v["m"], v["b"], v["s"]), given)
    for name, figure in (("m", body.mass()), ("b", body.balance()), ("s", body.swingweight())):
        assert (figure.value, figure.u) == pytest.approx((given[name].value, given[name].u))


def test_frame_with_a_grip_taken_off_and_tape_added() -> None:
    """Balance and swingweight of 312 g without a 25 g grip and with 3 g of tape agree with the uncertainties package.

    The same sums are written out for ``uncertainties`` in SI-free plain algebra; balance enters twice.
    """
    m, b, s, g, t, x = (ufloat(*p) for p in ((312, 0.1), (322, 0.4), (310, 0.5), (25, 0.6), (3, 0.05), (650, 3)))
    m0 = m - g + t
    m1 = m * b - g * 90 + t * x
    m2 = s * 1e5 + 200 * m * b - 1e4 * m - g * (90**2 + 180**2 / 12) + t * x**2
    balance, swing = m1 / m0, (m2 - 200 * m1 + 1e4 * m0) / 1e5

    frame = Body.of(
        lambda v: Moments.from_measured(v["m"], v["b"], v["s"]),
        {"m": Estimate(312, 0.1), "b": Estimate(322, 0.4), "s": Estimate(310, 0.5)},
    )
    grip = Body.of(lambda v: Moments.filled(v["g"], 0, 180), {"g": Estimate(25, 0.6)})
    tape = Body.of(lambda v: Moments.point(v["t"], v["x"]), {"t": Estimate(3, 0.05), "x": Estimate(650, 3)})
    result = frame - grip + tape
    assert (result.mass().value, result.mass().u) == pytest.approx((m0.n, m0.s))
    assert (result.balance().value, result.balance().u) == pytest.approx((balance.n, balance.s), rel=1e-5)
    assert (result.swingweight().value, result.swingweight().u) == pytest.approx((swing.n, swing.s), rel=1e-5)


def test_correlated_mass_and_balance() -> None:
    """A reading whose mass and balance share one error agrees with correlated inputs of the uncertainties package."""
    body = Body.of(lambda v: Moments.from_measured(312 + v["e"], 322 + 2 * v["e"], 310.0), {"e": Estimate(0.0, 0.2)})
    m, b = correlated_values([312, 322], [[0.04, 0.08], [0.08, 0.16]])
    extra = 310.0 * 1e5 + 200 * m * b - 1e4 * m
    i_butt = extra / 1e5
    assert body.swingweight(0.0).value == pytest.approx(i_butt.n)
    assert body.swingweight(0.0).u == pytest.approx(i_butt.s, rel=1e-6)
