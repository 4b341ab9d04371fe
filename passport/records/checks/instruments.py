"""Instruments must have been held against something known, in their own unit, not too long ago."""

from collections.abc import Iterator
from datetime import date

from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.quantities import INERTIA, LENGTH, MASS, RING, TENSION, Quantity, is_of
from passport.records.schema.workshop import Instrument
from passport.records.yaml.validation_messages import closest

MINUTES_A_DAY = 1440

USUAL_DAYS = {"scale": 31, "balance board": 366, "swing machine": 183, "tension head": 7, "ring reader": 366}
"""Days after which a check is overdue where the record does not say: a tension head every week (and at each venue), a
scale every month, a swing machine twice a year, the others once (common practice, no source)."""


def overdue(content: Content, today: date) -> Iterator[Fault]:
    """No instrument's last check is longer ago than the instrument allows."""
    shop = content.workshop
    for i, instrument in enumerate(shop.record.instruments if shop else ()):
        days = due_after(instrument)
        if not instrument.checks or shop is None:
            continue
        last = max(range(len(instrument.checks)), key=lambda k: (instrument.checks[k].date, k))
        age = (today - instrument.checks[last].date).days
        if age > days:
            what = worded(
                "The {kind} was last checked {age} days ago; every {days} days is wanted.",
                kind=instrument.kind,
                age=age,
                days=days,
            )
            venue = worded(" It is checked at each venue, too.") if instrument.kind == "tension head" else ""
            do = worded(
                "Hold it against something known and add the line, or change 'check_every'.{venue}", venue=venue
            )
            yield Fault(shop.at("instruments", i, "checks", last, "date"), "check-overdue", what, do, "warning")


def due_after(instrument: Instrument) -> int:
    """Days after which a check of an instrument is overdue."""
    if instrument.check_every:
        return round(instrument.check_every.value / MINUTES_A_DAY)
    return USUAL_DAYS[instrument.kind]


SHOWS = {
    "scale": MASS,
    "balance board": LENGTH,
    "swing machine": INERTIA,
    "tension head": TENSION,
    "ring reader": RING,
}
"""What each kind of instrument shows."""

ROD_KINDS = ("scale", "balance board", "swing machine")
"""The kinds for which a rod says what they should show."""


def units(content: Content, today: date) -> Iterator[Fault]:
    """An instrument's figures are in a unit that it can show, and a rod checks only what a rod can."""
    shop = content.workshop
    for i, instrument in enumerate(shop.record.instruments if shop else ()):
        for path, quantity in _figures(instrument):
            shown = SHOWS[instrument.kind]
            if shop and not is_of(quantity, shown):
                what = worded("A {kind} does not show '{quantity}'.", kind=instrument.kind, quantity=quantity.text)
                yield Fault(
                    shop.at("instruments", i, *path),
                    "wrong-unit",
                    what,
                    worded("Write it as in '{example}'.", example=shown.example),
                )
        for k, check in enumerate(instrument.checks):
            if shop and check.of == "twistweight" and instrument.kind != "swing machine":
                what = worded("A {kind} shows no twistweight.", kind=instrument.kind)
                do = worded("Write 'of: twistweight' at the check of a swing machine's cradle only.")
                yield Fault(shop.at("instruments", i, "checks", k, "of"), "check-against", what, do)
            if shop and check.rod and instrument.kind not in ROD_KINDS:
                what = worded("A rod says nothing of what a {kind} should show.", kind=instrument.kind)
                do = worded("Write what it was held against as 'known: …'.")
                yield Fault(shop.at("instruments", i, "checks", k, "rod"), "check-against", what, do)


def readers(content: Content, today: date) -> Iterator[Fault]:
    """The reader that a string bed was read with is one of the workshop's."""
    listed = content.workshop.record.instruments if content.workshop else ()
    names = [instrument.name for instrument in listed if instrument.kind == "ring reader"]
    for entry in content.frames.values():
        for i, job in enumerate(entry.record.jobs):
            for k, reading in enumerate(job.readings):
                if reading.reader and reading.reader not in names:
                    what = worded("There is no ring reader '{reader}' in workshop.yaml.", reader=reading.reader)
                    do = closest(reading.reader, names) or worded(
                        "Add it to 'instruments' there, or leave out who read."
                    )
                    yield Fault(entry.at("jobs", i, "readings", k, "reader"), "unknown-reader", what, do)


def _figures(instrument: Instrument) -> Iterator[tuple[tuple[str | int, ...], Quantity]]:
    yield ("resolution",), instrument.resolution
    if instrument.repeatability:
        yield ("repeatability",), instrument.repeatability
    for k, check in enumerate(instrument.checks):
        yield ("checks", k, "reads"), check.reads
        if check.known:
            yield ("checks", k, "known"), check.known
