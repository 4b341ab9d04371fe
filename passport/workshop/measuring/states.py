"""A frame measured in one state, brought to another: bare or strung, with or without each of its parts.

What two states have in common never enters; what one has and the other lacks is predicted from its mass and its place.
Figures of different readings, taken in different states, are brought to one state each by itself.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from passport.physics.body import Body, shifted
from passport.physics.geometry import RacquetShape
from passport.physics.moments import SWING_AXIS_MM, Moments
from passport.physics.uncertainty import Estimate, from_half_width
from passport.physics.units import GMM2_PER_KGCM2
from passport.records.masses import counted, fitted_mass, linear_density
from passport.records.schema.catalogue import Part, StringType
from passport.records.schema.frame import Blank, Fitted, Frame, Reading, Stringing, Strung
from passport.records.timeline import Holding, steps
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.assumed import widened
from passport.workshop.measuring.instruments import Instruments, Values
from passport.workshop.measuring.measured import Figure, figures
from passport.workshop.measuring.placement import lay

PLACED_U: Final = from_half_width(3.0)
"""Standard uncertainty of where a thing lies along the frame, mm: within 3 mm (common practice, no source)."""

WEIGHED_U: Final = 0.05
"""Standard uncertainty of the mass of a thing that was weighed, g (common practice, no source)."""

LISTED_U: Final = 0.03
"""Standard uncertainty of a mass from the catalogue, or of tape from its length, as a share of it (common practice,
no source)."""

STRING_U: Final = {True: 0.02, False: 0.05}
"""Standard uncertainty of the strings' mass as a share of it, by whether the string was weighed (common practice, no
source): its lattice is worked out from the head's size and the count."""


class Missing(ValueError):
    """A figure without which nothing can be worked out: ``what`` lacks and what to ``do``."""

    def __init__(self, what: str, do: str) -> None:
        """Both are sentences for a person."""
        super().__init__(f"{what} {do}")
        self.what, self.do = what, do


