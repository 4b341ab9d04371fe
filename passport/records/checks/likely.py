"""Is it likely? Each new value against the frame's own history, its model, its sport, and the unit that was probably meant.

A value that is asked about is not wrong: whoever is sure of it says so, and the job keeps that as its remark ``sure``.
Each value is asked about once, by the first of these that finds it strange.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from passport.physics import units as u
from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments
from passport.records.faults import Fault
from passport.records.load import Content, Entry
from passport.records.masses import fitted_mass
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Fitted, Frame, Reading, Strung
from passport.records.schema.quantities import FREQUENCY_UNITS, Quantity, bare_unit
from passport.records.schema.usual_values import (
    BELOW_MAKERS,
    CROSSES_OF_MAINS,
    READ_OF_PULL,
    USUAL_VALUES,
    Span,
    UsualValues,
)
from passport.records.timeline import Holding, Step, steps

RULE: Final = "unlikely"
PULL_STEP: Final = 0.14
"""How far a pull may be from the frame's last without a question, as a share of it (common practice, no source)."""
STEPS: Final[Mapping[str, tuple[float, float]]] = {
    "mass": (6.0, 0.025),
    "balance": (7.0, 0.0),
    "swingweight": (6.0, 0.045),
    "twistweight": (0.6, 0.08),
}
"""How far a figure may be from the frame's last in the same state: so much, or that share of it, whichever is more
(common practice, no source). A mass first has the recorded parts added that came on since."""
RING_STEP: Final = 0.16
"""How far a reading in Hz may be from the last of the same strings at about the same pull, as a share of it."""

Place = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Doubt:
    """A value that is asked about: where it stands in the record, and the question as a person reads it."""

    path: Place
    what: str
    meant: str = ""


def doubtful(content: Content, today: date) -> Iterator[Fault]:
    """No job, reading or blank holds a value that is far from all that is usual, unless somebody is sure of it."""
    parts = {name: entry.record for name, entry in content.parts.items()}
    strings = {name: entry.record for name, entry in content.strings.items()}
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        if model:
            yield from _faults(entry, frame_doubts(entry.record, model.record, parts, strings))
    for blank in content.blanks.values():
        model = content.models.get(blank.record.model)
        if model:
            yield from _faults(blank, blank_doubts(blank.record, model.record))


def _faults(entry: Entry[Frame] | Entry[Blank], doubts: Iterable[Doubt]) -> Iterator[Fault]:
    for doubt in doubts:
        do = f"{doubt.meant} " if doubt.meant else ""
        sure = "If it is right, say so with '--sure', or write 'sure: yes' into the job."
        yield Fault(entry.at(*doubt.path), RULE, doubt.what, f"{do}{sure}", "warning")


def frame_doubts(
    frame: Frame, model: FrameModel, parts: Mapping[str, Part], strings: Mapping[str, StringType]
) -> Iterator[Doubt]:
    """All that is asked about in the jobs of a frame, but for those that somebody was sure of."""
    usual, done = USUAL_VALUES[model.sport], steps(frame, parts)
    for step in done:
        if step.job.sure:
            continue
        before = done[: step.index]
        yield from _twice(step, before)
        if step.job.strings:
            yield from _pulls(step, before, model, usual)
            yield from _thickness(step, model, usual, strings)
        yield from _readings(step, before, model, usual, parts)


def blank_doubts(blank: Blank, model: FrameModel) -> Iterator[Doubt]:
    """All that is asked about in the readings of a blank."""
    usual = USUAL_VALUES[model.sport]
    for k, reading in enumerate(blank.readings):
        for name, quantity, value in _figures(reading, model):
            yield from _in_sport(("readings", k, name), name, quantity, value, model, usual)


# --- strings ---------------------------------------------------------------------------------------------------


def _twice(step: Step, before: tuple[Step, ...]) -> Iterator[Doubt]:
    """The same job was not recorded on that day already."""
    job = step.job
    for other in before:
        if job.strings and other.job.strings and other.job.date == job.date:
            alike = "with the same strings and tensions " if other.job.strings == job.strings else ""
            yield Doubt(
                ("jobs", step.index, "date"), f"It was strung {alike}on {job.date} already.", "Is it the same job?"
            )
            return
        if job == other.job:
            yield Doubt(("jobs", step.index, "date"), f"The same job stands there for {job.date} already.")
            return


