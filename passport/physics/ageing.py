"""How a string bed loses tension: with the logarithm of its age, and with the hours it is played.

v(t, H) = v₅·[1 − k·log₁₀(t/5 min) − h·H]: what is read falls by the same share k of its five-minute value in each
decade of time (stress relaxation, from memory of Cross, Lindsey & Andruczyk 2000, Sports Engineering 3:219–230, who
find natural gut to lose least and polyester most), and by a share h in each of the H hours of play that were noted (a
straight line, the simplest that there is: no source gives another). What play that nobody noted, heat and wet took is
in the bed's own readings only.

A reading must be proportional to tension: lb, kg or N as the instrument shows them, or the square of a frequency (for
one unchanged bed T₂/T₁ = (f₂/f₁)²). Only its relative loss is used, so the unit does not matter; readings on several
scales share k and h and keep a starting value each. The law is fitted in `passport.physics.bedfit`; what beds of one
string tell of each other is in `passport.physics.pooling`.
"""

import math
from dataclasses import dataclass
from typing import Final, Literal, Self

from passport.physics.uncertainty import COVERAGE, Estimate

REFERENCE_MINUTES: Final = 5.0
"""Age in minutes that losses are counted from: when a bed is usually first read (common practice, no source)."""

READING_U: Final = 0.004
"""Standard uncertainty of a reading as a share of it, where nothing better is known (common practice, no source).

Frames of one batch read within 0.1 to 0.2 lb of each other, up to 0.4 % of 50 lb.
"""

Source = Literal["own", "pooled", "prior"]


@dataclass(frozen=True, slots=True)
class Rate:
    """What is believed of k (share lost per decade of time) before a bed's own readings, and from how many beds.

    ``play`` and ``play_u`` are the same of h (share lost in an hour of play), ``covariance`` that of both.
    """

    value: float
    u: float
    source: Source
    beds: int = 0
    play: float = 0.0
    play_u: float = 0.0025
    covariance: float = 0.0


PRIOR: Final = Rate(0.04, 0.02, "prior")
"""The stated prior: about 10 % of the reading goes in the first 12 to 24 hours (common practice, no source).

From 5 minutes these are 2.2 and 2.5 decades, so k is about 0.04; its spread, from the slowest to the fastest strings,
is common practice, no source. Of play nobody states a figure: none is taken to be lost, and a twentieth in twenty hours
would be no surprise (a choice of this program, which the workshop's own beds replace).
"""


@dataclass(frozen=True, slots=True)
class AgedReading:
    """One reading: ``minutes`` since stringing, ``value`` proportional to tension, and its standard uncertainty ``u``.

    ``scale`` names the instrument or unit; only readings of one scale are compared in value. ``hours``: how long the
    bed had been played. Raises ``ValueError`` unless age, value and u are above 0 and the hours not below it.
    """

    minutes: float
    value: float
    u: float
    scale: str = ""
    hours: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what has no logarithm or no weight."""
        if not (self.minutes > 0 and self.value > 0 and self.u > 0 and self.hours >= 0):
            raise ValueError("a reading needs an age, a value and an uncertainty above 0, and no hours below it")

    @classmethod
    def of_frequency(cls, minutes: float, hz: float, u_hz: float, scale: str = "Hz²") -> Self:
        """A frequency reading, squared so that it is proportional to tension."""
        return cls(minutes, hz**2, 2 * hz * u_hz, scale)


@dataclass(frozen=True, slots=True)
class Start:
    """The fitted five-minute value of one scale: its logarithm, that one's weight, and its pull on k and h."""

    scale: str
    log_value: float
    weight: float
    pull: tuple[float, float]


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


