"""Ageing against an independent least-squares solver and the trade's rule of thumb."""

import math
import random

import numpy as np
import pytest
from scipy import stats
from scipy.optimize import least_squares

from passport.physics import bedfit
from passport.physics.ageing import PRIOR, AgedReading
from passport.physics.bedfit import fit
from passport.physics.stringbed import StringBed


def test_prior_is_ten_per_cent_in_a_day():
    """The prior loses about 10 % within 12 to 24 hours of a reading at five minutes (common practice, no source)."""
    found = fit([])
    assert found.loss_at(12 * 60).value < 0.10 < found.loss_at(30 * 60).value + 0.005
    assert found.loss_at(24 * 60).value == pytest.approx(0.10, abs=0.01)
    low, high = found.loss_at(24 * 60).interval()
    assert low < 0.05
    assert high > 0.15


@pytest.fixture(autouse=True)
def fresh_sums():
    """Sums that were made under other chances of a slip are not used again."""
    yield
    bedfit.lines.cache_clear()
    bedfit._fitted.cache_clear()


@pytest.mark.parametrize("seed", range(5))
def test_fit_is_the_least_squares_optimum(seed, monkeypatch):
    """Where no reading can be wrong, k and its uncertainty are those of scipy's least-squares solver."""
    monkeypatch.setattr(bedfit, "WRONG", 1e-300)
    bedfit.lines.cache_clear()
    bedfit._fitted.cache_clear()
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


def test_stretch_weighs_the_scatter_against_the_stated(monkeypatch):
    """Readings off their line widen by √((w + χ²)/(w + ν)), the mean of a scaled inverse χ² (from memory), χ² by scipy."""
    monkeypatch.setattr(bedfit, "WRONG", 1e-300)
    bedfit.lines.cache_clear()
    bedfit._fitted.cache_clear()
    ages = np.array([5.0, 50.0, 500.0, 5000.0, 50000.0])
    values = 50 * (1 - 0.05 * np.log10(ages / 5)) * np.array([1.01, 0.99, 1.01, 0.99, 1.01])
    rows = [AgedReading(float(t), float(v), 0.1) for t, v in zip(ages, values, strict=True)]

    def residuals(p: np.ndarray) -> np.ndarray:
        return (np.log(values) - p[0] - np.log(1 - p[1] * np.log10(ages / 5))) * values / 0.1

    best = least_squares(residuals, [math.log(50), 0.05])
    weight = bedfit.STATED.weight
    assert fit(rows).stretch == pytest.approx(math.sqrt((weight + 2 * best.cost) / (weight + 3)), rel=1e-3)


@pytest.mark.parametrize("slip", [None, 0, 2, 4])
def test_the_belief_after_readings_that_may_be_wrong(slip):
    """k and its uncertainty agree with the mean and the deviation of the whole density, integrated on a grid.

    Each reading is either right or anywhere near; the scatter's square has a scaled inverse χ² density (both from
    memory of Gelman et al., Bayesian Data Analysis). scipy gives the densities; starts and scatter are summed over too.
    """
    dice = random.Random(3)
    ages = np.array([15.0, 60.0, 1440.0, 10080.0, 43200.0])
    values = 55 * (1 - 0.06 * np.log10(ages / 5)) * np.exp([dice.gauss(0, 0.004) for _ in ages])
    if slip is not None:
        values[slip] *= 1.12
    noise = bedfit.Noise(1.0, 8.0)
    found = fit(
        [AgedReading(float(t), float(v), float(v) * 0.004) for t, v in zip(ages, values, strict=True)], noise=noise
    )
    k, start = np.linspace(0.05, 0.07, 61), np.linspace(np.log(55) - 0.015, np.log(55) + 0.015, 81)
    squares = np.geomspace(0.1, 30, 25)
    shape = noise.weight + 2
    weight = stats.invgamma(shape / 2, scale=noise.weight * noise.square / 2).pdf(squares) * squares
    off = np.log(values) - (start[None, :, None] + np.log(1 - k[:, None, None] * np.log10(ages / 5)))
    density = np.zeros((len(k), len(start)))
    for square, share in zip(squares, weight, strict=True):
        right = stats.norm.pdf(off, scale=0.004 * math.sqrt(square))
        one_wrong = right.prod(-1)
        for i in range(len(ages)):
            others = np.delete(right, i, axis=-1).prod(-1)
            one_wrong = one_wrong + bedfit.WRONG / bedfit.WRONG_U / math.sqrt(2 * math.pi) * others
        density += share * one_wrong
    over_k = density.sum(1) * stats.norm.pdf(k, PRIOR.value, PRIOR.u)
    over_k /= over_k.sum()
    mean = float((over_k * k).sum())
    deviation = math.sqrt(float((over_k * (k - mean) ** 2).sum()))
    assert found.rate.value == pytest.approx(mean, abs=0.15 * deviation)
    assert 0.9 < found.rate.u / deviation < 1.25  # a bed's own scatter may widen its band, never narrow it
    assert found.wrong == slip


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
