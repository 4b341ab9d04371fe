"""What the beds of a workshop tell: how far readings scatter, and what a bed of a string may be expected to lose.

The rate k of a bed lies about that of its string with a scatter from bed to bed; the loss h in an hour of play is one
for the string. Both, and the scatter, are estimated from the beds with the stated prior as prior: a random-effects
model with the scatter integrated over (Gelman et al., Bayesian Data Analysis, ch. 5, from memory). A bed that lies
far outside counts by how probable it is that it belongs.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from passport.physics.ageing import PRIOR, AgedReading, Rate
from passport.physics.bedfit import OPEN, STATED, BedSums, Belief, Noise, mixed, weighed

BETWEEN_BEDS: Final = 0.01
"""Scatter of k from bed to bed of one string, as a standard deviation (common practice, no source)."""

BETWEEN_WEIGHT: Final = 2
"""How many beds the stated scatter from bed to bed counts as (a choice of this program, no source)."""

STRANGE: Final = 0.02
"""Chance that a bed's rate belongs to no bed of its string: another string, a wrong age (a choice, no source)."""

STRANGE_U: Final = 0.06
"""How far such a rate may lie off, as a standard deviation (a choice of this program, no source)."""

_SCATTERS: Final = tuple(BETWEEN_BEDS * 2 ** (i / 2) for i in range(-6, 7))
"""The scatters that are tried, from an eighth of the stated one to eight times it."""

_WIDEST: Final = 25.0  # how much wider than stated readings may scatter, squared, before slips are looked for
_FIXED: Final = 1e-14  # the variance of a figure that is taken as given


def noise_of(strings: Iterable[Sequence[tuple[AgedReading, ...]]], stated: Noise = STATED) -> Noise:
    """How far readings scatter within beds, given by string, with the stated uncertainty weighed in.

    A wrong reading does not count. What play took is one for a string and uses up no readings of a single bed.
    """
    told = [group for beds in strings if (group := [bed for bed in beds if len(bed) > 2])]
    noise = Noise(_WIDEST * stated.square, stated.weight) if told else stated  # at first hardly a reading looks wrong
    for _ in range(8 if told else 0):
        squares, freedom = 0.0, 0.0
        for beds in told:
            play = _play(beds, noise)
            freedom -= 1 - play.hh / PRIOR.play_u**2
            for bed in beds:
                off, free = _scattered(bed, play.h, noise)
                squares, freedom = squares + off, freedom + free
        square = _guarded(stated, squares, max(0.0, freedom))
        settled = abs(square - noise.square) < 0.005 * square
        noise = Noise(square, stated.weight + max(0.0, freedom))
        if settled:
            break
    return noise


def _guarded(stated: Noise, squares: float, freedom: float) -> float:
    """The expected square of the factor, a little towards wider (see `_guard`)."""
    return stated.after(squares, freedom) * _guard(stated.weight, freedom)


def _guard(stated: float, freedom: float) -> float:
    """A factor on a variance that was estimated: three quarters of a deviation of the estimate towards wider.

    A band about an estimated variance holds less than it says (Student); where nothing was estimated it is 1.
    """
    return 1 + freedom / (stated + freedom) * math.sqrt(2 / (stated + freedom)) * 0.75


def _play(beds: Sequence[tuple[AgedReading, ...]], noise: Noise) -> Belief:
    """What some beds of a string tell of its h, at the stated scatter between them."""
    found = [line_of(bed, noise) for bed in beds]
    one = _pooled(found, [1.0] * len(found), noise.square, PRIOR, BETWEEN_BEDS)
    belongs = [_belongs(line, _for_one(one), noise.square) for line in found]
    return _pooled(found, belongs, noise.square, PRIOR, BETWEEN_BEDS).mean


def _scattered(bed: tuple[AgedReading, ...], h: float, noise: Noise) -> tuple[float, float]:
    """The expected sum of squares about the law within a bed at a given h, and its degrees of freedom."""
    squares, freedom = 0.0, 0.0
    for weight, judged in weighed(bed, Belief(OPEN.value, h, OPEN.u**2, 0.0, _FIXED), noise):
        line, after = judged.line, judged.after
        by_k, by_h = after.k - line.k, after.h - line.h
        off = by_k**2 * line.kk + 2 * by_k * by_h * line.kh + by_h**2 * line.hh
        squares += weight * (line.chi_squared + off)
        freedom += weight * max(0.0, line.count - after.kk * line.kk / judged.square)
    return squares, freedom


def line_of(bed: tuple[AgedReading, ...], noise: Noise) -> BedSums:
    """What a bed says in the likeliest of the ways in which a reading of it may be wrong."""
    return max(weighed(bed, Belief.of(OPEN), noise), key=lambda part: part[0])[1].line


@dataclass(frozen=True, slots=True)
class _StringMean:
    """The string's own (k, h) at one scatter between beds, and the log of how well that scatter explains the beds."""

    scatter: float
    mean: Belief
    log_evidence: float


