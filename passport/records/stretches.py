"""Where tape lies, as stretches of the frame, so that it is seen where one strip would lie on another.

Left and right are the same but for what lies on one side only: on the hoop the way along its middle from the tip, on the
shaft, the throat and the handle the distance from the butt.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, Literal

from passport.physics.geometry import RacquetShape
from passport.physics.quadrature import integrate
from passport.records.masses import fitted_mass, strip_count
from passport.records.schema.catalogue import Part
from passport.records.schema.frame import Fitted
from passport.records.schema.places import FittedPlace, Side

FOLDED: Final = frozenset({"butt cap", "inside the handle"})
"""Places where tape lies folded inside, not on the surface."""

LAID_MM: Final = 3.0
"""How far two strips that are on a frame may overlap by their records before it is said: as closely as tape is laid
(common practice, no source)."""

_ROUNDING: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Stretch:
    """From ``low`` to ``high`` mm on one ``track``: the hoop from the tip, or the axis from the butt.

    ``side`` is that of what lies on one side of the hoop only; else it lies on both.
    """

    track: Literal["hoop", "axis"]
    low: float
    high: float
    side: Side = ""

    def overlap(self, other: "Stretch") -> float:
        """How much of it the other covers too, mm; 0 where they only touch."""
        if self.track != other.track or {self.side, other.side} == {"left", "right"}:
            return 0.0
        return max(0.0, min(self.high, other.high) - max(self.low, other.low))


def stretches(place: FittedPlace, length: float | None, shape: RacquetShape) -> tuple[Stretch, ...]:
    """What a strip of tape ``length`` mm long covers at a place; nothing where it lies folded inside the handle."""
    if place.name in FOLDED:
        return ()
    hour = 0.0 if place.name == "under the bumper" else place.hour
    if hour is not None:
        return tuple(_folded_back(replace(_hoop(shape, hour, length or 0.0), side=place.side)))
    low, high = place.extent(shape, length)
    if place.span and length is not None:
        low, high = (low + high - length) / 2, (low + high + length) / 2
    return tuple(_along(shape, max(0.0, low), min(shape.length, high)))


def on_itself(place: FittedPlace, length: float, shape: RacquetShape) -> bool:
    """Whether two mirrored strips on the hoop reach over the middle, so that one lies on the other."""
    if place.hour is None or not place.mirrored:
        return False
    stretch = _hoop(shape, place.hour, length)
    return stretch.low < -_ROUNDING or stretch.high > shape.hoop_perimeter / 2 + _ROUNDING


def overlap(ones: Iterable[Stretch], others: Iterable[Stretch]) -> float:
    """How many mm two strips have in common at most in one stretch; 0 where they only touch."""
    others = tuple(others)
    found = max((one.overlap(other) for one in ones for other in others), default=0.0)
    return found if found > _ROUNDING else 0.0


def of_fitted(fitted: Fitted, parts: Mapping[str, Part], shape: RacquetShape) -> tuple[Stretch, ...]:
    """What a fitted part covers: nothing unless it is tape. A length that nobody wrote follows from its mass."""
    part = parts.get(fitted.part)
    if part is None or part.kind != "tape":
        return ()
    length = fitted.length.value if fitted.length else None
    mass = fitted_mass(fitted, parts, shape.throat)
    if length is None and mass is not None and part.per_length:
        strips = strip_count(part.kind, fitted.place, shape.throat)
        length = mass / part.per_length.value * 1000 / strips
    if length is not None:
        length = min(length, shape.hoop_perimeter)
    return stretches(fitted.place, length, shape)


@lru_cache(maxsize=4096)
def _hoop(shape: RacquetShape, hour: float, length: float) -> Stretch:
    """A strip centred at an hour, from the tip along the hoop; below 0 where it reaches over the tip."""
    ends = shape.hoop_span(hour, length) if length else (shape.hoop_turn(math.radians(30 * hour)),) * 2
    low, high = (integrate(shape.hoop_speed, 0.0, end, panels=16) for end in ends)
    return Stretch("hoop", low, high)


def _folded_back(stretch: Stretch) -> Iterator[Stretch]:
    """What reaches over the tip lies on the other half as well, as far from the tip as its mirror image."""
    over: dict[Side, Side] = {"left": "right", "right": "left", "": ""}
    yield Stretch("hoop", max(0.0, stretch.low), stretch.high, stretch.side)
    if stretch.low < 0:
        yield Stretch("hoop", 0.0, -stretch.low, over[stretch.side])


def _along(shape: RacquetShape, low: float, high: float) -> Iterator[Stretch]:
    """A span along the axis: what of it is above the throat lies on the hoop."""
    throat = shape.head_centre - shape.hoop_axes[0]
    if low < throat:
        yield Stretch("axis", low, min(high, throat))
    if high > throat:
        near, far = (shape.hoop_turn_at(x) for x in (high, max(low, throat)))
        begin, end = (integrate(shape.hoop_speed, 0.0, angle, panels=16) for angle in (near, far))
        yield Stretch("hoop", begin, end)
