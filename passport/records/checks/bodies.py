"""Mass, balance and swingweight must be able to belong to one body."""

from collections.abc import Iterator
from datetime import date

from passport.physics.moments import SWING_AXIS_MM
from passport.physics.plausible import plausible
from passport.records import timed
from passport.records.faults import Fault
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content, Entry
from passport.records.schema.balance import BalanceValue
from passport.records.schema.frame import Blank, Frame, Reading
from passport.records.yaml.yamltext import Path

MEASURE_AGAIN = unsaid("Measure again; look for a slipped digit, a wrong axis, or inches read as centimetres.")


def readings(content: Content, today: date) -> Iterator[Fault]:
    """Each reading of a frame or a blank is possible for a racquet of its length."""
    for frame in content.frames.values():
        for i, job in enumerate(frame.record.jobs):
            for k, reading in enumerate(job.readings):
                yield from _impossible(content, frame, reading, ("jobs", i, "readings", k))
    for blank in content.blanks.values():
        for k, reading in enumerate(blank.record.readings):
            yield from _impossible(content, blank, reading, ("readings", k))


def setups(content: Content, today: date) -> Iterator[Fault]:
    """Each frame's targets are possible for a racquet of its length."""
    for entry in content.frames.values():
        setup, length = entry.record.setup, _length(content, entry.record.model)
        if length is None:
            continue
        yield from _off_the_frame(entry, setup.balance, length, ("setup",))
        if setup.mass and setup.balance and setup.swingweight:
            figures = (setup.mass.target.value, setup.balance.mm(length), setup.swingweight.target.value)
            yield from _not_one_body(entry, figures, length, SWING_AXIS_MM, ("setup",))


def _impossible(content: Content, entry: Entry[Frame] | Entry[Blank], reading: Reading, path: Path) -> Iterator[Fault]:
    length = _length(content, entry.record.model)
    if length is None:
        return
    yield from _off_the_frame(entry, reading.balance, length, path)
    if reading.mass and reading.balance:
        figures = (reading.mass.value, reading.balance.mm(length))
        if reading.swingweight:
            axis = reading.axis.value if reading.axis else SWING_AXIS_MM
            yield from _not_one_body(entry, (*figures, reading.swingweight.value), length, axis, path)
        elif reading.pendulum or reading.bifilar:
            yield from _timed(entry, reading, length, path)


def _timed(entry: Entry[Frame] | Entry[Blank], reading: Reading, length: float, path: Path) -> Iterator[Fault]:
    """A timed swing is possible for a racquet of this mass and balance."""
    key = "pendulum" if reading.pendulum else "bifilar"
    try:
        swung = timed.swingweight(reading, length)
    except ValueError as error:
        yield Fault(
            entry.at(*path, key),
            "impossible-body",
            worded("This cannot be timed: {error}.", error=error),
            worded(MEASURE_AGAIN),
        )
        return
    if swung is not None and reading.mass and reading.balance:
        found = plausible(reading.mass.value, reading.balance.mm(length), swung, length)
        if not found:
            what = worded(
                "Timed so, this frame would swing {swung:.0f} kg·cm², and {reason}.", swung=swung, reason=found.reason
            )
            yield Fault(entry.at(*path, key), "impossible-body", what, worded(MEASURE_AGAIN))


def _off_the_frame(
    entry: Entry[Frame] | Entry[Blank], balance: BalanceValue | None, length: float, path: Path
) -> Iterator[Fault]:
    if balance and not 0 < balance.mm(length) < length:
        what = worded(
            "A balance of {mm:g} mm is not between the butt and the tip of a {length:g} mm frame.",
            mm=balance.mm(length),
            length=length,
        )
        yield Fault(entry.at(*path, "balance"), "impossible-body", what, worded(MEASURE_AGAIN))


def _not_one_body(
    entry: Entry[Frame] | Entry[Blank], figures: tuple[float, float, float], length: float, axis: float, path: Path
) -> Iterator[Fault]:
    found = plausible(*figures, length, axis)
    if found or found.fault in ("mass", "balance"):
        return
    mass, balance, swingweight = figures
    what = worded(
        "{mass:g} g, {balance:.1f} mm and {swingweight:g} kg·cm² cannot belong to one racquet: {reason}.",
        mass=mass,
        balance=balance,
        swingweight=swingweight,
        reason=found.reason,
    )
    do = worded(
        "{measure_again} With this mass and balance, {low:.0f} to {high:.0f} kg·cm² is possible.",
        measure_again=worded(MEASURE_AGAIN),
        low=found.low,
        high=found.high,
    )
    yield Fault(entry.at(*path, "swingweight"), "impossible-body", what, do)


def _length(content: Content, model: str) -> float | None:
    entry = content.models.get(model)
    return entry.record.shape().length if entry else None