@dataclass(frozen=True, slots=True)
class State:
    """What is on a frame: its parts, and whether it is strung and with what (None where nobody wrote it down)."""

    parts: tuple[Fitted, ...] = ()
    strung: bool = False
    stringing: Stringing | None = None


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a figure comes from: measured on ``day``, with what was then ``added`` or taken ``off`` by prediction."""

    day: date
    added: tuple[str, ...] = ()
    off: tuple[str, ...] = ()

    @property
    def measured(self) -> bool:
        """Whether the figure was measured in this very state."""
        return not (self.added or self.off)


@dataclass(frozen=True, slots=True)
class Known:
    """A frame in some state: its ``body``, and the origin of each quantity that is known of it."""

    body: Body
    origins: Mapping[QuantityName, Origin]


@dataclass(frozen=True, slots=True)
class Taken:
    """A figure with the state that the frame was in when it was taken."""

    figure: Figure
    state: State


@dataclass(frozen=True)
class Predictor:
    """Bodies of the things that go onto frames of one model, from the catalogue."""

    shape: RacquetShape
    parts: Mapping[str, Part]
    strings: Mapping[str, StringType]

    def fitted(self, fitted: Fitted, owner: str = "") -> Body:
        """A fitted part. ``owner`` tells it apart from the same part on another frame. Raises `Missing`."""
        mass = fitted_mass(fitted, self.parts)
        part = self.parts.get(fitted.part)
        if mass is None or part is None:
            what = f"Nobody knows what '{fitted.part}' at {fitted.place.text} weighs."
            raise Missing(what, "Weigh one, and write 'mass' where it is fitted or in catalogue/parts.yaml.")
        length = fitted.length or part.covers
        u = WEIGHED_U if fitted.mass else LISTED_U * mass
        laid = lay(part.kind, fitted.place, mass, length.value if length else None, self.shape)
        name = f"{part.name}, {fitted.place.text}, {owner}"
        body = uncertain(laid.moments, u, f"mass of {name}", PLACED_U, f"place of {name}")
        cut = length.value if length else None
        return widened(body, self.shape, lambda shape: lay(part.kind, fitted.place, mass, cut, shape).moments)

    def strung(self, stringing: Stringing) -> Body:
        """The strings inside the head. Raises `Missing` for one that the catalogue does not know the mass of."""
        mains, crosses = (self._density(strung) for strung in stringing.both)
        beds = (Moments.string_bed(self.shape, mains, 0.0), Moments.string_bed(self.shape, 0.0, crosses))
        names = [strung.string for strung in stringing.both]
        body = Body.total(
            uncertain(bed, STRING_U[self.strings[name].weighed is not None] * bed.m0, f"string {name}")
            for bed, name in zip(beds, names, strict=True)
        )
        return widened(body, self.shape, lambda shape: Moments.string_bed(shape, mains, crosses))

    def _density(self, strung: Strung) -> float:
        string = self.strings.get(strung.string)
        density = linear_density(string, strung) if string else None
        if density is None:
            do = "Weigh ten metres, and write 'weighed: … g/m' in catalogue/strings.yaml."
            raise Missing(f"Nobody knows what a metre of '{strung.string}' weighs.", do)
        return density

    def change(self, start: State, end: State, owner: str) -> tuple[Body, Origin | None]:
        """What the frame gains from ``start`` to ``end``; the origin names it, None where nothing changes."""
        gone, new = _without(start.parts, end.parts), _without(end.parts, start.parts)
        body = Body.total([*(self.fitted(f, owner) for f in new), *(self.fitted(f, owner).scaled(-1) for f in gone)])
        added, off = [self._name(f) for f in new], [self._name(f) for f in gone]
        if not _same_strings(start, end):
            if end.strung:
                body, added = body + self._bed(end), [*added, "strings"]
            if start.strung:
                body, off = body - self._bed(start), [*off, "strings"]
        origin = Origin(date.min, tuple(added), tuple(off)) if added or off else None
        return body, origin

    def _bed(self, state: State) -> Body:
        if state.stringing is None:
            do = "Write a job with its 'strings', so that their mass can be worked out."
            raise Missing("No record says which strings are in the frame.", do)
        return self.strung(state.stringing)

    def _name(self, fitted: Fitted) -> str:
        part = self.parts.get(fitted.part)
        return part.name if part else fitted.part


def uncertain(moments: Moments, mass_u: float, mass_name: str, place_u: float = 0.0, place_name: str = "") -> Body:
    """A thing whose mass and place along the frame are known to within standard uncertainties, g and mm."""
    shifts = {mass_name: moments.scaled(mass_u / moments.m0)} if moments.m0 else {}
    if place_u and moments.m0:
        there, here = shifted(moments, place_u), shifted(moments, -place_u)
        shifts[place_name] = (there - here).scaled(0.5)
    return Body(moments, shifts)


def _without(parts: Iterable[Fitted], others: Iterable[Fitted]) -> list[Fitted]:
    """``parts`` less one for each equal one of ``others``."""
    rest = [_thing(other) for other in others]
    left: list[Fitted] = []
    for part in parts:
        if _thing(part) in rest:
            rest.remove(_thing(part))
        else:
            left.append(part)
    return left


def _thing(fitted: Fitted) -> tuple[object, ...]:
    """What makes two fitted parts the same: a note, or another spelling of the place, does not matter."""
    mass, length = fitted.mass, fitted.length
    return fitted.part, fitted.place.spot, mass.value if mass else None, length.value if length else None


def _same_strings(one: State, other: State) -> bool:
    """Whether two states' strings weigh the same; strings that nobody wrote down are taken to be those in question."""
    if one.strung != other.strung or not one.strung or not (one.stringing and other.stringing):
        return one.strung == other.strung
    kinds = [
        [(s.string, s.gauge.value if s.gauge else None) for s in st.both] for st in (one.stringing, other.stringing)
    ]
    return kinds[0] == kinds[1]