def pool(found: Sequence[BedSums], noise: Noise = STATED, prior: Rate = PRIOR) -> Rate:
    """What other beds of the same string say about a new one, before its own readings.

    Without any bed that tells something the prior comes back as it is.
    """
    beds = [line for line in found if line.kk > OPEN.u**-2]
    if not beds:
        return prior
    belongs = [1.0] * len(beds)
    guard = _guard(BETWEEN_WEIGHT, len(beds) - 1)
    new = mixed([(weight, _for_one(one, guard)) for weight, one in _pools(beds, belongs, noise, prior)])
    for _ in range(3):
        belongs = [_belongs(line, new, noise.square) for line in beds]
        new = mixed([(weight, _for_one(one, guard)) for weight, one in _pools(beds, belongs, noise, prior)])
    return Rate(new.k, math.sqrt(new.kk), "pooled", len(beds), new.h, math.sqrt(new.hh), new.kh)


def scatter_of(strings: Iterable[Sequence[BedSums]], noise: Noise = STATED) -> float:
    """How far k scatters from bed to bed of one string, over all strings together, as a standard deviation."""
    logs = [_stated(scatter) for scatter in _SCATTERS]
    for beds in strings:
        told = [line for line in beds if line.kk > OPEN.u**-2]
        if len(told) > 1:
            ones = [_pooled(told, [1.0] * len(told), noise.square, PRIOR, scatter) for scatter in _SCATTERS]
            logs = [log + one.log_evidence - _stated(one.scatter) for log, one in zip(logs, ones, strict=True)]
    weights = _weights(logs)
    return math.sqrt(math.fsum(w * scatter**2 for w, scatter in zip(weights, _SCATTERS, strict=True)))


def _for_one(one: _StringMean, guard: float = 1.0) -> Belief:
    """The belief in a single bed: about the string's mean, with the scatter between beds."""
    return Belief(one.mean.k, one.mean.h, one.mean.kk + guard * one.scatter**2, one.mean.kh, one.mean.hh)


def _pools(
    beds: Sequence[BedSums], belongs: Sequence[float], noise: Noise, prior: Rate
) -> list[tuple[float, _StringMean]]:
    """The pool at each scatter that is tried, by its probability."""
    found = [_pooled(beds, belongs, noise.square, prior, scatter) for scatter in _SCATTERS]
    return list(zip(_weights([one.log_evidence for one in found]), found, strict=True))


def _weights(logs: Sequence[float]) -> list[float]:
    most = max(logs)
    weights = [math.exp(log - most) for log in logs]
    total = math.fsum(weights)
    return [weight / total for weight in weights]


def _stated(scatter: float) -> float:
    """Log of what is believed of a scatter beforehand: a scaled inverse χ², its square's mean twice the stated one's."""
    return -(BETWEEN_WEIGHT + 1) * math.log(scatter) - BETWEEN_WEIGHT / 2 * (BETWEEN_BEDS / scatter) ** 2


def _pooled(
    beds: Sequence[BedSums], belongs: Sequence[float], square: float, prior: Rate, scatter: float
) -> _StringMean:
    before = Belief.of(prior)
    det = before.kk * before.hh - before.kh**2
    a, b, c = before.hh / det, -before.kh / det, before.kk / det
    x, y = a * before.k + b * before.h, b * before.k + c * before.h
    log_evidence = _stated(scatter)
    for line, weight in zip(beds, belongs, strict=True):
        kk, kh, hh = _told(line, square, scatter)
        pull = (kk * line.k + kh * line.h, kh * line.k + hh * line.h)
        a, b, c = a + weight * kk, b + weight * kh, c + weight * hh
        x, y = x + weight * pull[0], y + weight * pull[1]
        off = line.k * pull[0] + line.h * pull[1]
        log_evidence -= weight / 2 * (math.log1p(scatter**2 * line.kk / square) + off)
    det = a * c - b * b
    k, h = (c * x - b * y) / det, (a * y - b * x) / det
    log_evidence += (x * k + y * h - math.log(det)) / 2
    return _StringMean(scatter, Belief(k, h, c / det, -b / det, a / det), log_evidence)


def _told(line: BedSums, square: float, scatter: float) -> tuple[float, float, float]:
    """A bed's information on its string's (k, h): its own, less what the scatter between beds takes away."""
    kk, kh, hh = line.kk / square, line.kh / square, line.hh / square
    loss = scatter**2 / (1 + scatter**2 * kk)
    return kk - loss * kk * kk, kh - loss * kk * kh, hh - loss * kh * kh


def _belongs(line: BedSums, one: Belief, square: float) -> float:
    """How probable it is that a bed is one of its string, given what is believed of a single bed."""
    if line.kk <= 0:
        return 1.0
    # the line tells best of k + h·kh/kk, with this variance
    ratio = line.kh / line.kk
    off = (line.k - one.k) + ratio * (line.h - one.h)
    usual = one.kk + 2 * ratio * one.kh + ratio**2 * one.hh + square / line.kk
    strange = usual + STRANGE_U**2
    odds = (1 - STRANGE) / STRANGE * math.sqrt(strange / usual) * math.exp(-(off**2) / 2 * (1 / usual - 1 / strange))
    return odds / (1 + odds)
