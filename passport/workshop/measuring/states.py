"""A frame measured in one state, brought to another: bare or strung, with or without each of its parts.

What two states have in common never enters; what one has and the other lacks is predicted from its mass and its place.
Figures of different readings, taken in different states, are brought to one state each by itself.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from passport.physics.body import NOTHING, Body, shifted
from passport.physics.conditioning import NAIVE, Learned
from passport.physics.geometry import RacquetShape
from passport.physics.moments import SWING_AXIS_MM, Moments
from passport.physics.stringpath import Side, StringPath
from passport.physics.uncertainty import Estimate, combined, from_half_width
from passport.physics.units import GMM2_PER_KGCM2
from passport.records.language.worded import unsaid, worded
from passport.records.masses import assumed_mass, fitted_mass, laid, linear_density
from passport.records.schema.as_printed import gauge_u
from passport.records.schema.catalogue import Part, Pattern, StringType
from passport.records.schema.frame import Fitted, Stringing, Strung
from passport.workshop.facts.facts import QuantityName
from passport.workshop.facts.spoken_names import name_said
from passport.workshop.measuring.assumed import OUTSIDE_SHARES, USUAL, Assumptions
from passport.workshop.measuring.dimensions import widened
from passport.workshop.measuring.instruments import Values
from passport.workshop.measuring.measured import Figure
from passport.workshop.measuring.placement import lay

OUTSIDE: Final = "string outside the head"
"""What the inputs of the string through and round the hoop and of its knots begin with."""

ASSUMED_MASS: Final = " (mass assumed)"
"""What stands behind the name of a part whose mass is that of its kind: nobody weighed it, and no catalogue names it."""

_SIDES: Final[tuple[Side, Side]] = ("mains", "crosses")

_GAIN: Final = "gained: "
"""What marks the inputs of a prediction while they are told apart from those of the readings."""


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


Takings = Mapping[QuantityName, Taken]
"""Figures by their quantity."""


@dataclass(frozen=True)
class Predictor:
    """Bodies of the things that go onto frames of one model, from the catalogue.

    ``model`` is the model's name, which its string's path is shared by; ``learned`` what the workshop's own bare and
    strung readings say of it; ``pattern`` its holes and variants, which a recorded path runs through.
    """

    shape: RacquetShape
    parts: Mapping[str, Part]
    strings: Mapping[str, StringType]
    model: str = ""
    assumed: Assumptions = USUAL
    learned: Learned = NAIVE
    pattern: Pattern | None = None

    def fitted(self, fitted: Fitted, owner: str = "") -> Body:
        """A fitted part. ``owner`` tells it apart from the same part on another frame. Raises `Missing`.

        One that nobody weighed is taken to weigh what its kind usually does, within that span, where there is such.
        """
        mass = fitted_mass(fitted, self.parts, self.shape.throat)
        part = self.parts.get(fitted.part)
        usual = assumed_mass(part) if mass is None and part else None
        mass = usual.value if usual else mass
        if mass is None or part is None:
            what = worded("Nobody knows what '{part}' at {place} weighs.", part=fitted.part, place=fitted.place.text)
            raise Missing(what, worded("Weigh one, and write 'mass' where it is fitted or in catalogue/parts.yaml."))
        length = fitted.length or part.covers
        u = self.assumed.weighed if fitted.mass else self.assumed.listed * mass
        u = from_half_width(usual.half) if usual else u
        at = lay(part.kind, fitted.place, mass, length.value if length else None, self.shape)
        name = f"{part.name}, {fitted.place.text}, {owner}"
        body = uncertain(at.moments, u, f"mass of {name}", self.assumed.placed, f"place of {name}")
        cut = length.value if length else None
        return widened(body, self.shape, lambda shape: lay(part.kind, fitted.place, mass, cut, shape).moments)

    def strung(self, stringing: Stringing, owner: str = "") -> Body:
        """The whole string, with its knots. Raises `Missing` for one that the catalogue does not know the mass of.

        ``owner`` tells apart what one stringing has of its own from others.
        """
        string = laid(stringing, self.strings, self.pattern)
        path, surer = string.path(self.shape), string.surer
        sides = Body.total(
            self._side(path, side, s, owner, surer) for side, s in zip(_SIDES, stringing.both, strict=True)
        )
        densities = [self._density(strung) for strung in stringing.both]

        def whole(shape: RacquetShape) -> Moments:
            other = string.path(shape)
            return Moments.total(other.moments(side, g) for side, g in zip(_SIDES, densities, strict=True))

        return self.learned(widened(sides, self.shape, whole))

    def _side(self, path: StringPath, side: Side, strung: Strung, owner: str, surer: float) -> Body:
        """The mains or the crosses: their mass per length is one input, what is outside the head three more."""
        density = self._density(strung)
        inside, outside = (path.moments(side, density, outside=beyond) for beyond in (False, True))
        string = self.strings[strung.string]
        printed = 2 * gauge_u(strung.gauge or string.gauge)  # a gauge number is a span of mm, and the mass goes with d²
        u = self.assumed.string if string.weighed else combined(self.assumed.string_estimated, printed)
        names = (f"{OUTSIDE}: the estimate", f"{OUTSIDE}: holes of {self.model}", f"{OUTSIDE}: knots of {owner}")
        shifts = {f"string {strung.string}": (inside + outside).scaled(u)}
        for name, share in zip(names, OUTSIDE_SHARES, strict=True):
            shifts[name] = outside.scaled(share * surer * self.assumed.outside)
        return Body(inside + outside, shifts)

    def _density(self, strung: Strung) -> float:
        string = self.strings.get(strung.string)
        density = linear_density(string, strung) if string else None
        if density is None:
            do = worded("Weigh ten metres, and write 'weighed: … g/m' in catalogue/strings.yaml.")
            raise Missing(worded("Nobody knows what a metre of '{string}' weighs.", string=strung.string), do)
        return density

    def change(self, start: State, end: State, owner: str) -> tuple[Body, Origin | None]:
        """What the frame gains from ``start`` to ``end``; the origin names it, None where nothing changes."""
        gone, new = parts_without(start.parts, end.parts), parts_without(end.parts, start.parts)
        body = Body.total([*(self.fitted(f, owner) for f in new), *(self.fitted(f, owner).scaled(-1) for f in gone)])
        added, off = [self._name(f) for f in new], [self._name(f) for f in gone]
        if not _same_strings(start, end):
            if end.strung:
                body, added = body + self._bed(end, owner), [*added, "strings"]
            if start.strung:
                body, off = body - self._bed(start, owner), [*off, "strings"]
        origin = Origin(date.min, tuple(added), tuple(off)) if added or off else None
        return body, origin

    def _bed(self, state: State, owner: str) -> Body:
        if state.stringing is None:
            do = worded("Write a job with its 'strings', so that their mass can be worked out.")
            raise Missing(worded("No record says which strings are in the frame."), do)
        return self.strung(state.stringing, owner)

    def _name(self, fitted: Fitted) -> str:
        part = self.parts.get(fitted.part)
        if part is None:
            return fitted.part
        return part.name + (ASSUMED_MASS if not fitted.mass and assumed_mass(part) else "")


def uncertain(moments: Moments, mass_u: float, mass_name: str, place_u: float = 0.0, place_name: str = "") -> Body:
    """A thing whose mass and place along the frame are known to within standard uncertainties, g and mm."""
    shifts = {mass_name: moments.scaled(mass_u / moments.m0)} if moments.m0 else {}
    if place_u and moments.m0:
        there, here = shifted(moments, place_u), shifted(moments, -place_u)
        shifts[place_name] = (there - here).scaled(0.5)
    return Body(moments, shifts)


def parts_without(parts: Iterable[Fitted], others: Iterable[Fitted]) -> list[Fitted]:
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
    """Whether two states' strings weigh the same; strings that are not recorded are taken to be the same."""
    if one.strung != other.strung or not one.strung or not (one.stringing and other.stringing):
        return one.strung == other.strung
    kinds = [
        [(s.string, s.gauge.value if s.gauge else None) for s in st.both] for st in (one.stringing, other.stringing)
    ]
    return kinds[0] == kinds[1]