def _pulls(step: Step, before: tuple[Step, ...], model: FrameModel, usual: UsualValues) -> Iterator[Doubt]:
    """Both pulls are near the frame's last, in the maker's range and the sport's, and near each other."""
    strings = step.job.strings
    assert strings is not None, "asked of jobs that strung alone"
    asked = False
    for side in ("mains", "crosses"):
        strung: Strung | None = getattr(strings, side)
        if strung is None:
            continue
        path: Place = ("jobs", step.index, "strings", side, "tension")
        last = _last_pull(before, side)
        found = _pull(strung.tension, last, model, usual)
        if found:
            asked = True
            yield Doubt(path, found, _meant_pull(strung.tension, last, model))
    mains, crosses = (strung.tension.value for strung in strings.both)
    if not asked and not CROSSES_OF_MAINS.holds(crosses / mains):
        what = f"{strings.both[0].tension.text} on the mains and {strings.both[1].tension.text} on the crosses are far apart."
        yield Doubt(("jobs", step.index, "strings", "crosses", "tension"), what)


def _pull(pull: Quantity, last: Quantity | None, model: FrameModel, usual: UsualValues) -> str:
    """What is strange about a pull, or nothing."""
    if not usual.pull.holds(pull.value):
        return f"{pull.text} is not what {model.sport} frames are strung with."
    if last and abs(pull.value / last.value - 1) <= 0.02:
        return (
            ""  # whatever the maker says: this is how it always was, and above the limit there is a warning of its own
        )
    if last and abs(pull.value / last.value - 1) > PULL_STEP:
        return f"{pull.text} is far from the {last.text} that it was strung with the last time."
    low = model.tension.low if model.tension else None
    if low and pull.value < BELOW_MAKERS * low.value:
        return f"{pull.text} is far below the maker's range, which begins at {low.text}."
    return ""


def _last_pull(before: tuple[Step, ...], side: str) -> Quantity | None:
    for step in reversed(before):
        if step.job.strings:
            strung = getattr(step.job.strings, side) or step.job.strings.mains
            pull: Quantity = strung.tension
            return pull
    return None


def _meant_pull(pull: Quantity, last: Quantity | None, model: FrameModel) -> str:
    """The other unit, where the figure fits in that."""
    other, factor = ("lb", u.N_PER_LBF) if bare_unit(pull.unit).startswith("kg") else ("kg", u.N_PER_KGF)
    value = pull.amount * factor
    if last and abs(value / last.value - 1) < PULL_STEP:
        return f"Did you mean {pull.amount:g} {other}? Its last was {last.text}."
    tension = model.tension
    if tension and tension.low and BELOW_MAKERS * tension.low.value <= value <= tension.high.value:
        return f"Did you mean {pull.amount:g} {other}?"
    return f"Did you mean {last.text} again?" if last else ""


def _thickness(step: Step, model: FrameModel, usual: UsualValues, strings: Mapping[str, StringType]) -> Iterator[Doubt]:
    """The strings are as thick as the sport's are."""
    assert step.job.strings is not None, "asked of jobs that strung alone"
    for side in ("mains", "crosses"):
        strung: Strung | None = getattr(step.job.strings, side)
        string = strings.get(strung.string) if strung else None
        gauge = (strung.gauge or string.gauge) if strung and string else None
        if string and gauge and not usual.gauge.holds(gauge.value):
            what = f"{string.name} is {gauge.value:.2f} mm thick, which is no string for {model.sport}."
            yield Doubt(("jobs", step.index, "strings", side, "string"), what)


# --- readings --------------------------------------------------------------------------------------------------


def _figures(reading: Reading, model: FrameModel) -> Iterator[tuple[str, Quantity | None, float]]:
    """The figures of a reading that were read off an instrument: name, as written, and in g, mm, kg·cm²."""
    for name in ("mass", "swingweight", "twistweight"):
        quantity: Quantity | None = getattr(reading, name)
        if quantity and not (name == "swingweight" and reading.axis):
            yield name, quantity, quantity.value
    if reading.balance:
        yield "balance", None, reading.balance.mm(model.shape().length)


