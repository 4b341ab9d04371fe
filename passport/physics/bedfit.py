"""The law of ageing fitted to the readings of one bed, one of which may be wrong.

What readings say of k and h is a line of sums (`BedSums`) that does not depend on what was believed before: a bed is
summed up once and judged under any belief. A reading may be a slip: a wrong key, another bed, a finger on the strings.
So each in turn is taken to be wrong, and the fits count by how probable they are (Gaussian mixture, from memory).

How far readings scatter is itself uncertain: the belief in it (`Noise`) is a scaled inverse χ² (from memory), which
the scatter within the bed is weighed into.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from passport.physics.ageing import PRIOR, AgedReading, Ageing, Rate, Source, Start, remaining
from passport.physics.uncertainty import Estimate

WRONG: Final = 0.005
"""Chance that a reading is a slip (a choice of this program, no source)."""

WRONG_U: Final = 0.2
"""How far a slip lies off, as a standard deviation of the logarithm (a choice of this program, no source)."""

OPEN: Final = Rate(PRIOR.value, 0.05, "prior")
"""A belief that hardly holds anything back, for what readings tell by themselves."""

_USELESS_U = 0.05  # a k less certain than this says less than the stated prior


@dataclass(frozen=True, slots=True)
class Noise:
    """What is believed of the scatter of readings: the expected square of the factor on their stated uncertainties.

    ``weight`` says how many degrees of freedom that expectation is worth.
    """

    square: float = 1.0
    weight: float = 1.0

    @property
    def factor(self) -> float:
        """The factor on stated uncertainties."""
        return math.sqrt(self.square)

    def after(self, chi_squared: float, freedom: float) -> float:
        """The expected square after a sum of squares with so many degrees of freedom."""
        return (self.weight * self.square + chi_squared) / (self.weight + freedom)


STATED: Final = Noise()
"""The stated uncertainty of a reading holds, but a few readings outweigh it (a choice of this program, no source)."""


@dataclass(frozen=True, slots=True)
class BedSums:
    """What some readings say: the best (k, h), their information matrix, χ² there, all at the stated uncertainty.

    ``dropped`` is the reading that was left out as wrong. ``count`` is the number of readings less that of the scales,
    ``freedom`` what of it is not used up by k and h, ``log_density`` the part of the likelihood that depends on the
    stated uncertainties alone.
    """

    dropped: int | None
    k: float
    h: float
    kk: float
    kh: float
    hh: float
    chi_squared: float
    count: int
    freedom: float
    log_density: float


@dataclass(frozen=True, slots=True)
class Belief:
    """A normal belief in (k, h): the values and the covariance matrix."""

    k: float
    h: float
    kk: float
    kh: float
    hh: float

    @classmethod
    def of(cls, rate: Rate) -> "Belief":
        """The belief of a rate."""
        return cls(rate.value, rate.play, rate.u**2, rate.covariance, rate.play_u**2)

    @property
    def weights(self) -> tuple[float, float, float]:
        """The inverse of the covariance matrix."""
        det = self.kk * self.hh - self.kh**2
        return self.hh / det, -self.kh / det, self.kk / det


@dataclass(frozen=True, slots=True)
class Judged:
    """A line under a belief: the belief after it, the log of its probability, and the square of the scatter."""

    line: BedSums
    after: Belief
    log_evidence: float
    square: float


@lru_cache(maxsize=16384)
def lines(readings: tuple[AgedReading, ...]) -> tuple[BedSums, ...]:
    """What readings say if none is wrong, and if each of them is: of those that have another on their scale."""
    all_right = _line(readings, None, (OPEN.value, OPEN.play))
    scales = [reading.scale for reading in readings]
    # A reading alone on its scale sets that scale's start: left out, it contradicts nothing and nothing is learned.
    others = [i for i, scale in enumerate(scales) if len(scales) > 2 and scales.count(scale) > 1]
    return (all_right, *(_line(readings, i, (all_right.k, all_right.h)) for i in others))


def judge(line: BedSums, belief: Belief, noise: Noise) -> Judged:
    """A line weighed against a belief."""
    square = noise.after(line.chi_squared, line.freedom)
    if noise.weight <= STATED.weight:
        square = max(noise.square, square)  # a few readings may agree by chance
    b = (line.kk / square, line.kh / square, line.hh / square)
    c = belief.weights
    p = (b[0] + c[0], b[1] + c[1], b[2] + c[2])
    det_p = p[0] * p[2] - p[1] ** 2
    rest = (line.k - belief.k, line.h - belief.h)
    pull = (b[0] * rest[0] + b[1] * rest[1], b[1] * rest[0] + b[2] * rest[1])
    step = ((p[2] * pull[0] - p[1] * pull[1]) / det_p, (p[0] * pull[1] - p[1] * pull[0]) / det_p)
    off = rest[0] * pull[0] + rest[1] * pull[1] - pull[0] * step[0] - pull[1] * step[1]
    after = Belief(belief.k + step[0], belief.h + step[1], p[2] / det_p, -p[1] / det_p, p[0] / det_p)
    evidence = line.log_density + _scatter(line, noise) - (line.count - line.freedom) / 2 * math.log(square)
    det = belief.kk * belief.hh - belief.kh**2
    return Judged(line, after, evidence - (math.log(det_p * det) + off) / 2, square)


def _scatter(line: BedSums, noise: Noise) -> float:
    """Log of the density of the scatter about the fit, over all squares of the factor that are believed in."""
    total, shape = noise.weight * noise.square, noise.weight + 2
    known = math.lgamma((shape + line.freedom) / 2) - math.lgamma(shape / 2) - line.freedom / 2 * math.log(total / 2)
    return known - (shape + line.freedom) / 2 * math.log1p(line.chi_squared / total)


def weighed(readings: tuple[AgedReading, ...], belief: Belief, noise: Noise) -> list[tuple[float, Judged]]:
    """Every way in which readings may be right or wrong, with its probability; the probabilities add up to 1."""
    found = [judge(line, belief, noise) for line in lines(readings)]
    # Taken off before exp, which would underflow to 0 for all of them.
    most = max(one.log_evidence for one in found)
    weights = [math.exp(one.log_evidence - most) for one in found]
    total = math.fsum(weights)
    return [(weight / total, one) for weight, one in zip(weights, found, strict=True)]


def mixed(parts: Sequence[tuple[float, Belief]]) -> Belief:
    """The mean and covariance of a mixture of beliefs, whose weights add up to 1."""
    k = math.fsum(w * b.k for w, b in parts)
    h = math.fsum(w * b.h for w, b in parts)
    return Belief(
        k,
        h,
        math.fsum(w * (b.kk + (b.k - k) ** 2) for w, b in parts),
        math.fsum(w * (b.kh + (b.k - k) * (b.h - h)) for w, b in parts),
        math.fsum(w * (b.hh + (b.h - h) ** 2) for w, b in parts),
    )


def fit(readings: Sequence[AgedReading], prior: Rate = PRIOR, noise: Noise = STATED) -> Ageing:
    """Fit k, h and the starting values to a bed's own readings, by weighted least squares with a prior on k and h.

    Gauss–Newton on the logarithms of the readings. With one reading k is the prior's, with none there is no start.
    """
    return _fitted(tuple(readings), prior, noise)


@lru_cache(maxsize=8192)
def _fitted(readings: tuple[AgedReading, ...], prior: Rate, noise: Noise) -> Ageing:
    """See `fit`: a bed is asked for its rate by itself and among others."""
    parts = weighed(readings, Belief.of(prior), noise)
    weight, best = max(parts, key=lambda part: part[0])
    left = [reading for i, reading in enumerate(readings) if i != best.line.dropped]
    exact = _optimum(left, Belief.of(prior), best.square, (best.after.k, best.after.h))
    after = _no_gain(mixed([(w, exact if judged is best else judged.after) for w, judged in parts]))
    own_share = max(0.0, 1 - after.kk / prior.u**2)
    source: Source = "own" if own_share >= 0.5 else prior.source
    return Ageing(
        rate=Estimate(after.k, math.sqrt(after.kk)),
        source=source,
        own_share=own_share,
        beds=prior.beds,
        readings=len(readings),
        stretch=math.sqrt(best.square),
        starts=_starts(left, after.k, after.h, best.square),
        play=Estimate(after.h, math.sqrt(after.hh)),
        covariance=after.kh,
        wrong=best.line.dropped if weight > 0.5 else None,
    )


def _no_gain(belief: Belief) -> Belief:
    """A belief that play gives tension back is taken for one that it takes none, with the rate that goes with it."""
    if belief.h >= 0:
        return belief
    return replace(belief, k=belief.k - belief.kh / belief.hh * belief.h, h=0.0)


def own_rate(readings: Sequence[AgedReading], noise: Noise = STATED) -> Estimate | None:
    """k from a bed's own readings alone; ``None`` where they hardly tell (fewer than two ages apart)."""
    found = fit(readings, Rate(PRIOR.value, 10.0, "prior"), noise)
    return found.rate if found.rate.u < _USELESS_U else None


