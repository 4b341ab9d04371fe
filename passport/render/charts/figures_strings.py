"""The figures of a frame's strings, made from its facts: the life of the bed that is in, and all its beds."""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise

from passport.render.charts.beds import BedLine, beds_chart
from passport.render.charts.labels import chart_words
from passport.render.charts.life import LifePoint, Mark, life_chart
from passport.render.theme.formats import Formats
from passport.render.theme.palette import CSS_PAINT
from passport.workshop.facts.bedfacts import DAY_MINUTES, BedLife
from passport.workshop.facts.facts import FrameFacts

_SHORTEST = 14.0
_USUAL = 120.0
_BEYOND = 1.25  # the chart goes on after the due day, for a reader who looks at it later


def life_figure(frame: FrameFacts, f: Formats) -> str:
    """The life of the strings that are in; empty for a frame without strings, or out of play."""
    life, due = frame.life, frame.restring
    if life is None:
        return ""
    due_days = (due.day - life.strung).days if due else None
    last = max([p.age / DAY_MINUTES for p in life.points if p.age is not None], default=0.0)
    days = max(_SHORTEST, due_days * _BEYOND if due_days else _USUAL, last * 1.05)

    def curve(age: float) -> tuple[float, float, float]:
        found = life.left(age * DAY_MINUTES)
        return found.value, found.low, found.high

    lowest = curve(days)[1]
    loss = next((r.amount for r in due.reasons if r.kind == "loss"), None) if due else None
    return life_chart(
        curve,
        [
            LifePoint(p.age / DAY_MINUTES, p.left, f.ring(p.amount, p.unit))
            for p in life.points
            if p.age is not None and p.left is not None
        ],
        days=days,
        strung=life.strung.isoformat(),
        ticks=[Mark((day - life.strung).days, label) for day, label in _ticks(life.strung, days, f)],
        key="life",
        paint=CSS_PAINT,
        due=Mark(due_days, f.day_month(due.day)) if due and due_days else None,
        limit=1 - loss if loss and 1 - loss > lowest - 0.04 else None,
        words=chart_words(f),
    )


def _ticks(strung: date, days: float, f: Formats) -> Iterator[tuple[date, str]]:
    """The day of the stringing and then weeks, months or quarters, by how long the chart is."""
    yield strung, f.day_month(strung)
    last = strung + timedelta(days=int(days))
    if days < 45:
        step = 7 if days < 30 else 14
        yield from ((d, f.day_month(d)) for n in range(1, 7) if (d := strung + timedelta(days=step * n)) <= last)
        return
    months = [strung.year * 12 + strung.month + n for n in range(0, 200, 1 + int(days / 190))]
    firsts = [date(month // 12, month % 12 + 1, 1) for month in months]
    for before, day in pairwise([strung, *firsts]):
        if day <= last:
            yield day, f.month(day) if day.year == before.year else f.month_year(day)


def beds_figure(frame: FrameFacts, f: Formats) -> str:
    """All beds of a frame that were read again after they had left the bench; empty for fewer than two."""
    beds = [(bed, False) for bed in frame.past] + ([(frame.life, True)] if frame.life and frame.past else [])
    lines = [_line(bed, now) for bed, now in beds if bed.last and (now or _aged(bed))]
    if sum(max(line.points)[0] >= 0.5 for line in lines) < 2:
        return ""
    return beds_chart(lines, key="beds", paint=CSS_PAINT, words=chart_words(f))


def _aged(bed: BedLife) -> bool:
    """Whether a bed's own readings tell how it lost tension."""
    ages = {p.age for p in bed.points if p.age is not None}
    return len(ages) > 1 and max(ages) >= DAY_MINUTES / 2


def _line(bed: BedLife, now: bool) -> BedLine:
    points = tuple((p.age / DAY_MINUTES, p.left) for p in bed.points if p.age is not None and p.left is not None)
    return BedLine(
        string=bed.string,
        left=lambda days: bed.left(days * DAY_MINUTES).value,
        days=max(points)[0],
        points=points,
        now=now,
    )
