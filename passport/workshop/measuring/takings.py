"""The figures of a frame's or a blank's readings, each with the state that the frame was in when it was taken."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from passport.physics.geometry import RacquetShape
from passport.records.masses import counted
from passport.records.schema.catalogue import Part
from passport.records.schema.frame import Blank, Frame, Reading
from passport.records.timeline import Holding, steps
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.dimensions import assumed_length
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.measured import figures
from passport.workshop.measuring.states import State, Taken, Takings

_Read = tuple[Reading, date, Holding, Instruments]
"""A reading, its day, what was on the frame, and the instruments that it was taken with."""


def taken_of_frame(
    frame: Frame, parts: Mapping[str, Part], shape: RacquetShape, instruments: Instruments, owner: str
) -> dict[QuantityName, Taken]:
    """The newest figure of each quantity of a frame, with the state that it was taken in."""
    return _newest(takings_of_frame(frame, parts, shape, instruments, owner))


def takings_of_frame(
    frame: Frame, parts: Mapping[str, Part], shape: RacquetShape, instruments: Instruments, owner: str
) -> Iterator[Takings]:
    """The figures of each reading of a frame with the state that they were taken in, from the newest to the oldest."""
    return _takings(_frame_readings(frame, parts, instruments), parts, shape, owner)


def taken_of_blank(
    blank: Blank, parts: Mapping[str, Part], shape: RacquetShape, instruments: Instruments, owner: str, today: date
) -> dict[QuantityName, Taken]:
    """The newest figure of each quantity of a blank; measured when it came in, or ``today`` where nobody noted it."""
    day, holding = blank.received or today, Holding(parts=blank.build)
    # a figure in a state that nobody wrote down belongs to no state
    readings = ((r, day, holding, instruments) for r in reversed(blank.readings) if r.state)
    return _newest(_takings(readings, parts, shape, owner))


def _frame_readings(frame: Frame, parts: Mapping[str, Part], instruments: Instruments) -> Iterator[_Read]:
    """Readings from the newest to the oldest, those before a job's work last; of what was read elsewhere nothing is known
    of the instruments."""
    for step in reversed(steps(frame, parts)):
        for when, holding in (("after", step.after), ("before", step.before)):
            for reading in reversed(step.job.readings):
                if reading.when == when:
                    yield reading, step.job.date, holding, Instruments() if step.job.elsewhere else instruments


def _newest(takings: Iterable[Takings]) -> dict[QuantityName, Taken]:
    found: dict[QuantityName, Taken] = {}
    for taken in takings:
        found = {**taken, **found}
    return found


def _takings(
    readings: Iterable[_Read],
    parts: Mapping[str, Part],
    shape: RacquetShape,
    owner: str,
) -> Iterator[Takings]:
    lengths = assumed_length(shape)
    for i, (reading, day, holding, instruments) in enumerate(readings):
        on = tuple(f for f in holding.parts if counted(f, parts, reading.without))
        strung = reading.strung
        state = State(on, strung, holding.stringing if strung else None)
        name = f"{owner}, {day.isoformat()}, {i}"
        read = figures(reading, day, shape.length, instruments, name, lengths)
        yield {quantity: Taken(figure, state) for quantity, figure in read.items()}