@dataclass(frozen=True, slots=True)
class _Row:
    """One reading at some k and h: its weight, its residual from its scale's start, and how that changes with both."""

    weight: float
    residual: float
    by_k: float
    by_h: float


def _optimum(readings: Sequence[AgedReading], belief: Belief, square: float, start: tuple[float, float]) -> Belief:
    """The most probable k and h after some readings, with their covariance there."""
    (k, h), (a, b, c) = start, belief.weights
    det, kk, kh, hh = 1.0, a, b, c
    for _ in range(40):
        rows = list(_rows(readings, k, h))
        kk, kh, hh = (x / square + y for x, y in zip(_information(rows), (a, b, c), strict=True))
        back_k, back_h = belief.k - k, belief.h - h
        pull_k = math.fsum(r.weight * r.residual * r.by_k for r in rows) / square + a * back_k + b * back_h
        pull_h = math.fsum(r.weight * r.residual * r.by_h for r in rows) / square + b * back_k + c * back_h
        det = kk * hh - kh**2
        step_k, step_h = (hh * pull_k - kh * pull_h) / det, (kk * pull_h - kh * pull_k) / det
        # Short steps: far from the optimum the logarithm's slope would throw the next point beyond the law's end.
        k, h = k + max(-0.05, min(0.05, step_k)), h + max(-0.005, min(0.005, step_h))
        if abs(step_k) < 1e-9 and abs(step_h) < 1e-10:
            break
    return Belief(k, h, hh / det, -kh / det, kk / det)


