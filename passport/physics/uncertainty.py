"""Measurement uncertainty and what it leaves of a tolerance.

Propagation follows the GUM (JCGM 100:2008, "Guide to the expression of uncertainty in measurement"); the verdict
against a tolerance follows JCGM 106:2012, "The role of measurement uncertainty in conformity assessment". Clause numbers are from memory.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

COVERAGE: Final = 2.0
"""Coverage factor of an expanded uncertainty: 95.45 % of a normal distribution (JCGM 100, 6.3.3)."""

Verdict = Literal["inside", "outside", "undecided"]


@dataclass(frozen=True, slots=True)
class Share:
    """What one input does to a result: its ``name``, sensitivity ∂f/∂x, and |∂f/∂x|·u(x) in the result's unit."""

    name: str
    sensitivity: float
    amount: float


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its standard uncertainty ``u``, in the same unit; ``shares`` tell where ``u`` comes from."""

    value: float
    u: float
    shares: tuple[Share, ...] = ()

    def expanded(self, coverage: float = COVERAGE) -> float:
        """Expanded uncertainty U = k·u (JCGM 100, 6.2.1)."""
        return coverage * self.u

    def interval(self, coverage: float = COVERAGE) -> tuple[float, float]:
        """The interval value ± U."""
        return self.value - coverage * self.u, self.value + coverage * self.u


def from_resolution(step: float) -> float:
    """Standard uncertainty of a display that shows whole ``step``s: step/√12 (JCGM 100, F.2.2.1)."""
    return abs(step) / math.sqrt(12)


def from_half_width(half_width: float) -> float:
    """Standard uncertainty of a value known to lie within ± ``half_width``: a/√3 (JCGM 100, 4.3.7)."""
    return abs(half_width) / math.sqrt(3)


def combined(*parts: float) -> float:
    """Root sum of squares of independent standard uncertainties of one unit."""
    return math.hypot(*parts)


def from_readings(readings: Sequence[float]) -> Estimate:
    """Mean of repeated readings and its standard uncertainty s/√n (JCGM 100, 4.2.3).

    Raises ``ValueError`` for fewer than two readings: one reading says nothing of its own scatter.
    """
    n = len(readings)
    if n < 2:
        raise ValueError("the scatter of readings needs at least two of them")
    mean = math.fsum(readings) / n
    spread = math.fsum((reading - mean) ** 2 for reading in readings)
    return Estimate(mean, math.sqrt(spread / (n - 1) / n))


def correlation(first: Sequence[float], second: Sequence[float]) -> float:
    """Correlation coefficient of two quantities read together (JCGM 100, 5.2.3 and C.3.6).

    Raises ``ValueError`` for series of different length, or that do not vary at all.
    """
    if len(first) != len(second):
        raise ValueError("readings taken together come in pairs: the two series differ in length")
    a, b = from_readings(first), from_readings(second)
    if a.u == 0 or b.u == 0:
        raise ValueError("readings that never vary have no correlation")
    n = len(first)
    product = math.fsum((x - a.value) * (y - b.value) for x, y in zip(first, second, strict=True))
    return product / (n * (n - 1) * a.u * b.u)


def propagate(
    model: Callable[..., float],
    inputs: Mapping[str, Estimate],
    correlations: Mapping[tuple[str, str], float] | None = None,
) -> Estimate:
    """The result of ``model(**values)`` with its combined standard uncertainty.

    u_c² = Σᵢ(cᵢuᵢ)² + 2Σᵢ<ⱼ cᵢcⱼuᵢuⱼrᵢⱼ (JCGM 100, eqs. 10 and 16), with sensitivities cᵢ by central differences
    (JCGM 100, 5.1.3 note 2, with a hundredth of uᵢ as the step). An input that enters the model in several places is
    one input, so its terms are added before squaring. ``correlations`` maps pairs of input names to coefficients.

    Raises ``ValueError`` for a correlation outside −1…1 or of an unknown input.
    """
    values = {name: estimate.value for name, estimate in inputs.items()}
    slopes = {name: _slope(model, values, name, estimate.u) for name, estimate in inputs.items()}
    amounts = {name: slopes[name] * estimate.u for name, estimate in inputs.items()}
    variance = math.fsum(amount**2 for amount in amounts.values())
    for (one, other), r in (correlations or {}).items():
        if one not in amounts or other not in amounts or one == other or not -1 <= r <= 1:
            raise ValueError(f"the correlation {r:g} between {one} and {other} is not one between two inputs")
        variance += 2 * amounts[one] * amounts[other] * r
    shares = tuple(Share(name, slopes[name], abs(amount)) for name, amount in amounts.items())
    return Estimate(model(**values), math.sqrt(max(0.0, variance)), shares)


def _slope(model: Callable[..., float], values: Mapping[str, float], name: str, u: float) -> float:
    """∂model/∂name at ``values``; 0 for an exact input, whose slope nobody needs."""
    if u == 0:
        return 0.0
    step = u / 100
    above = model(**{**values, name: values[name] + step})
    below = model(**{**values, name: values[name] - step})
    return (above - below) / (2 * step)


def _normal_cdf(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2))


def conformity_probability(value: float, u: float, low: float, high: float) -> float:
    """Probability that the true value lies in ``low`` … ``high``, given a measured value and its u.

    p_c = Φ((high − y)/u) − Φ((low − y)/u) for a normal distribution (JCGM 106, 7.4). An open side is ±infinity. With
    u = 0 it is 1 or 0. Raises ``ValueError`` for a negative u or limits in the wrong order.
    """
    if u < 0 or low > high:
        raise ValueError("a tolerance needs its lower limit first, and an uncertainty is not negative")
    if u == 0:
        return float(low <= value <= high)
    above, below = (high - value) / u, (low - value) / u
    if below > 0:  # the far tail, mirrored so that no digits are lost
        above, below = -below, -above
    return _normal_cdf(above) - _normal_cdf(below)


@dataclass(frozen=True, slots=True)
class Conformity:
    """Whether a measured value lies in its tolerance.

    ``verdict``: the guarded answer. ``probability``: that the true value conforms, 0 … 1. ``guard``: by how much each
    limit was moved, U. ``decidable`` is False where 2U exceeds the tolerance, so that no reading could be "inside".
    """

    verdict: Verdict
    probability: float
    guard: float
    decidable: bool


def conformity(value: float, u: float, low: float, high: float, coverage: float = COVERAGE) -> Conformity:
    """Judge a value by guarded acceptance: inside only U within both limits, outside only U beyond one of them.

    JCGM 106, 8.3.2 (guarded acceptance) and 8.3.3 (guarded rejection), guard band w = U; between them "undecided".
    """
    guard = coverage * u
    probability = conformity_probability(value, u, low, high)
    verdict: Verdict = "undecided"
    if low + guard <= value <= high - guard:
        verdict = "inside"
    elif value < low - guard or value > high + guard:
        verdict = "outside"
    return Conformity(verdict, probability, guard, low + guard <= high - guard)
