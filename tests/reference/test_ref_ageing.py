"""Ageing against an independent least-squares solver and the trade's rule of thumb."""

import math
import random

import numpy as np
import pytest
from scipy.optimize import least_squares

from passport.physics.ageing import PRIOR, AgedReading, fit
from passport.physics.stringbed import StringBed


def test_prior_is_ten_per_cent_in_a_day():
    """The prior loses about 10 % within 12 to 24 hours of a reading at five minutes (common practice, no source)."""
    found = fit([])
    assert found.loss_at(12 * 60).value < 0.10 < found.loss_at(30 * 60).value + 0.005
    assert found.loss_at(24 * 60).value == pytest.approx(0.10, abs=0.01)
    low, high = found.loss_at(24 * 60).interval()
    assert low < 0.05
    assert high > 0.15


@pytest.mark.parametrize("seed", range(5))
def test_fit_is_the_least_squares_optimum(seed):
    """Value and uncertainty of k agree with scipy's general least-squares solver on the same residuals."""
    dice = random.Random(seed)
    ages = [10.0, 60.0, 1440.0, 10080.0, 43200.0]
    rows = [AgedReading(t, 55 * (1 - 0.06 * math.log10(t / 5)) * (1 + dice.gauss(0, 0.004)), 0.22) for t in ages]
    t, v = np.array(ages), np.array([row.value for row in rows])

    def residuals(p: np.ndarray, stretch: float = 1.0) -> np.ndarray:
        model = p[0] + np.log(1 - p[1] * np.log10(t / 5))
        return np.append((np.log(v) - model) * v / 0.22 / stretch, (p[1] - PRIOR.value) / PRIOR.u)

    found = fit(rows)
    best = least_squares(residuals, [math.log(55), 0.05], xtol=1e-14, ftol=1e-14, gtol=1e-14, args=(found.stretch,))
    covariance = np.linalg.inv(best.jac.T @ best.jac)
    assert found.rate.value == pytest.approx(best.x[1], abs=1e-7)
    assert found.rate.u == pytest.approx(math.sqrt(covariance[1, 1]), rel=1e-4)
    assert found.at(5).value == pytest.approx(math.exp(best.x[0]), rel=1e-6)
    assert found.at(5).u / found.at(5).value == pytest.approx(math.sqrt(covariance[0, 0]), rel=1e-3)


def test_stretch_is_the_birge_ratio():
    """Readings off their line widen by √(χ²/ν) (Birge ratio, from memory), χ² by scipy's solver."""
    ages = np.array([5.0, 50.0, 500.0, 5000.0, 50000.0])
    values = 50 * (1 - 0.05 * np.log10(ages / 5)) * np.array([1.01, 0.99, 1.01, 0.99, 1.01])
    rows = [AgedReading(float(t), float(v), 0.1) for t, v in zip(ages, values, strict=True)]

    def residuals(p: np.ndarray) -> np.ndarray:
        return (np.log(values) - p[0] - np.log(1 - p[1] * np.log10(ages / 5))) * values / 0.1

    best = least_squares(residuals, [math.log(50), 0.05])
    assert fit(rows).stretch == pytest.approx(math.sqrt(2 * best.cost / 3), rel=1e-3)


def test_a_squared_frequency_is_a_tension():
    """A bed whose tension falls by the law, rung through the membrane, is fitted with the k it was given.

    f² ∝ T for one unchanged bed (Rayleigh, Theory of Sound I, ch. IX, from memory).
    """
    bed = StringBed(340, 250, 1.5, 1.5, 13, 13)
    rows = []
    for t in (5.0, 1440.0, 43200.0):
        tension = 180 * (1 - 0.05 * math.log10(t / 5))
        rows.append(AgedReading.of_frequency(t, bed.frequency(tension, tension), 0.05))
    assert fit(rows).rate.value == pytest.approx(0.05, abs=1e-5)
