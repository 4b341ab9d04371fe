"""How a string bed loses tension: with the logarithm of its age.

v(t) = v₅·[1 − k·log₁₀(t/5 min)]: what is read falls by the same share k of its five-minute value in each decade of
time (stress relaxation, from memory of Cross, Lindsey & Andruczyk 2000, Sports Engineering 3:219–230, who find natural
gut to lose least and polyester most). Play, heat and wet take more; what they took is in the bed's own readings only.

A reading must be proportional to tension: lb, kg or N as the instrument shows them, or the square of a frequency (for
one unchanged bed T₂/T₁ = (f₂/f₁)²). Only its relative loss is used, so the unit does not matter; readings on several
scales share k and keep a starting value each.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, Self

from passport.physics.uncertainty import COVERAGE, Estimate

REFERENCE_MINUTES: Final = 5.0
"""Age in minutes that losses are counted from: when a bed is usually first read (common practice, no source)."""

READING_U: Final = 0.004
"""Standard uncertainty of a reading as a share of it, where nothing better is known (common practice, no source).

Frames of one batch read within 0.1 to 0.2 lb of each other, up to 0.4 % of 50 lb.
"""

BETWEEN_BEDS: Final = 0.01
"""Scatter of k from bed to bed of one string, as a standard deviation (common practice, no source)."""

_USELESS_U = 0.05  # a k less certain than this says less than the stated prior
_BETWEEN_WEIGHT = 3  # the stated scatter counts as much as that of three beds

Source = Literal["own", "pooled", "prior"]


@dataclass(frozen=True, slots=True)
class Rate:
    """What is believed of k (share lost per decade of time) before a bed's own readings, and from how many beds."""

    value: float
    u: float
    source: Source
    beds: int = 0


PRIOR: Final = Rate(0.04, 0.02, "prior")
"""The stated prior: about 10 % of the reading goes in the first 12 to 24 hours (common practice, no source).

From 5 minutes these are 2.2 and 2.5 decades, so k is about 0.04; its spread, from the slowest to the fastest strings,
is common practice, no source.
"""


@dataclass(frozen=True, slots=True)
class AgedReading:
    """One reading: ``minutes`` since stringing, ``value`` proportional to tension, and its standard uncertainty ``u``.

    ``scale`` names the instrument or unit; only readings of one scale are compared in value. Raises ``ValueError``
    unless age, value and u are above 0.
    """

    minutes: float
    value: float
    u: float
    scale: str = ""

    def __post_init__(self) -> None:
        """Refuse what has no logarithm or no weight."""
        if not (self.minutes > 0 and self.value > 0 and self.u > 0):
            raise ValueError("a reading needs an age, a value and an uncertainty above 0")

    @classmethod
    def of_frequency(cls, minutes: float, hz: float, u_hz: float, scale: str = "Hz²") -> Self:
        """A frequency reading, squared so that it is proportional to tension."""
        return cls(minutes, hz**2, 2 * hz * u_hz, scale)


@dataclass(frozen=True, slots=True)
class Start:
    """The fitted five-minute value of one scale: its logarithm, that one's weight, and its pull on k."""

    scale: str
    log_value: float
    weight: float
    mean_slope: float


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a bed would read at ``minutes``, its standard uncertainty and 95 % band; in the scale's unit."""

    minutes: float
    value: float
    u: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Span:
    """An age in minutes with its 95 % band; ``late`` is infinite where it may never come."""

    best: float
    early: float
    late: float


