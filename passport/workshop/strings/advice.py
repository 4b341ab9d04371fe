"""Which string held its tension longest in one frame, from that frame's own readings and only where they support it."""

import math
from collections.abc import Sequence
from statistics import median

from passport.physics.uncertainty import COVERAGE, Estimate
from passport.workshop.facts.bedfacts import DAY_MINUTES, FRESH_MINUTES, HoldFacts
from passport.workshop.strings.beds import Bed, BedBook, fresh_slope

String = tuple[str, str]


def advice(book: BedBook, beds: Sequence[Bed]) -> HoldFacts | None:
    """What a frame's beds, oldest first, say of the strings that were in it; None for fewer than two strings.

    The string that lost least is held against the one of the newest bed, or against the runner-up where that is the
    same. A bed counts where its own readings tell its rate. The two are told apart where the difference is more than
    twice its standard uncertainty, which holds the scatter from bed to bed of one string at this workshop.
    """
    table: dict[String, list[Bed]] = {}
    for bed in beds:
        if book.own(bed):
            table.setdefault(bed.string, []).append(bed)
    if len(table) < 2:
        return None
    scatter = book.priors.scatter(beds[-1].strung)
    rates = {string: _mean([rate for b in group if (rate := book.own(b))], scatter) for string, group in table.items()}
    ranked = sorted(rates, key=lambda string: rates[string].value)
    better = ranked[0]
    other = beds[-1].string if beds[-1].string in ranked[1:] else ranked[1]
    return _compared(book, (better, other), rates, table)


def _mean(rates: Sequence[Estimate], scatter: float) -> Estimate:
    """The rate of a string, per decade of age from fresh, each bed weighed with the scatter between beds."""
    slopes = [fresh_slope(rate) for rate in rates]
    weights = [1 / (slope.u**2 + scatter**2) for slope in slopes]
    total = math.fsum(weights)
    return Estimate(math.fsum(w * s.value for w, s in zip(weights, slopes, strict=True)) / total, total**-0.5)


def _compared(
    book: BedBook, pair: tuple[String, String], rates: dict[String, Estimate], table: dict[String, list[Bed]]
) -> HoldFacts:
    """Two strings at the greatest age that the usual bed of both was still read at."""
    better, other = pair
    # No further than both were read: beyond that the comparison would rest on the law, not on readings.
    ages = [median(max(r.minutes for r in bed.readings) for bed in table[string]) for string in pair]
    days = max(1, round(min(ages) / DAY_MINUTES))
    decades = math.log10(days * DAY_MINUTES / FRESH_MINUTES)
    points = (rates[other].value - rates[better].value) * decades
    reach = COVERAGE * math.hypot(rates[other].u, rates[better].u) * decades
    return HoldFacts(
        better=book.name_of(better),
        other=book.name_of(other),
        days=days,
        points=points,
        low=points - reach,
        high=points + reach,
        beds=(len(table[better]), len(table[other])),
        told=points > reach,
    )
