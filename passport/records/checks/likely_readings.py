"""Is a reading likely? Each figure against the sport's, and against the frame's last in the same state."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from passport.physics.geometry import RacquetShape
from passport.physics.moments import SWING_AXIS_MM, Moments
from passport.physics.plausible import plausible
from passport.physics.stringbed import StringBed, bed_share
from passport.records.language.worded import worded
from passport.records.masses import densities, fitted_mass
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Fitted, Reading
from passport.records.schema.quantities import STIFFNESS_UNITS, Quantity, RingScale, bare_unit, ring_scale
from passport.records.schema.usual_values import READ_OF_PULL, USUAL_VALUES, UsualRange, UsualValues
from passport.records.strung.zonedpulls import even_pulls
from passport.records.timeline import Holding, Step

STEPS: Final[Mapping[str, tuple[float, float]]] = {
    "mass": (6.0, 0.025),
    "balance": (7.0, 0.0),
    "swingweight": (6.0, 0.045),
    "twistweight": (0.6, 0.08),
}
"""How far a figure may be from the frame's last in the same state: so much, or that share of it, whichever is more
(common practice, no source). What the parts do that came on since by the record is added first."""
RING_STEP: Final = 0.16
"""How far a reading in Hz may be from the last of the same strings at about the same pull, as a share of it; a stiffness,
which goes with the tension and so with the square of that, twice as far."""
HERTZ_OF_EXPECTED: Final = UsualRange(0.75, 1.22)
"""A reading in Hz as a share of what fresh strings let expect: beds hold 0.55 to 0.85 of their pull when fresh, and lose up
to a fifth of that (common practice, no source)."""
STIFFNESS_OF_EXPECTED: Final = UsualRange(0.3, 1.6)
"""The same of a stiffness, which depends on how the reader pushes (common practice, no source)."""
PUSHED_MM: Final = 30.0
"""Radius of the part of a bed that a reader of stiffness pushes in, mm (common practice, no source): a round membrane of
radius R with tension T per length that a disc of radius r pushes in has the stiffness 2πT/ln(R/r) (Laplace's equation)."""

Place = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """A value that is asked about: where it stands in the record, and the question as a person reads it."""

    path: Place
    what: str
    meant: str = ""


def blank_doubts(blank: Blank, model: FrameModel) -> Iterator[Question]:
    """All that is asked about in the readings of a blank."""
    usual = USUAL_VALUES[model.sport]
    for k, reading in enumerate(blank.readings):
        if impossible(reading, model):  # an error of its own
            continue
        for name, quantity, value in _figures(reading, model):
            yield from in_sport(("readings", k, name), name, quantity, value, model, usual)


def _figures(reading: Reading, model: FrameModel) -> Iterator[tuple[str, Quantity | None, float]]:
    """The figures of a reading that were read off an instrument: name, as written, and in g, mm, kg·cm²."""
    for name in ("mass", "swingweight", "twistweight"):
        quantity: Quantity | None = getattr(reading, name)
        if quantity and not (name == "swingweight" and reading.axis):
            yield name, quantity, quantity.value
    if reading.balance:
        yield "balance", None, reading.balance.mm(model.shape().length)


def reading_doubts(
    step: Step,
    before: tuple[Step, ...],
    model: FrameModel,
    usual: UsualValues,
    parts: Mapping[str, Part],
    strings: Mapping[str, StringType],
) -> Iterator[Question]:
    """All that is asked about in the readings of one job; ``before`` are the jobs before it."""
    for k, reading in enumerate(step.job.readings):
        path: Place = ("jobs", step.index, "readings", k)
        held = step.before if reading.when == "before" else step.after
        if impossible(reading, model):  # an error of its own
            continue
        for name, quantity, value in _figures(reading, model):
            strange = tuple(in_sport((*path, name), name, quantity, value, model, usual))
            yield from strange or _near_last((*path, name), name, value, (reading, held), before, model, parts)
        if reading.ring:
            expected = _expected_ring(held, model, strings)
            yield from _ring((*path, "ring"), reading, held, before, model, usual, expected)


def impossible(reading: Reading, model: FrameModel) -> bool:
    """Whether the figures cannot belong to one racquet of the model's length."""
    shape = model.shape()
    balance = reading.balance.mm(shape.length) if reading.balance else None
    if balance is not None and not 0 < balance < shape.length:
        return True
    if not (reading.mass and balance and reading.swingweight):
        return False
    axis = reading.axis.value if reading.axis else SWING_AXIS_MM
    return not plausible(reading.mass.value, balance, reading.swingweight.value, shape.length, axis)


def in_sport(
    path: Place, name: str, quantity: Quantity | None, value: float, model: FrameModel, usual: UsualValues
) -> Iterator[Question]:
    """A figure is what frames of the sport have; ``value`` in g, mm, kg·cm², ``quantity`` as it is written."""
    span: UsualRange = getattr(usual, name)
    compared = value / model.shape().length if name == "balance" else value
    if not span.holds(compared):
        unit = {"mass": "g", "balance": "mm"}.get(name, "kg·cm²")
        written = quantity.text if quantity else worded("{value:.0f} mm from the butt", value=value)
        as_read = f" ({value:.4g} {unit})" if quantity and bare_unit(quantity.unit) != bare_unit(unit) else ""
        yield Question(
            path,
            worded(
                "{written}{as_read} is no {name} of a {sport} frame.",
                written=written,
                as_read=as_read,
                name=name,
                sport=model.sport,
            ),
            worded("Look for a slipped digit or unit."),
        )


def _near_last(
    path: Place,
    name: str,
    value: float,
    now: tuple[Reading, Holding],
    before: tuple[Step, ...],
    model: FrameModel,
    parts: Mapping[str, Part],
) -> Iterator[Question]:
    """A figure is near the last one that was read in the same state."""
    reading, held = now
    last = _last_like(name, reading, held, before, model)
    if last is None:
        return
    was, then, day, mass = last
    change = _came_on(held, then, parts, model.shape())
    expected = _expected(name, was, mass or (reading.mass.value if reading.mass else None), change)
    if expected is None:  # something came on or off of which nobody knows what it does
        return
    least, share = STEPS[name]
    if abs(value - expected) > max(least, share * expected):
        unit = {"mass": "g", "balance": "mm"}.get(name, "kg·cm²")
        what = worded(
            "A {name} of {value:.1f} {unit} is far from the {was:.1f} {unit} that it read on {day}.",
            name=name,
            value=value,
            unit=unit,
            was=was,
            day=day,
        )
        yield Question(path, what, worded("Look for swapped digits, or a part that is not in the record."))


def _last_like(
    name: str, reading: Reading, held: Holding, before: tuple[Step, ...], model: FrameModel
) -> tuple[float, Holding, date, float | None] | None:
    """The last figure read in the same state, with what was on the frame, the day, and its mass then."""
    for step in reversed(before):
        for other in reversed(step.job.readings):
            then = step.before if other.when == "before" else step.after
            if other.strung == reading.strung and other.without == reading.without:
                value = next((v for n, _, v in _figures(other, model) if n == name), None)
                if value is not None:
                    return value, then, step.job.date, other.mass.value if other.mass else None
    return None


def _came_on(held: Holding, then: Holding, parts: Mapping[str, Part], shape: RacquetShape) -> Moments | None:
    """The parts on a frame less those that were on it then; None where the mass of one of them is not known."""
    both = [[_moments(f, parts, shape) for f in holding.parts] for holding in (held, then)]
    if held.parts != then.parts and any(moments is None for side in both for moments in side):
        return None
    now, was = (Moments.total([m for m in side if m]) for side in both)
    return now - was


def _moments(fitted: Fitted, parts: Mapping[str, Part], shape: RacquetShape) -> Moments | None:
    mass = fitted_mass(fitted, parts, shape.throat)
    if mass is None:
        return None
    low, high = fitted.place.extent(shape)
    x = (low + high) / 2
    return Moments(mass, mass * x, mass * x**2, None)


def _expected(name: str, was: float, mass: float | None, change: Moments | None) -> float | None:
    """A figure with what came on since; None where that cannot be told."""
    if change is None:
        return None
    if name == "mass":
        return was + change.m0
    if name == "swingweight":
        return was + change.swingweight()
    if name == "balance" and change.m0:
        return (was * mass + change.m1) / (mass + change.m0) if mass else None
    return was


@dataclass(frozen=True, slots=True)
class ExpectedRing:
    """What strings at their pulls let expect of a reading, in Hz and as a stiffness in N/cm."""

    hertz: float
    stiffness: float


def _expected_ring(held: Holding, model: FrameModel, strings: Mapping[str, StringType]) -> ExpectedRing | None:
    """The reading of the fresh strings that are in; None where a string's mass or the head's size is not known."""
    stringing, shape = held.stringing, model.shape()
    if stringing is None or shape.is_assumed("head_length", "head_width", "aspect", "mains", "crosses"):
        return None
    known = densities(stringing, strings)
    if known is None:
        return None
    mains, crosses = (pull * bed_share(model.sport).value for pull in even_pulls(stringing, model))
    per_mm = math.sqrt(mains / shape.spacing[0] * crosses / shape.spacing[1])
    stiffness = 2 * math.pi * per_mm / math.log(math.sqrt(shape.head_length * shape.head_width) / 2 / PUSHED_MM)
    return ExpectedRing(StringBed.of(shape, *known).frequency(mains, crosses), 10 * stiffness)


def _ring(
    path: Place,
    reading: Reading,
    held: Holding,
    before: tuple[Step, ...],
    model: FrameModel,
    usual: UsualValues,
    expected: ExpectedRing | None,
) -> Iterator[Question]:
    """A string bed rings as those of the sport, as its own strings at their pulls and as this frame's did; a reader's
    tension is below the pull."""
    ring = reading.ring
    assert ring is not None, "asked of readings with one alone"
    scale = ring_scale(ring)
    hertz = scale == "Hz"
    these = (
        worded(" These strings at their pulls let expect about {hertz:.0f} Hz.", hertz=round(expected.hertz, -1))
        if expected
        else ""
    )
    if hertz and not usual.hertz.holds(ring.value):
        meant = worded("Readers that show a tension say so in lb or kg: write that unit.") if ring.amount < 100 else ""
        yield Question(
            path,
            worded(
                "No string bed of a {sport} frame rings at {ring}.{these}",
                sport=model.sport,
                ring=ring.text,
                these=these,
            ),
            meant,
        )
        return
    if hertz and expected and not HERTZ_OF_EXPECTED.holds(ring.value / expected.hertz):
        yield Question(
            path,
            worded("{ring} is far from what was to be expected.{these}", ring=ring.text, these=these),
            worded("Are string and pulls right?"),
        )
        return
    if scale == "stiffness" and expected and not STIFFNESS_OF_EXPECTED.holds(ring.value / expected.stiffness):
        about = f"{expected.stiffness / STIFFNESS_UNITS[bare_unit(ring.unit)]:.0f} {ring.unit}"
        what = worded(
            "{ring} is far from what was to be expected: these strings at their pulls are about {about}.",
            ring=ring.text,
            about=about,
        )
        yield Question(path, what, worded("Is it the unit that the reader shows?"))
        return
    pull = held.stringing.mains.tension.value if held.stringing else None
    if scale == "tension" and pull and not READ_OF_PULL.holds(ring.value / pull):
        assert held.stringing is not None, "the pull is that of the strings in"
        what = worded(
            "A reading of {ring} does not go with a pull of {tension}.",
            ring=ring.text,
            tension=held.stringing.mains.tension.text,
        )
        yield Question(path, what, worded("Is it the unit that the reader shows?"))
        return
    last = _last_ring(held, before, scale) if scale != "tension" else None
    if last and abs(ring.value / last.value - 1) > (RING_STEP if hertz else 2 * RING_STEP):
        yield Question(
            path,
            worded("{ring} is far from the {last} that these strings read before.", ring=ring.text, last=last.text),
        )


def _last_ring(held: Holding, before: tuple[Step, ...], scale: RingScale) -> Quantity | None:
    """The last reading on the same scale of the same strings at about the same pull."""
    for step in reversed(before):
        for other in reversed(step.job.readings):
            then = step.before if other.when == "before" else step.after
            ring = other.ring
            if ring and ring_scale(ring) == scale and _same_bed(held, then):
                return ring
    return None


def _same_bed(one: Holding, other: Holding) -> bool:
    if one.stringing is None or other.stringing is None:
        return False
    pairs = zip(one.stringing.both, other.stringing.both, strict=True)
    return all(a.string == b.string and abs(a.tension.value / b.tension.value - 1) < 0.1 for a, b in pairs)
