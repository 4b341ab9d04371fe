"""Fits of a bed's own readings where play seems to give tension back."""

import math

import pytest

from passport.physics.ageing import PRIOR, AgedReading, remaining
from passport.physics.bedfit import fit

DAY = 1440.0


def played(k: float, h: float) -> list[AgedReading]:
    """Exact readings of a bed that loses by rest as k and by play as h, with an uncertainty of half a percent."""
    ages = ((10.0, 0.0), (DAY, 1.0), (7 * DAY, 6.0), (20 * DAY, 18.0), (40 * DAY, 40.0))
    return [AgedReading(t, 55 * remaining(k, h, t, hours)[0], 0.005 * 55, hours=hours) for t, hours in ages]


@pytest.mark.parametrize("h", [-0.0005, -0.0002])
def test_play_gives_no_tension_back(h):
    """Readings that rise with play are taken for play that takes none, and k for what it then has to be.

    What it has to be: the most probable k where h is 0, looked for among many k, by the sum of squares of the readings'
    logarithms and of k's distance from what is believed before (weighted least squares, written down again). That is
    worked out at the fit's own place, so it holds for a small gain.
    """
    readings = played(0.05, h)
    found = fit(readings)
    assert found.play.value == 0.0

    def badness(k: float) -> float:
        told = [(math.log(r.value / remaining(k, 0.0, r.minutes, r.hours)[0]), r.u / r.value) for r in readings]
        mean = math.fsum(t / u**2 for t, u in told) / math.fsum(u**-2 for _, u in told)
        # what is believed of k where h is 0, by the rule of normal distributions
        slope = PRIOR.covariance / PRIOR.play_u**2
        before, spread = PRIOR.value - slope * PRIOR.play, PRIOR.u**2 - slope * PRIOR.covariance
        scatter = math.fsum(((t - mean) / u) ** 2 for t, u in told) / found.stretch**2
        return scatter + (k - before) ** 2 / spread

    best = min((n * 1e-5 for n in range(10000)), key=badness)
    assert found.rate.value == pytest.approx(best, abs=0.05 * found.rate.u)
    assert found.rate.value < fit(played(0.05, 0.0)).rate.value


def test_play_that_takes_tension_is_left_as_it_was_found():
    """Readings that fall with play are not touched: the true values lie within two uncertainties."""
    found = fit(played(0.04, 0.002))
    assert found.play.value > 0
    assert abs(found.rate.value - 0.04) < 2 * found.rate.u
    assert abs(found.play.value - 0.002) < 2 * found.play.u
