"""Uncertainty against the GUM's own example, the `uncertainties` package and the normal distribution of scipy."""

import math
from itertools import combinations

import numpy as np
import pytest
import uncertainties
from scipy.stats import norm
from uncertainties import umath

from passport.physics.uncertainty import (
    Estimate,
    conformity,
    conformity_probability,
    correlation,
    from_half_width,
    from_readings,
    from_resolution,
    propagate,
)

# GUM (JCGM 100:2008), example H.2, table H.2: five simultaneous readings (data from memory of the document)
READINGS = {
    "v": [5.007, 4.994, 5.005, 4.990, 4.999],  # V
    "i": [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],  # A
    "phi": [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],  # rad
}
MODELS = {
    "R": lambda v, i, phi: v / i * math.cos(phi),
    "X": lambda v, i, phi: v / i * math.sin(phi),
    "Z": lambda v, i, phi: v / i + 0 * phi,
}


def h2(model: str) -> Estimate:
    """One of the three results of the example."""
    inputs = {name: from_readings(values) for name, values in READINGS.items()}
    pairs = {(a, b): correlation(READINGS[a], READINGS[b]) for a, b in combinations(READINGS, 2)}
    return propagate(MODELS[model], inputs, pairs)


@pytest.mark.parametrize(
    ("model", "value", "u"),
    [("R", 127.732, 0.071), ("X", 219.847, 0.295), ("Z", 254.260, 0.236)],  # GUM example H.2, table H.4 (from memory)
)
def test_gum_h2(model, value, u):
    """The GUM's impedance example, with correlated inputs, comes out as printed there to a unit of the last digit.

    The document carries rounded intermediate figures; the exact u(X) of the same data is 0.2956.
    """
    result = h2(model)
    assert result.value == pytest.approx(value, abs=0.001)
    assert result.u == pytest.approx(u, abs=0.001)


def test_gum_h2_agrees_with_the_uncertainties_package():
    """The example's three results have the same value and u as by the `uncertainties` package, to 6 digits."""
    means = {name: from_readings(values) for name, values in READINGS.items()}
    covariance = np.cov(list(READINGS.values())) / 5
    v, i, phi = uncertainties.correlated_values([means[name].value for name in READINGS], covariance)
    for model, reference in {"R": v / i * umath.cos(phi), "X": v / i * umath.sin(phi), "Z": v / i}.items():
        assert h2(model).value == pytest.approx(reference.nominal_value, rel=1e-9)
        assert h2(model).u == pytest.approx(reference.std_dev, rel=1e-6)


@pytest.mark.parametrize(("a", "b", "r"), [("v", "i", -0.36), ("v", "phi", 0.86), ("i", "phi", -0.65)])
def test_gum_h2_correlations(a, b, r):
    """The correlation coefficients of the GUM's example H.2, table H.2 (from memory), come out."""
    assert round(correlation(READINGS[a], READINGS[b]), 2) == r


def test_without_correlation_h2_is_wrong():
    """Leaving the correlations out of example H.2 changes the uncertainty of R by more than half."""
    inputs = {name: from_readings(values) for name, values in READINGS.items()}
    assert propagate(MODELS["R"], inputs).u > 1.5 * h2("R").u


def test_agrees_with_the_uncertainties_package():
    """A model with powers, roots and a correlation has the same u as by the `uncertainties` package."""
    values, us = (300.0, 350.0, 1.3), (0.1, 0.5, 0.001)
    r = 0.4
    covariance = [[us[i] * us[j] * (1 if i == j else r if {i, j} == {0, 1} else 0) for j in range(3)] for i in range(3)]
    m, b, t = uncertainties.correlated_values(values, covariance)
    reference = m * (b - 100) ** 2 / 1e5 + umath.sqrt(m) * t**2 * umath.exp(-b / 500)

    def model(m: float, b: float, t: float) -> float:
        return m * (b - 100) ** 2 / 1e5 + math.sqrt(m) * t**2 * math.exp(-b / 500)

    inputs = {name: Estimate(v, u) for name, v, u in zip("mbt", values, us, strict=True)}
    result = propagate(model, inputs, {("m", "b"): r})
    assert result.value == pytest.approx(reference.nominal_value, rel=1e-12)
    assert result.u == pytest.approx(reference.std_dev, rel=1e-6)


def test_rectangles_have_the_standard_deviation_of_scipy():
    """Resolution and half-width give the standard deviation of a uniform distribution (scipy)."""
    from scipy.stats import uniform

    assert from_resolution(0.5) == pytest.approx(uniform(-0.25, 0.5).std())
    assert from_half_width(0.5) == pytest.approx(uniform(-0.5, 1.0).std())


@pytest.mark.parametrize("y", [0, 1, 2, 2.5, 3, 4.5, -1.7, 9])
@pytest.mark.parametrize("u", [0.2, 1.0, 4.0])
def test_probability_against_scipy(y, u):
    """The conformity probability is Φ((T_U − y)/u) − Φ((T_L − y)/u) (JCGM 106:2012), with Φ from scipy."""
    expected = norm.cdf((3 - y) / u) - norm.cdf((-3 - y) / u)
    assert conformity_probability(y, u, -3, 3) == pytest.approx(expected, rel=1e-6, abs=1e-15)


@pytest.mark.parametrize(
    ("y", "p"),
    # normal distribution tables: Φ(3) = 0.998650, Φ(2) = 0.977250, Φ(1) = 0.841345, Φ(0.5) = 0.691462;
    # formula of JCGM 106:2012
    [(0, 0.997300), (1, 0.977218), (2, 0.841344), (2.5, 0.691462), (3, 0.5)],
)
def test_probability_for_three_sigma_limits(y, p):
    """With limits ± 3 and u = 1 the conformity probability falls from 99.73 % in the middle to a half at the limit."""
    assert conformity_probability(y, 1, -3, 3) == pytest.approx(p, abs=1e-6)


def test_guarded_acceptance_shrinks_the_limits_by_u():
    """Guarded acceptance with w = U (JCGM 106:2012, 8.3.2) keeps the risk at the acceptance limit below 2.3 %."""
    at_limit = conformity(3 - 2 * 0.4, 0.4, -3, 3)
    assert at_limit.verdict == "inside"
    assert 1 - at_limit.probability == pytest.approx(norm.sf(2), rel=1e-3)