_TAKEN: Final[tuple[tuple[QuantityName, str], ...]] = (
    ("mass", unsaid("Measure it: weigh it and add the reading.")),
    ("balance", unsaid("Measure it: balance it and add the reading.")),
    ("swingweight", unsaid("Measure it: swing it and add the reading.")),
)
"""What must be known of a frame that is brought into another state, and what to do where it is not."""


def bring(found: Mapping[QuantityName, Taken], state: State, predictor: Predictor, owner: str) -> Known:
    """A frame in ``state`` from figures that were each taken in a state of its own.

    Raises `Missing` without mass, balance and swingweight, or where something that must be predicted has no mass.
    """
    for quantity, do in _TAKEN:
        if quantity not in found:
            what = worded("There is no {quantity} of {owner}.", quantity=name_said(quantity), owner=owner)
            raise Missing(what, worded(do))
    changes = {quantity: predictor.change(taken.state, state, owner) for quantity, taken in found.items()}
    inputs: dict[str, Estimate] = {}
    for quantity, taken in found.items():
        inputs |= {**taken.figure.inputs, **{_GAIN + name: Estimate(0.0, 1.0) for name in changes[quantity][0].shifts}}

    def gains(values: Values) -> dict[QuantityName, Moments]:
        return {quantity: _at(change[0], values) for quantity, change in changes.items()}

    def model(values: Values) -> Moments:
        return _assemble(found, gains(values), values)

    origins = {
        quantity: Origin(taken.figure.day, *((o.added, o.off) if (o := changes[quantity][1]) else ()))
        for quantity, taken in found.items()
    }
    return Known(_merged(Body.of(model, inputs)), origins)


def _merged(body: Body) -> Body:
    """A body with the inputs of what was gained under their own names: an error of a reading that a prediction was
    learned from and the same error of the reading itself are one."""
    plain = Body(body.moments)
    for name, shift in body.shifts.items():
        plain = plain + Body(NOTHING, {name.removeprefix(_GAIN): shift})
    return plain


def _at(body: Body, values: Values) -> Moments:
    """A body with each of its inputs off by so many standard uncertainties."""
    moments = body.moments
    for name, shift in body.shifts.items():
        if values[_GAIN + name]:
            moments = moments + shift.scaled(values[_GAIN + name])
    return moments


def _assemble(found: Mapping[QuantityName, Taken], gains: Mapping[QuantityName, Moments], values: Values) -> Moments:
    """Moments in the wanted state from figures, each in its own, and what the frame gains between the two."""
    read = {quantity: taken.figure.read for quantity, taken in found.items()}
    # In this order: a balance needs the mass, a swingweight both, each in the state in which it was read.
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