@dataclass(frozen=True, slots=True)
class Ageing:
    """The life of one bed as far as it is known.

    ``rate``: k with its standard uncertainty. ``source``: "own" when the bed's own readings carry at least half of
    what is known of k, else where the belief before them came from. ``own_share``: that part, 0 … 1. ``beds``: how
    many beds the pool held. ``readings``: how many own readings were used. ``stretch``: by how much their
    uncertainties were widened because they scattered more than stated (1 where not). ``starts``: one for each scale.
    """

    rate: Estimate
    source: Source
    own_share: float
    beds: int
    readings: int
    stretch: float
    starts: tuple[Start, ...]

    def loss_at(self, minutes: float) -> Estimate:
        """Share of the five-minute value that is lost at an age."""
        decades = _decades(minutes)
        return Estimate(self.rate.value * decades, self.rate.u * abs(decades))

    def at(self, minutes: float, scale: str = "", reading_u: float = 0.0) -> Prediction:
        """What the bed holds at an age, on one scale, with its 95 % band.

        With ``reading_u`` (a share) the band is that of a new reading with this uncertainty. Raises ``KeyError`` for a
        scale without readings.
        """
        start = next((start for start in self.starts if start.scale == scale), None)
        if start is None:
            raise KeyError(f"no reading on the scale “{scale}” to start from")
        remain, slope = _remain(self.rate.value, minutes)
        value = math.exp(start.log_value) * remain
        spread = (slope - start.mean_slope) * self.rate.u
        u = math.hypot(start.weight**-0.5, spread, reading_u)
        return Prediction(minutes, value, value * u, value * math.exp(-COVERAGE * u), value * math.exp(COVERAGE * u))

    def moved(self, reading: AgedReading, minutes: float) -> AgedReading:
        """A reading brought to another age, so that it can be compared with one taken then; u grows on the way."""
        here, slope_here = _remain(self.rate.value, reading.minutes)
        there, slope_there = _remain(self.rate.value, minutes)
        value = reading.value * there / here
        u = math.hypot(reading.u / reading.value, (slope_there - slope_here) * self.rate.u)
        return AgedReading(minutes, value, value * u, reading.scale)

    def minutes_to_loss(self, share: float) -> Span:
        """Age at which a ``share`` (0 … 1) of the five-minute value is lost, with its 95 % band."""
        slow, fast = self.rate.value - COVERAGE * self.rate.u, self.rate.value + COVERAGE * self.rate.u
        return Span(_age(share, self.rate.value), _age(share, fast), _age(share, slow))


def _decades(minutes: float) -> float:
    """Decades of time since the reference age. Raises ``ValueError`` for an age that is not above 0."""
    if not minutes > 0:
        raise ValueError(f"an age is above 0 minutes, not {minutes:g}")
    return math.log10(minutes / REFERENCE_MINUTES)


def _remain(k: float, minutes: float) -> tuple[float, float]:
    """Share of the five-minute value that remains, and how its logarithm changes with k."""
    decades = _decades(minutes)
    remain = max(1 - k * decades, 0.01)  # the law ends long before nothing is left
    return remain, -decades / remain


def _age(share: float, k: float) -> float:
    """Minutes until a share is lost at a rate k; infinite where it would take longer than any bed is kept."""
    decades = share / k if k > 0 else math.inf
    return REFERENCE_MINUTES * 10**decades if decades < 10 else math.inf


def fit(readings: Sequence[AgedReading], prior: Rate = PRIOR) -> Ageing:
    """Fit k and the starting values to a bed's own readings, by weighted least squares with a prior on k.

    Gauss–Newton on the logarithms of the readings; where three or more scatter beyond their stated uncertainty, it is
    widened by the Birge ratio √(χ²/ν) (from memory). With one reading k is the prior's, with none there is no start.
    """
    return _fitted(tuple(readings), prior)


@lru_cache(maxsize=8192)
def _fitted(readings: tuple[AgedReading, ...], prior: Rate) -> Ageing:
    """See `fit`: a bed is asked for its rate by itself and among others."""
    stretch = 1.0
    k = _solve(readings, prior.value, prior, stretch)
    freedom = len(readings) - len({reading.scale for reading in readings}) - 1
    if freedom > 0:
        stretch = max(1.0, math.sqrt(_chi_squared(readings, k) / freedom))
        k = _solve(readings, k, prior, stretch)
    starts = _starts(readings, k, stretch)
    information = math.fsum(w * slope**2 for w, _, slope in _centred(readings, k, stretch))
    u = (prior.u**-2 + information) ** -0.5
    own_share = information * u**2
    source: Source = "own" if own_share >= 0.5 else prior.source
    return Ageing(Estimate(k, u), source, own_share, prior.beds, len(readings), stretch, starts)


