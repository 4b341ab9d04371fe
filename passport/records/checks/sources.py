"""What a record leaves open that somebody should know of: a reading's state, a gauge number, a grip nobody can read."""

from collections.abc import Iterator
from datetime import date

from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema import as_printed
from passport.records.schema.frame import Blank, Frame


def states(content: Content, today: date) -> Iterator[Fault]:
    """Each weighing of a blank says whether it was strung: nobody plays it, so there is no usual state."""
    do = worded("Add 'state: bare' or 'state: strung'. Until then no plan or forecast takes this reading.")
    what = worded("Nobody wrote down whether it was strung when it was measured.")
    for blank in content.blanks.values():
        for k, reading in enumerate(blank.record.readings):
            if reading.state is None:
                yield Fault(blank.at("readings", k), "no-state", what, do, "warning")


def gauge_numbers(content: Content, today: date) -> Iterator[Fault]:
    """A string's thickness is in mm: gauge numbers differ by source."""
    for entry in content.strings.values():
        span = as_printed.gauge_span(entry.record.gauge)
        if span:
            read = f"{entry.record.gauge.value:.2f} mm"
            what = worded(
                "Gauge {gauge} is taken as {read}; makers print {span:.2f} to {span2:.2f} mm for it.",
                gauge=entry.record.gauge.text,
                read=read,
                span=span[0],
                span2=span[1],
            )
            do = worded("Write the mm on the packet, or measure the string: its mass goes with the square.")
            yield Fault(entry.at("gauge"), "gauge-number", what, do, "warning")


def grips(content: Content, today: date) -> Iterator[Fault]:
    """A grip size is written as makers print them."""
    entries: list[Entry[Frame] | Entry[Blank]] = [*content.frames.values(), *content.blanks.values()]
    for entry in entries:
        model = content.models.get(entry.record.model)
        digits = any(c.isdigit() for c in entry.record.grip)
        if model and digits and not as_printed.is_grip(entry.record.grip, model.record.sport):
            what = worded("'{grip}' is not a grip size as makers print them.", grip=entry.record.grip[:30])
            do = worded(
                "Write 'L3', '4 3/8' or '3 1/4 in', for badminton 'G5'; how it is built up belongs under 'build'."
            )
            yield Fault(entry.at("grip"), "grip-size", what, do, "warning")
