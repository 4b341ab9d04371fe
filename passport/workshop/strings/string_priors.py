"""What a workshop knew of its strings at a time: how fast their beds lost tension, from the readings taken until then.

A bed is believed to lose tension like the beds of its string that had been read when it was strung. So what is said of
a bed rests on what stands in the records for good, and a reading taken today changes no page of an older stringing.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from passport.physics import ageing
from passport.physics.ageing import AgedReading, Rate
from passport.physics.uncertainty import Estimate

POOL_SIZE: Final = 40
"""How many other beds of a string, the newest ones, speak for a bed with few readings of its own."""

STATED_WEIGHT: Final = 3
"""How many beds the stated scatter from bed to bed counts as."""

String = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Evidence:
    """What one bed told of its string: its own rate of loss as it stood after the readings of each day, oldest first.

    ``frame`` and ``job`` name the bed, ``string`` is that of mains and crosses; a rate is its value and standard
    uncertainty, share lost per decade.
    """

    frame: str
    job: int
    string: String
    strung: date
    rates: tuple[tuple[date, float, float], ...]

    def by(self, day: date) -> Estimate | None:
        """The rate from the readings before a day; None where they hardly told."""
        found = [rate for rate in self.rates if rate[0] < day]
        return Estimate(*found[-1][1:]) if found else None


def rates_by_day(readings: Iterable[tuple[date, AgedReading]]) -> Iterator[tuple[date, float, float]]:
    """A bed's own rate of loss after the readings of each day, from the day on which they tell it."""
    rows = sorted(readings, key=lambda row: row[0])
    for n, (day, _) in enumerate(rows, start=1):
        if n > 1 and (n == len(rows) or rows[n][0] > day):
            rate = ageing.own_rate([reading for _, reading in rows[:n]])
            if rate:
                yield day, rate.value, rate.u


class StringPriors:
    """What all beds of a workshop told, asked for what was known at the beginning of the month of a stringing.

    One month's start stands for all its days, so that frames strung in one go are judged by the same belief.
    """

    def __init__(self, told: Iterable[Evidence]) -> None:
        """Sort what was told; what is asked of it is worked out once."""
        self._by_string: dict[String, list[Evidence]] = {}
        for one in sorted(told, key=lambda t: (t.strung, t.frame, t.job)):
            self._by_string.setdefault(one.string, []).append(one)
        self._beliefs: dict[tuple[String, date], Rate] = {}
        self._scatters: dict[date, float] = {}

    def belief(self, string: String, strung: date) -> Rate:
        """What was believed of a bed of a string before its own readings: the beds before it, or the stated prior."""
        known_by = strung.replace(day=1)
        if (string, known_by) not in self._beliefs:
            beds = self._by_string.get(string, [])
            before = beds[: bisect_left(beds, known_by, key=lambda bed: bed.strung)]
            rates = (rate for bed in reversed(before) if (rate := bed.by(known_by)))
            newest = [rate for rate, _ in zip(rates, range(POOL_SIZE), strict=False)]
            self._beliefs[string, known_by] = ageing.pool(newest)
        return self._beliefs[string, known_by]

    def scatter(self, strung: date) -> float:
        """How far the rate of loss scatters from bed to bed of one string, as a standard deviation.

        The moment estimate of DerSimonian & Laird 1986, Controlled Clinical Trials 7:177–188 (from memory), over all
        strings of the workshop together, with the stated scatter weighed in as that of a few beds.
        """
        known_by = strung.replace(day=1)
        if known_by not in self._scatters:
            groups = ([r for bed in beds if (r := bed.by(known_by))] for beds in self._by_string.values())
            self._scatters[known_by] = _scatter(group for group in groups if group)
        return self._scatters[known_by]


def _scatter(groups: Iterable[list[Estimate]]) -> float:
    freedom, excess, scale = 0, 0.0, 0.0
    for group in groups:
        weights = [rate.u**-2 for rate in group]
        total = math.fsum(weights)
        mean = math.fsum(w * rate.value for w, rate in zip(weights, group, strict=True)) / total
        freedom += len(group) - 1
        excess += math.fsum(w * (r.value - mean) ** 2 for w, r in zip(weights, group, strict=True)) - (len(group) - 1)
        scale += total - math.fsum(w * w for w in weights) / total
    seen = max(0.0, excess / scale) if freedom else 0.0
    return math.sqrt((STATED_WEIGHT * ageing.BETWEEN_BEDS**2 + freedom * seen) / (STATED_WEIGHT + freedom))
