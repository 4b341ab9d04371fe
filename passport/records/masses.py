"""The mass of what is on a frame: parts from the record or the catalogue, strings from their lattice."""

import math
from collections.abc import Iterable, Mapping

from passport.physics.geometry import RacquetShape, Throat
from passport.physics.stringpath import End, Threading, estimated_path
from passport.records.schema.catalogue import Part, PartKind, StringType
from passport.records.schema.frame import Fitted, Reading, Stringing, Strung
from passport.records.schema.places import FittedPlace
from passport.records.timeline import Holding

DENSITY = {"nylon": 1.14, "polyester": 1.39, "aramid": 1.44, "gut": 1.3}
"""g/cm³: nylon, polyester and para-aramid from Morton & Hearle, Physical Properties of Textile Fibres, tables 5.1-5.2;
gut from memory."""


def strip_count(kind: PartKind, place: FittedPlace, throat: Throat) -> int:
    """How many equal pieces a thing is cut into, so that left and right weigh the same.

    Two for an o'clock position that has a mirror image, and for tape at an open throat, one on each arm; else one.
    """
    if place.hour is not None:
        return 1 if place.hour in (0.0, 6.0) else 2
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


def string_mass(stringing: Stringing, strings: Mapping[str, StringType], shape: RacquetShape) -> float | None:
    """Mass in g of the whole string, inside the head, through and round the hoop, and its knots; None where unknown."""
    found = densities(stringing, strings)
    if found is None:
        return None
    path = estimated_path(shape, laid(stringing, strings))
    return (path.length("mains") * found[0] + path.length("crosses") * found[1]) / 1000


def laid(stringing: Stringing, strings: Mapping[str, StringType]) -> Threading:
    """How a frame is strung, as far as its string's path hangs on it; what nobody said is taken as usual, one piece that
    starts at the throat, which the uncertainty of the string outside the head covers."""
    mains = stringing.mains
    gauge = mains.gauge or (strings[mains.string].gauge if mains.string in strings else None)
    pieces, knots = stringing.worked_out
    start: End = "head" if stringing.mains_start == "head" else "throat"
    cross: End = "throat" if stringing.crosses_start == "throat" else "head"
    return Threading(pieces or 1, knots or 2, start, cross, gauge.value if gauge else 0.0)


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
) -> float | None:
    """Mass in g on top of the bare factory frame in the state of a reading; None where a mass is not known."""
    masses = [fitted_mass(f, parts, shape.throat) for f in holding.parts if counted(f, parts, reading.without)]
    if reading.strung:
        masses.append(string_mass(holding.stringing, strings, shape) if holding.stringing else None)
    known = [mass for mass in masses if mass is not None]
    return sum(known) if len(known) == len(masses) else None
