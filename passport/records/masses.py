"""The mass of what is on a frame: parts from the record or the catalogue, strings from their lattice."""

import math
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass

from passport.physics.geometry import RacquetShape, Throat
from passport.physics.stringing.course import course, outside_u
from passport.physics.stringing.route import Route
from passport.physics.stringpath import OUTSIDE_U, End, StringPath, Threading, estimated_path
from passport.records.schema.catalogue import Part, PartKind, Pattern, StringType
from passport.records.schema.frame import Fitted, Reading, Stringing, Strung
from passport.records.schema.places import FittedPlace
from passport.records.schema.typical import PARTS, Typical
from passport.records.strung.strungpath import spelled_out, told_path
from passport.records.timeline import Holding

DENSITY = {"nylon": 1.14, "polyester": 1.39, "aramid": 1.44, "gut": 1.3}
"""g/cm³: nylon, polyester and para-aramid from Morton & Hearle, Physical Properties of Textile Fibres, tables 5.1-5.2;
gut from memory."""


def strip_count(kind: PartKind, place: FittedPlace, throat: Throat) -> int:
    """How many equal pieces a thing is cut into, so that left and right weigh the same.

    Two for an o'clock position that has a mirror image, and for tape at an open throat, one on each arm; else one, as for
    what lies on one side only.
    """
    if place.hour is not None:
        return 2 if place.mirrored else 1
    return 2 if kind == "tape" and place.name == "throat" and throat == "open" else 1


def fitted_mass(fitted: Fitted, parts: Mapping[str, Part], throat: Throat) -> float | None:
    """Mass of a fitted part in g, both sides together: as weighed, else from its length or the catalogue; or None.

    ``throat`` is the frame's, which may have one arm or two to lay tape on.
    """
    if fitted.mass:
        return fitted.mass.value
    part = parts.get(fitted.part)
    if part is None:
        return None
    if part.per_length and fitted.length:
        count = strip_count(part.kind, fitted.place, throat)
        return part.per_length.value * fitted.length.value / 1000 * count
    return part.mass.value if part.mass else None


def assumed_mass(part: Part) -> Typical | None:
    """What parts of the kind usually weigh, g, where nobody knows the mass of this one; None for kinds that differ widely.

    It serves a figure whose uncertainty it widens, and is never said to be the part's mass.
    """
    return None if part.mass or part.per_length else PARTS.get(part.kind)


def linear_density(string: StringType, strung: Strung | None = None) -> float | None:
    """g/m of a string: as weighed, else ρπd²/4 of a solid round string; None for an unknown material.

    A gauge in the job that differs from the catalogue's scales a weighed figure with its square.
    """
    gauge = strung.gauge.value if strung and strung.gauge else string.gauge.value
    if string.weighed:
        return string.weighed.value * (gauge / string.gauge.value) ** 2
    density = DENSITY.get(string.material)
    return None if density is None else density * math.pi * gauge**2 / 4


def densities(stringing: Stringing, strings: Mapping[str, StringType]) -> tuple[float, float] | None:
    """g/m of the mains and of the crosses, or None where one is not known."""
    found = [linear_density(strings[s.string], s) if s.string in strings else None for s in stringing.both]
    mains, crosses = found
    return None if mains is None or crosses is None else (mains, crosses)


@dataclass(frozen=True, slots=True)
class LaidString:
    """How a string lies: as strings usually do with what is known, and hole by hole where the job's path is recorded."""

    threading: Threading
    route: Route | None = None

    def path(self, shape: RacquetShape) -> StringPath:
        """The whole string on a frame of ``shape``."""
        if self.route:
            with suppress(ValueError):  # another count of strings, or one that lies outside the head
                return course(shape, self.route, self.threading.gauge)
        return estimated_path(shape, self.threading)

    @property
    def surer(self) -> float:
        """The uncertainty of what lies outside the head as a share of what a usual path has."""
        return outside_u(self.route) / OUTSIDE_U if self.route else 1.0


def string_mass(
    stringing: Stringing, strings: Mapping[str, StringType], shape: RacquetShape, pattern: Pattern | None = None
) -> float | None:
    """Mass in g of the whole string, inside the head, through and round the hoop, and its knots; None where unknown."""
    found = densities(stringing, strings)
    if found is None:
        return None
    path = laid(stringing, strings, pattern).path(shape)
    return (path.length("mains") * found[0] + path.length("crosses") * found[1]) / 1000


def laid(stringing: Stringing, strings: Mapping[str, StringType], pattern: Pattern | None = None) -> LaidString:
    """How a frame's string lies. What nobody said is taken as usual, one piece that starts at the throat, which the
    uncertainty of the string outside the head covers."""
    whole, told = spelled_out(stringing, pattern), told_path(stringing, pattern)
    mains = whole.mains
    gauge = mains.gauge or (strings[mains.string].gauge if mains.string in strings else None)
    pieces, knots = whole.worked_out
    start: End = "head" if whole.mains_start == "head" else "throat"
    cross: End = "throat" if whole.crosses_start == "throat" else "head"
    usual = Threading(pieces or 1, knots or 2, start, cross, gauge.value if gauge else 0.0)
    route = told.threaded.route() if told.threaded and told.recorded else None
    return LaidString(usual, route if isinstance(route, Route) else None)


def counted(fitted: Fitted, parts: Mapping[str, Part], without: Iterable[PartKind]) -> bool:
    """Whether a fitted part was on the frame for a reading that leaves out the kinds in ``without``."""
    part = parts.get(fitted.part)
    return part is None or part.kind not in set(without)


def added_mass(
    holding: Holding,
    reading: Reading,
    parts: Mapping[str, Part],
    strings: Mapping[str, StringType],
    shape: RacquetShape,
    pattern: Pattern | None = None,
) -> float | None:
    """Mass in g on top of the bare factory frame in the state of a reading; None where a mass is not known."""
    masses = [fitted_mass(f, parts, shape.throat) for f in holding.parts if counted(f, parts, reading.without)]
    if reading.strung:
        masses.append(string_mass(holding.stringing, strings, shape, pattern) if holding.stringing else None)
    known = [mass for mass in masses if mass is not None]
    return sum(known) if len(known) == len(masses) else None