def bring(found: Mapping[QuantityName, Taken], state: State, predictor: Predictor, owner: str) -> Known:
    """A frame in ``state`` from figures that were each taken in a state of its own.

    Raises `Missing` without mass, balance and swingweight, or where something that must be predicted has no mass.
    """
    for quantity, verb in (("mass", "weigh"), ("balance", "balance"), ("swingweight", "swing")):
        if quantity not in found:
            raise Missing(f"There is no {quantity} of {owner}.", f"Measure it: {verb} it and add the reading.")
    changes = {quantity: predictor.change(taken.state, state, owner) for quantity, taken in found.items()}
    inputs: dict[str, Estimate] = {}
    for quantity, taken in found.items():
        inputs |= {**taken.figure.inputs, **{name: Estimate(0.0, 1.0) for name in changes[quantity][0].shifts}}

    def gains(values: Values) -> dict[QuantityName, Moments]:
        return {quantity: _at(change[0], values) for quantity, change in changes.items()}

    def model(values: Values) -> Moments:
        return _assemble(found, gains(values), values)

    origins = {
        quantity: Origin(taken.figure.day, *((o.added, o.off) if (o := changes[quantity][1]) else ()))
        for quantity, taken in found.items()
    }
    return Known(Body.of(model, inputs), origins)


def _at(body: Body, values: Values) -> Moments:
    """A body with each of its inputs off by so many standard uncertainties."""
    moments = body.moments
    for name, shift in body.shifts.items():
        if values[name]:
            moments = moments + shift.scaled(values[name])
    return moments


def _assemble(found: Mapping[QuantityName, Taken], gains: Mapping[QuantityName, Moments], values: Values) -> Moments:
    """Moments in the wanted state from figures, each in its own, and what the frame gains between the two."""
    read = {quantity: taken.figure.read for quantity, taken in found.items()}
    m0 = read["mass"](values, 0.0, 0.0) + gains["mass"].m0
    m1 = read["balance"](values, 0.0, 0.0) * (m0 - gains["balance"].m0) + gains["balance"].m1
    then = gains["swingweight"]
    mass, first = m0 - then.m0, m1 - then.m1
    swing = read["swingweight"](values, mass, first / mass) * GMM2_PER_KGCM2
    m2 = swing + 2 * SWING_AXIS_MM * first - SWING_AXIS_MM**2 * mass + then.m2
    if "twistweight" not in found:
        return Moments(m0, m1, m2, None)
    twist = gains["twistweight"]
    mass, first = m0 - twist.m0, m1 - twist.m1
    polar = read["twistweight"](values, mass, first / mass) * GMM2_PER_KGCM2 + (twist.polar or 0.0)
    return Moments(m0, m1, m2, polar)


def taken_of_frame(
    frame: Frame, parts: Mapping[str, Part], length: float, instruments: Instruments, owner: str
) -> dict[QuantityName, Taken]:
    """The newest figure of each quantity of a frame, with the state that it was taken in."""
    return _newest(_frame_readings(frame, parts), parts, length, instruments, owner)


def taken_of_blank(
    blank: Blank, parts: Mapping[str, Part], length: float, instruments: Instruments, owner: str, today: date
) -> dict[QuantityName, Taken]:
    """The newest figure of each quantity of a blank; measured when it came in, or ``today`` where nobody noted it."""
    day, holding = blank.received or today, Holding(parts=blank.build)
    # a figure in a state that nobody wrote down belongs to no state
    readings = (reading for reading in reversed(blank.readings) if reading.state)
    return _newest(((reading, day, holding) for reading in readings), parts, length, instruments, owner)


def _frame_readings(frame: Frame, parts: Mapping[str, Part]) -> Iterator[tuple[Reading, date, Holding]]:
    """Readings from the newest to the oldest, those before a job's work last."""
    for step in reversed(steps(frame, parts)):
        for when, holding in (("after", step.after), ("before", step.before)):
            for reading in reversed(step.job.readings):
                if reading.when == when:
                    yield reading, step.job.date, holding


def _newest(
    readings: Iterable[tuple[Reading, date, Holding]],
    parts: Mapping[str, Part],
    length: float,
    instruments: Instruments,
    owner: str,
) -> dict[QuantityName, Taken]:
    found: dict[QuantityName, Taken] = {}
    for i, (reading, day, holding) in enumerate(readings):
        strung = reading.strung
        on = tuple(f for f in holding.parts if counted(f, parts, reading.without))
        state = State(on, strung, holding.stringing if strung else None)
        name = f"{owner}, {day.isoformat()}, {i}"
        for quantity, figure in figures(reading, day, length, instruments, name).items():
            found.setdefault(quantity, Taken(figure, state))
    return found
