"""How the mass of each fitted thing is spread over the frame: from a kind and a place to moments.

Distances off the long axis matter for the twistweight only. Those used here for the handle and the throat are worked
out from the model's outer dimensions and are common practice, no source.
"""

import math
from dataclasses import dataclass

from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments, arc_offset
from passport.records.masses import strip_count
from passport.records.schema.catalogue import PartKind
from passport.records.schema.places import FittedPlace

WALL_MM = 4.0
"""Thickness of a handle's wall and pallet together, mm (common practice, no source): what is inside lies within it."""

SILICONE_DENSITY = 1.1
"""Density of silicone, g/cm³: about 1.0 to 1.2 (from memory)."""

FILLED = ("inside the handle", "butt cap")
"""Places where silicone fills the bore from the butt upwards."""

FOLDED = ("butt cap", "inside the handle")
"""Places where a strip of tape lies folded, whatever its length."""

ON_THE_BED = "on the string bed"
"""The place of what is spread over the strings as they are themselves, such as savers at their crossings."""

BETWEEN_MAINS = "between the mains"
"""The place of a damper: on the long axis, between the throat and the first cross."""

TIP_HOUR = 0.0
"""Where a strip under the bumper is centred on the hoop."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A thing as it lies on the frame.

    ``moments`` of all its pieces together; ``from_mm`` and ``to_mm`` its extent from the butt; ``hour`` the clock's
    hour its strip is centred at on the hoop; ``count`` how many equal pieces it is; ``length`` of one piece, mm, 0 for
    what is no strip.
    """

    moments: Moments
    from_mm: float
    to_mm: float
    hour: float | None
    count: int
    length: float


def hour_of(place: FittedPlace) -> float | None:
    """The clock's hour of a place on the hoop: strips under the bumper lie along the hoop around 12."""
    return TIP_HOUR if place.name == "under the bumper" else place.at


def pieces(kind: PartKind, place: FittedPlace, shape: RacquetShape) -> int:
    """How many equal pieces a thing is cut into on a frame of ``shape``, by the rule that the records' masses follow."""
    return strip_count(kind, place, shape.throat)


def lay(kind: PartKind, place: FittedPlace, mass: float, length: float | None, shape: RacquetShape) -> Laid:
    """Lay ``mass`` g of a kind at a place, each piece ``length`` mm long where a length is known.

    Silicone in a named place of the handle whose length nobody measured is as long as its mass fills the bore.
    Raises ``ValueError`` for a strip that is longer than the hoop.
    """
    hour, count = hour_of(place), pieces(kind, place, shape)
    if hour is not None:
        low, high = _hoop_extent(shape, hour, length or 0.0)
        return Laid(Moments.hoop_arc(mass, shape, hour, length or 0.0), low, high, hour, count, length or 0.0)
    if place.name == ON_THE_BED:
        low, high = place.extent(shape)
        strings = Moments.string_bed(shape, 1.0, 1.0)
        return Laid(strings.scaled(mass / strings.m0), low, high, None, count, 0.0)
    folded = kind == "tape" and place.name in FOLDED
    low, high = _extent(place, shape, None if folded else length)
    if kind == "silicone" and place.name in FILLED and length is None:
        high = min(low + fill_length(mass, shape), shape.handle)
    return Laid(_along(kind, place, mass, low, high, shape), low, high, None, count, length or 0.0)


def sideways(place: FittedPlace, mass: float, length: float | None, shape: RacquetShape) -> float:
    """First moment about the long axis of what lies on one side of the hoop only, g·mm; 0 for all else.

    Positive on the clock's side of 3 with the tip up. The swing axis lies across the frame and the twistweight takes
    squares of distances, so that neither of them sees the side; the middle of mass moves by this over the whole mass.
    """
    return mass * arc_offset(shape, place.at, length or 0.0) if place.side and place.at is not None else 0.0


def fill_length(mass: float, shape: RacquetShape) -> float:
    """How far ``mass`` g of silicone fill the handle, mm: its volume over the bore's section."""
    return mass / SILICONE_DENSITY * 1000 / (math.pi * bore_radius(shape) ** 2)


def bore_radius(shape: RacquetShape) -> float:
    """Radius of the handle's bore, mm: half of the handle's width less :data:`WALL_MM`."""
    return max(1.0, shape.handle_width / 2 - WALL_MM)


def _extent(place: FittedPlace, shape: RacquetShape, length: float | None) -> tuple[float, float]:
    """Where a thing off the hoop begins and ends; one with a length in a span of the record lies in its middle."""
    low, high = place.extent(shape, length)
    if place.span and length is not None:
        middle = (low + high) / 2
        low, high = middle - length / 2, middle + length / 2
    return max(0.0, low), min(shape.length, high)


def _hoop_extent(shape: RacquetShape, hour: float, length: float) -> tuple[float, float]:
    path = [x for x, _ in shape.hoop_path(hour, length)] if length else [shape.on_hoop(hour)[0]]
    return min(path), max(path)


def _along(kind: PartKind, place: FittedPlace, mass: float, low: float, high: float, shape: RacquetShape) -> Moments:
    radius = shape.handle_width / 2
    if kind in ("silicone", "putty") or place.name in ("inside the handle", "butt cap"):
        return Moments.plug(mass, low, high, bore_radius(shape))
    if high <= shape.handle:
        return Moments.filled(mass, low, high, radius)
    flat = Moments.filled(mass, low, high)
    if place.name == BETWEEN_MAINS:
        return flat
    return Moments(flat.m0, flat.m1, flat.m2, mass * _off_axis(shape, (low + high) / 2) ** 2)


def _off_axis(shape: RacquetShape, x: float) -> float:
    """How far the shaft, the throat's arm or the hoop is from the long axis at ``x`` mm from the butt, mm."""
    low = shape.head_centre - shape.hoop_axes[0]
    if x >= low:
        return shape.hoop_half_width(x)
    if shape.throat == "shaft" or x <= shape.handle:
        return 0.0
    if shape.joined:  # two arms side by side
        return shape.rim / 2
    return shape.head_width / 4 * (x - shape.handle) / (low - shape.handle)