def _readings(
    step: Step, before: tuple[Step, ...], model: FrameModel, usual: UsualValues, parts: Mapping[str, Part]
) -> Iterator[Doubt]:
    for k, reading in enumerate(step.job.readings):
        path: Place = ("jobs", step.index, "readings", k)
        held = step.before if reading.when == "before" else step.after
        for name, quantity, value in _figures(reading, model):
            strange = tuple(_in_sport((*path, name), name, quantity, value, model, usual))
            yield from strange or _near_last((*path, name), name, value, (reading, held), before, model, parts)
        if reading.ring:
            yield from _ring((*path, "ring"), reading, held, before, model, usual)


def _in_sport(
    path: Place, name: str, quantity: Quantity | None, value: float, model: FrameModel, usual: UsualValues
) -> Iterator[Doubt]:
    span: Span = getattr(usual, name)
    compared = value / model.shape().length if name == "balance" else value
    if not span.holds(compared):
        unit = {"mass": "g", "balance": "mm"}.get(name, "kg·cm²")
        written = quantity.text if quantity else f"{value:.0f} mm from the butt"
        as_read = f" ({value:.4g} {unit})" if quantity and bare_unit(quantity.unit) != bare_unit(unit) else ""
        yield Doubt(
            path, f"{written}{as_read} is no {name} of a {model.sport} frame.", "Look for a slipped digit or unit."
        )


def _near_last(
    path: Place,
    name: str,
    value: float,
    now: tuple[Reading, Holding],
    before: tuple[Step, ...],
    model: FrameModel,
    parts: Mapping[str, Part],
) -> Iterator[Doubt]:
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
        what = f"A {name} of {value:.1f} {unit} is far from the {was:.1f} {unit} that it read on {day}."
        yield Doubt(path, what, "Look for swapped digits, or a part that is not in the record.")


def _last_like(
    name: str, reading: Reading, held: Holding, before: tuple[Step, ...], model: FrameModel
) -> tuple[float, Holding, date, float | None] | None:
    """The last figure read in the same state, with what was on the frame, the day, and its mass then."""
    strung = reading.strung(held.stringing)
    for step in reversed(before):
        for other in reversed(step.job.readings):
            then = step.before if other.when == "before" else step.after
            if other.strung(then.stringing) == strung and other.without == reading.without:
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
    mass = fitted_mass(fitted, parts)
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


def _ring(
    path: Place, reading: Reading, held: Holding, before: tuple[Step, ...], model: FrameModel, usual: UsualValues
) -> Iterator[Doubt]:
    """A string bed rings as those of the sport and as this frame's did, and a reader's tension is below the pull."""
    ring = reading.ring
    assert ring is not None, "asked of readings with one alone"
    hertz = bare_unit(ring.unit) in FREQUENCY_UNITS
    if hertz and not usual.hertz.holds(ring.value):
        meant = "Readers that show a tension say so in lb or kg: write that unit." if ring.amount < 100 else ""
        yield Doubt(path, f"No string bed of a {model.sport} frame rings at {ring.text}.", meant)
        return
    pull = held.stringing.mains.tension.value if held.stringing else None
    if not hertz and pull and not READ_OF_PULL.holds(ring.value / pull):
        assert held.stringing is not None, "the pull is that of the strings in"
        what = f"A reading of {ring.text} does not go with a pull of {held.stringing.mains.tension.text}."
        yield Doubt(path, what, "Is it the unit that the reader shows?")
        return
    last = _last_ring(reading, held, before, hertz=hertz) if hertz else None
    if last and abs(ring.value / last.value - 1) > RING_STEP:
        yield Doubt(path, f"{ring.text} is far from the {last.text} that these strings read before.")


def _last_ring(reading: Reading, held: Holding, before: tuple[Step, ...], *, hertz: bool) -> Quantity | None:
    """The last reading in the same unit of the same strings at about the same pull."""
    for step in reversed(before):
        for other in reversed(step.job.readings):
            then = step.before if other.when == "before" else step.after
            ring = other.ring
            if ring and (bare_unit(ring.unit) in FREQUENCY_UNITS) == hertz and _same_bed(held, then):
                return ring
    return None


def _same_bed(one: Holding, other: Holding) -> bool:
    if one.stringing is None or other.stringing is None:
        return False
    pairs = zip(one.stringing.both, other.stringing.both, strict=True)
    return all(a.string == b.string and abs(a.tension.value / b.tension.value - 1) < 0.1 for a, b in pairs)
