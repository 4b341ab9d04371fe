"""What a pendulum is said to buy: held against timings with hidden errors, and against the formula by itself."""

import math

import numpy as np
import pytest

from passport.physics.moments import Moments
from passport.physics.pendulum import amplitude_factor
from passport.physics.uncertainty import Estimate
from passport.workshop.measuring.measured import BY_HAND_S, GRAVITY, PLACED_MM, SWING_U
from passport.workshop.rebuild.lacking.swing import AMPLITUDE_DEGREES, SWINGS, timing

BODY = Moments.from_measured(290.0, 318.0, 285.0)


def test_the_edge_sits_where_its_place_does_not_matter():
    """As far from the balance point as the radius of gyration, to 5 mm: there dI/dd = m(k²/d − d) is 0."""
    radius = math.sqrt(BODY.i_cm * 1e5 / BODY.mass)
    found = timing(BODY, Estimate(290.0, 0.05), Estimate(318.0, 0.5))
    assert abs(BODY.balance - found.pivot - radius) <= 2.5


def test_the_uncertainty_is_that_of_timings_with_hidden_errors():
    """Four thousand timings, each with its own errors, worked out by I = m·g·d·T²/4π² alone, scatter as it is said."""
    found = timing(BODY, Estimate(290.0, 0.05), Estimate(318.0, 0.5))
    rng, swing = np.random.default_rng(7), math.radians(AMPLITUDE_DEGREES)
    true_arm = (BODY.balance - found.pivot) / 1000
    inertia = BODY.swingweight(found.pivot) * 1e-4
    read = []
    for _ in range(4000):
        gravity = rng.normal(GRAVITY.value, GRAVITY.u)
        small = 2 * math.pi * math.sqrt(inertia / (0.290 * gravity * true_arm))
        time = SWINGS * small * amplitude_factor(rng.normal(swing, SWING_U * swing)) + rng.normal(0, BY_HAND_S)
        mass, balance = rng.normal(290.0, 0.05), rng.normal(318.0, 0.5)
        arm = balance - rng.normal(found.pivot, PLACED_MM)
        period = time / SWINGS / amplitude_factor(swing)
        about = mass / 1000 * GRAVITY.value * arm / 1000 * period**2 / (4 * math.pi**2) * 1e4
        read.append(about - mass * arm**2 / 1e5 + mass * (balance - 100.0) ** 2 / 1e5)
    assert np.std(read) == pytest.approx(found.u, rel=0.06)
    assert np.mean(read) == pytest.approx(285.0, abs=3 * found.u / math.sqrt(4000) + 0.05)
    assert found.seconds < 120