_NOTHING = Estimate(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Ageing:
    """The life of one bed as far as it is known.

    ``rate``: k with its standard uncertainty, ``play``: h with its own, ``covariance`` that of both. ``source``: "own"
    when the bed's own readings carry at least half of what is known of k, else where the belief before them came from.
    ``own_share``: that part, 0 … 1. ``beds``: how many beds the pool held. ``readings``: how many own readings were
    used. ``stretch``: by how much their uncertainties were widened or narrowed by how readings scatter. ``wrong``: the
    place of a reading among them that is more likely wrong than not. ``starts``: one for each scale.
    """

    rate: Estimate
    source: Source
    own_share: float
    beds: int
    readings: int
    stretch: float
    starts: tuple[Start, ...]
    play: Estimate = _NOTHING
    covariance: float = 0.0
    wrong: int | None = None

    def loss_at(self, minutes: float, hours: float = 0.0) -> Estimate:
        """Share of the five-minute value that is lost at an age, after so many hours of play."""
        decades = decades_of(minutes)
        return Estimate(self.rate.value * decades + self.play.value * hours, self._spread(decades, hours))

    def at(self, minutes: float, scale: str = "", reading_u: float = 0.0, hours: float = 0.0) -> Prediction:
        """What the bed holds at an age, on one scale, with its 95 % band.

        With ``reading_u`` (a share) the band is that of a new reading with this uncertainty. Raises ``KeyError`` for a
        scale without readings.
        """
        start = next((start for start in self.starts if start.scale == scale), None)
        if start is None:
            raise KeyError(f"no reading on the scale “{scale}” to start from")
        remain, *slopes = remaining(self.rate.value, self.play.value, minutes, hours)
        value = math.exp(start.log_value) * remain
        spread = self._spread(*(slope - pull for slope, pull in zip(slopes, start.pull, strict=True)))
        u = math.hypot(start.weight**-0.5, spread, reading_u)
        return Prediction(minutes, value, value * u, value * math.exp(-COVERAGE * u), value * math.exp(COVERAGE * u))

    def moved(self, reading: AgedReading, minutes: float) -> AgedReading:
        """A reading brought to another age without more play, to be compared with one taken then; u grows on the way."""
        here, slope_here, _ = remaining(self.rate.value, self.play.value, reading.minutes, reading.hours)
        there, slope_there, _ = remaining(self.rate.value, self.play.value, minutes, reading.hours)
        value = reading.value * there / here
        u = math.hypot(reading.u / reading.value, (slope_there - slope_here) * self.rate.u)
        return AgedReading(minutes, value, value * u, reading.scale, reading.hours)

    def minutes_to_loss(self, share: float) -> Span:
        """Age at which a ``share`` (0 … 1) of the five-minute value is lost without play, with its 95 % band."""
        slow, fast = self.rate.value - COVERAGE * self.rate.u, self.rate.value + COVERAGE * self.rate.u
        return Span(_age(share, self.rate.value), _age(share, fast), _age(share, slow))

    def _spread(self, by_rate: float, by_play: float) -> float:
        """Standard uncertainty of by_rate·k + by_play·h."""
        cross = 2 * self.covariance * by_rate * by_play
        return math.sqrt(max(0.0, (by_rate * self.rate.u) ** 2 + (by_play * self.play.u) ** 2 + cross))


def decades_of(minutes: float) -> float:
    """Decades of time since the reference age. Raises ``ValueError`` for an age that is not above 0."""
    if not minutes > 0:
        raise ValueError(f"an age is above 0 minutes, not {minutes:g}")
    return math.log10(minutes / REFERENCE_MINUTES)


def remaining(k: float, h: float, minutes: float, hours: float) -> tuple[float, float, float]:
    """Share of the five-minute value that remains, and how its logarithm changes with k and with h."""
    decades = decades_of(minutes)
    remain = max(1 - k * decades - h * hours, 0.01)  # the law ends long before nothing is left
    return remain, -decades / remain, -hours / remain


def _age(share: float, k: float) -> float:
    """Minutes until a share is lost at a rate k; infinite where it would take longer than any bed is kept."""
    decades = share / k if k > 0 else math.inf
    return REFERENCE_MINUTES * 10**decades if decades < 10 else math.inf