def own_rate(readings: Sequence[AgedReading]) -> Estimate | None:
    """k from a bed's own readings alone, for a pool; ``None`` where they hardly tell (fewer than two ages apart)."""
    found = fit(readings, Rate(PRIOR.value, 10.0, "prior"))
    return found.rate if found.rate.u < _USELESS_U else None


def pool(rates: Iterable[Estimate], prior: Rate = PRIOR) -> Rate:
    """What other beds of the same string say about a new one: their mean k and how far a single bed may lie from it.

    A random-effects mean: the scatter between beds by DerSimonian & Laird 1986, Controlled Clinical Trials 7:177–188
    (from memory), held near :data:`BETWEEN_BEDS` while the beds are few; the mean is weighed against ``prior``.
    Without any rates the prior comes back as it is.
    """
    beds = tuple(rates)
    if not beds:
        return prior
    between = _between(beds)
    weights = [1 / (bed.u**2 + between) for bed in beds]
    total = math.fsum(weights) + prior.u**-2
    mean = (math.fsum(w * bed.value for w, bed in zip(weights, beds, strict=True)) + prior.value * prior.u**-2) / total
    return Rate(mean, math.sqrt(1 / total + between), "pooled", len(beds))


def _between(beds: Sequence[Estimate]) -> float:
    """Variance of k between beds: the moment estimate, blended with the stated one."""
    weights = [bed.u**-2 for bed in beds]
    total = math.fsum(weights)
    mean = math.fsum(w * bed.value for w, bed in zip(weights, beds, strict=True)) / total
    excess = math.fsum(w * (bed.value - mean) ** 2 for w, bed in zip(weights, beds, strict=True)) - (len(beds) - 1)
    scale = total - math.fsum(w * w for w in weights) / total
    moment = max(0.0, excess / scale) if len(beds) > 1 else 0.0
    known = len(beds) - 1
    return (_BETWEEN_WEIGHT * BETWEEN_BEDS**2 + known * moment) / (_BETWEEN_WEIGHT + known)


def _starts(readings: Sequence[AgedReading], k: float, stretch: float) -> tuple[Start, ...]:
    """For each scale the weighted mean of what its readings say about the five-minute value."""
    starts = []
    for scale in dict.fromkeys(reading.scale for reading in readings):
        rows = [_row(reading, k, stretch) for reading in readings if reading.scale == scale]
        weight = math.fsum(w for w, _, _ in rows)
        log_value = math.fsum(w * start for w, start, _ in rows) / weight
        starts.append(Start(scale, log_value, weight, math.fsum(w * slope for w, _, slope in rows) / weight))
    return tuple(starts)


def _row(reading: AgedReading, k: float, stretch: float) -> tuple[float, float, float]:
    """Weight of a reading's logarithm, the five-minute logarithm that it implies, and its slope in k."""
    remain, slope = _remain(k, reading.minutes)
    return (reading.value / reading.u / stretch) ** 2, math.log(reading.value / remain), slope


def _centred(readings: Sequence[AgedReading], k: float, stretch: float) -> list[tuple[float, float, float]]:
    """Weight, residual and slope of each reading, the two latter relative to its scale's start."""
    starts = {start.scale: start for start in _starts(readings, k, stretch)}
    rows = []
    for reading in readings:
        weight, implied, slope = _row(reading, k, stretch)
        start = starts[reading.scale]
        rows.append((weight, implied - start.log_value, slope - start.mean_slope))
    return rows


def _solve(readings: Sequence[AgedReading], k: float, prior: Rate, stretch: float) -> float:
    """The most probable k."""
    for _ in range(50):
        rows = _centred(readings, k, stretch)
        pull = math.fsum(w * r * s for w, r, s in rows) + (prior.value - k) * prior.u**-2
        step = pull / (math.fsum(w * s * s for w, _, s in rows) + prior.u**-2)
        k += max(-0.05, min(0.05, step))
        if abs(step) < 1e-12:
            break
    return k


def _chi_squared(readings: Sequence[AgedReading], k: float) -> float:
    """Weighted sum of squared residuals at the stated uncertainties."""
    return math.fsum(w * r * r for w, r, _ in _centred(readings, k, 1.0))