def _line(readings: Sequence[AgedReading], dropped: int | None, start: tuple[float, float]) -> BedSums:
    left = [reading for i, reading in enumerate(readings) if i != dropped]
    best, weak = _optimum(left, Belief.of(OPEN), 1.0, start), (OPEN.u**-2, OPEN.play_u**-2)
    rows = list(_rows(left, best.k, best.h))
    kk, kh, hh = _information(rows)
    chi_squared = math.fsum(r.weight * r.residual**2 for r in rows)
    count = len(left) - len({reading.scale for reading in left})
    apart = hh - kh**2 / (kk + weak[0])  # what is told of h beside k
    freedom = max(0.0, count - kk / (kk + weak[0]) - apart / (apart + weak[1]))
    return BedSums(dropped, best.k, best.h, kk, kh, hh, chi_squared, count, freedom, _density(left, dropped))


def _information(rows: Sequence[_Row]) -> tuple[float, float, float]:
    return (
        math.fsum(r.weight * r.by_k**2 for r in rows),
        math.fsum(r.weight * r.by_k * r.by_h for r in rows),
        math.fsum(r.weight * r.by_h**2 for r in rows),
    )


def _density(readings: Sequence[AgedReading], dropped: int | None) -> float:
    """Log of what the likelihood owes to the stated uncertainties, and to a reading that was left out as wrong."""
    weights: dict[str, float] = {}
    log_density = 0.0
    for reading in readings:
        share = reading.u / reading.value
        weights[reading.scale] = weights.get(reading.scale, 0.0) + share**-2
        log_density -= math.log(share)
    log_density -= math.fsum(map(math.log, weights.values())) / 2
    log_density -= (len(readings) - len(weights)) / 2 * math.log(2 * math.pi)
    return log_density if dropped is None else log_density + math.log(WRONG / WRONG_U) - math.log(2 * math.pi) / 2


def _starts(readings: Sequence[AgedReading], k: float, h: float, square: float = 1.0) -> tuple[Start, ...]:
    """For each scale the weighted mean of what its readings say about the five-minute value."""
    starts = []
    for scale in dict.fromkeys(reading.scale for reading in readings):
        rows = [_implied(reading, k, h) for reading in readings if reading.scale == scale]
        weight = math.fsum(w for w, *_ in rows)
        log_value, by_k, by_h = (math.fsum(row[0] * row[i] for row in rows) / weight for i in (1, 2, 3))
        starts.append(Start(scale, log_value, weight / square, (by_k, by_h)))
    return tuple(starts)


def _implied(reading: AgedReading, k: float, h: float) -> tuple[float, float, float, float]:
    """Weight of a reading's logarithm, the five-minute logarithm that it implies, and its slopes in k and h."""
    remain, by_k, by_h = remaining(k, h, reading.minutes, reading.hours)
    return (reading.value / reading.u) ** 2, math.log(reading.value / remain), by_k, by_h


def _rows(readings: Sequence[AgedReading], k: float, h: float) -> Iterator[_Row]:
    """Residuals and slopes of readings relative to their scale's start."""
    starts = {start.scale: start for start in _starts(readings, k, h)}
    for reading in readings:
        weight, implied, by_k, by_h = _implied(reading, k, h)
        start = starts[reading.scale]
        yield _Row(weight, implied - start.log_value, by_k - start.pull[0], by_h - start.pull[1])
