"""Readings: the value that holds now, brought to the usual axis, and the string bed that each acoustic one belongs to."""

from dataclasses import replace
from datetime import date

from passport.physics.geometry import RacquetShape
from passport.physics.moments import SWING_AXIS_MM, Moments
from passport.physics.uncertainty import Estimate
from passport.records import timed
from passport.records.schema.frame import Reading
from passport.records.timeline import Holding, Step
from passport.workshop.facts.facts import BedReading, JobFacts, MeasuredFacts, QuantityName, StringingFacts
from passport.workshop.measuring.dimensions import assumed_length, points_on
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.measured import estimates


def latest(
    done: tuple[Step, ...], quantity: QuantityName, shape: RacquetShape, instruments: Instruments
) -> tuple[Estimate | None, date | None, float | None, float | None]:
    """The last finished reading taken with the parts and the kinds of string that are on the frame now: corrected, its
    day, what it showed (None for a figure that was timed), and a balance in points on an assumed length as it was
    written."""
    for step in reversed(done):
        if _made_of(step.after) == _made_of(done[-1].after):
            for reading in reversed(step.job.readings):
                value = value_of(reading, quantity, shape)
                if value is not None and _finished(reading):
                    tools = Instruments() if step.job.elsewhere else instruments
                    figures = estimates(reading, step.job.date, shape.length, tools, assumed_length(shape))
                    return figures[quantity], step.job.date, value, _points(reading, quantity, shape)
    return None, None, None, None


def _points(reading: Reading, quantity: QuantityName, shape: RacquetShape) -> float | None:
    """A balance in points, head light, where the length that its mm hang on is assumed."""
    return points_on(reading.balance, shape) if quantity == "balance" else None


def _made_of(holding: Holding) -> tuple[object, ...]:
    """What a frame's mass and inertia hang on: its parts and strings, so that a renewed overgrip changes nothing."""
    parts = sorted(
        repr((p.part, p.place.spot, p.mass and p.mass.value, p.length and p.length.value)) for p in holding.parts
    )
    both = holding.stringing.both if holding.stringing else ()
    return (*parts, *((s.string, s.gauge and s.gauge.value) for s in both))


def _finished(reading: Reading) -> bool:
    """Whether a reading was taken in the state that the player holds: strung, nothing left off, after the work."""
    return reading.strung and not reading.without and reading.when == "after"


def value_of(reading: Reading, quantity: QuantityName, shape: RacquetShape) -> float | None:
    """What a reading says of one quantity, g, mm or kg·cm²; a swingweight about the usual axis."""
    if quantity == "balance":
        return reading.balance.mm(shape.length) if reading.balance else None
    if quantity == "swingweight" and (reading.pendulum or reading.bifilar) and not reading.swingweight:
        return _timed(reading, shape)
    if quantity == "twistweight" and not reading.twistweight:
        return timed.twistweight(reading)
    if quantity == "swingweight" and reading.axis and reading.axis.value != SWING_AXIS_MM:
        return _about_usual_axis(reading, shape)
    found = getattr(reading, quantity)
    return found.value if found else None


def _timed(reading: Reading, shape: RacquetShape) -> float | None:
    """A swingweight that was timed, kg·cm²; None where it cannot have been, which `passport check` reports."""
    try:
        return timed.swingweight(reading, shape.length)
    except ValueError:
        return None


def _about_usual_axis(reading: Reading, shape: RacquetShape) -> float | None:
    """A swingweight read about another axis, as it is about the usual one, kg·cm²; it takes mass and balance."""
    if not (reading.mass and reading.balance and reading.swingweight and reading.axis):
        return None
    balance, axis = reading.balance.mm(shape.length), reading.axis.value
    return Moments.from_measured(reading.mass.value, balance, reading.swingweight.value, axis=axis).swingweight()


def _ring(reading: Reading, day: date) -> BedReading | None:
    if not reading.ring:
        return None
    return BedReading(reading.ring.amount, reading.ring.unit, reading.age.value if reading.age else None, day)


def measured(reading: Reading, step: Step, shape: RacquetShape) -> MeasuredFacts:
    """A reading of a job as it is shown."""
    before = reading.when == "before"
    known = reading.state or (step.before if before else step.after).stringing
    return MeasuredFacts(
        state=("strung" if reading.strung else "bare") if known else "",
        before=before,
        without=reading.without,
        mass=value_of(reading, "mass", shape),
        balance=value_of(reading, "balance", shape),
        swingweight=value_of(reading, "swingweight", shape),
        twistweight=value_of(reading, "twistweight", shape),
        ring=_ring(reading, step.job.date),
        points=_points(reading, "balance", shape),
    )


def with_readings(jobs: tuple[JobFacts, ...]) -> dict[int, StringingFacts]:
    """Each stringing with the readings taken while it was in: its own job's after it, later ones until the next."""
    beds: dict[int, StringingFacts] = {}
    current: int | None = None
    for i, job in enumerate(jobs):
        for before in (True, False):
            if not before and job.stringing:
                current, beds[i] = i, job.stringing
            found = tuple(m.ring for m in job.measured if m.ring and m.before == before)
            if current is not None and found:
                beds[current] = replace(beds[current], readings=beds[current].readings + found)
    return beds
