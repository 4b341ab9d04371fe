"""The whole stock at one look: what is left of each lot, how fast it goes, how long it lasts, what to order."""

import math
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from passport.physics.uncertainty import Estimate
from passport.records.load import Content
from passport.records.stockroom.lot import StockLot
from passport.workshop.stockroom.use import JobUse, Remainder, UseBook

SPAN: Final = timedelta(days=365)
"""Over how long the speed of use is taken: a whole year, since a season is none."""

LEAST_SPAN: Final = timedelta(days=28)
"""Over how long something must have been used before a speed is said."""

AHEAD: Final = timedelta(days=28)
"""How long before something is gone it is ordered, where nobody says otherwise (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast something goes, a week, by ``jobs`` of the last ``days``; its uncertainty is that of so many jobs (the
    square root of their count, as of independent visits) and of what each takes."""

    a_week: Estimate
    jobs: int
    days: int


@dataclass(frozen=True, slots=True)
class StockLine:
    """One string or part in stock: ``lots`` with what is left of each, the ``whole`` of it, and its ``pace``.

    ``lasts`` are the weeks that it lasts at that pace, and the fewest and most of them within two standard
    uncertainties. ``loose`` are uses since the first lot that name a batch that no lot has, or none.
    """

    of: str
    name: str
    lots: tuple[tuple[str, Remainder], ...]
    whole: Estimate
    pace: Pace | None
    lasts: tuple[float, float, float] | None
    loose: tuple[JobUse, ...]

    def short(self, ahead: timedelta = AHEAD) -> bool:
        """Whether to order: it may last less than so long."""
        return self.whole.value <= 0 or (self.lasts is not None and self.lasts[1] * 7 < ahead.days)


def shelves(content: Content, today: date, book: UseBook | None = None) -> tuple[StockLine, ...]:
    """All that is in stock, in the order of the book; lots of one string measured alike stand together."""
    book = book or UseBook.of(content)
    groups: dict[tuple[str, str], list[tuple[str, StockLot]]] = {}
    for name, entry in content.lots.items():
        lot = entry.record
        groups.setdefault((lot.of, lot.measure), []).append((name, lot))
    return tuple(_shelf(content, of, lots, book, today) for (of, _), lots in groups.items())


def _shelf(content: Content, of: str, lots: list[tuple[str, StockLot]], book: UseBook, today: date) -> StockLine:
    found = tuple((name, book.left(lot)) for name, lot in lots)
    record = content.strings.get(of) or content.parts.get(of)
    title = record.record.name if record else of
    maker = record.record.maker if record else ""
    # A lot that is used up holds nothing: that it went below 0 is what the cuts were over, and takes from no other.
    whole = Estimate(sum(max(0.0, each.amount.value) for _, each in found), sum(each.amount.u for _, each in found))
    loose = book.unassigned(of, [e.record for e in content.lots.values()])
    pace = _pace(book.uses.get(of, ()), found[0][1].measure, today)
    return StockLine(of, f"{maker} {title}".strip(), found, whole, pace, _lasts(whole, pace), loose)


def _pace(uses: tuple[JobUse, ...], measure: str, today: date) -> Pace | None:
    """The speed of use over the last year, or since the first use where that is shorter."""
    known = [(use, use.amounts[m]) for use in uses for m in use.amounts if m == measure and use.day <= today]
    if not known:
        return None
    start = max(today - SPAN, known[0][0].day)
    recent = [(use, amount) for use, amount in known if use.day > today - SPAN]
    days = (today - start).days
    if days < LEAST_SPAN.days or not recent:
        return None
    total, jobs = sum(a.value for _, a in recent), len({(u.frame, u.day) for u, _ in recent})
    u = math.hypot(total / math.sqrt(jobs), sum(a.u for _, a in recent))
    weeks = days / 7
    return Pace(Estimate(total / weeks, u / weeks), jobs, days)


def _lasts(whole: Estimate, pace: Pace | None) -> tuple[float, float, float] | None:
    if pace is None or pace.a_week.value <= 0:
        return None
    left = max(0.0, whole.value)
    fast, slow = (pace.a_week.value + sign * 2 * pace.a_week.u for sign in (1, -1))
    most = math.inf if slow <= 0 else (left + 2 * whole.u) / slow
    return left / pace.a_week.value, max(0.0, left - 2 * whole.u) / fast, most
