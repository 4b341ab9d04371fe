"""Mass, balance and swingweight must be able to belong to one body."""

from collections.abc import Iterator
from datetime import date

from passport.physics.plausible import plausible
from passport.records.faults import Fault, Place
from passport.records.frame import Blank, Frame, Reading
from passport.records.load import Content, Entry


def readings(content: Content, today: date) -> Iterator[Fault]:
    """Each full reading of a frame or a blank is possible for a racquet of its length."""
    for frame in content.frames.values():
        for i, job in enumerate(frame.record.jobs):
            for k, reading in enumerate(job.readings):
                yield from _impossible(content, frame, reading, frame.at("jobs", i, "readings", k, "swingweight"))
    for blank in content.blanks.values():
        for k, reading in enumerate(blank.record.readings):
            yield from _impossible(content, blank, reading, blank.at("readings", k, "swingweight"))


def setups(content: Content, today: date) -> Iterator[Fault]:
    """Each frame's targets are possible for a racquet of its length."""
    for entry in content.frames.values():
        setup, length = entry.record.setup, _length(content, entry.record.model)
        if setup.mass and setup.balance and setup.swingweight and length:
            figures = (setup.mass.target.value, setup.balance.mm(length), setup.swingweight.target.value)
            yield from _fault(figures, 100.0, length, entry.at("setup", "swingweight"))


def _impossible(
    content: Content, entry: Entry[Frame] | Entry[Blank], reading: Reading, place: Place
) -> Iterator[Fault]:
    length = _length(content, entry.record.model)
    if reading.mass and reading.balance and reading.swingweight and length:
        axis = reading.axis.value if reading.axis else 100.0
        figures = (reading.mass.value, reading.balance.mm(length), reading.swingweight.value)
        yield from _fault(figures, axis, length, place)


def _fault(figures: tuple[float, float, float], axis: float, length: float, place: Place) -> Iterator[Fault]:
    found = plausible(*figures, length, axis)
    if not found:
        mass, balance, swingweight = figures
        what = f"{mass:g} g, {balance:.1f} mm and {swingweight:g} kg·cm² cannot belong to one racquet: {found.reason}."
        do = "Measure again; look for a slipped digit, a wrong axis, or inches read as centimetres."
        yield Fault(place, "impossible-body", what, do)


def _length(content: Content, model: str) -> float | None:
    entry = content.models.get(model)
    return entry.record.length.value if entry else None
