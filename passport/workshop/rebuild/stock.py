"""What may be fitted where: the materials in stock laid out in whole steps within the limits of a frame model's places.

At one place at most one material is taken. Tape is cut in whole steps of length, both mirrored strips the same;
silicone goes by its smallest step worth weighing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from passport.physics.geometry import RacquetShape
from passport.records.masses import fitted_mass
from passport.records.schema.catalogue import FrameModel, Part, PlaceLimit
from passport.records.schema.frame import Fitted
from passport.records.schema.places import FittedPlace
from passport.workshop.measuring.placement import Laid, hour_of, lay, pieces

CUT_MM: Final = 5.0
"""The step in which tape is cut, mm: the marks on a cutting ruler (common practice, no source)."""

PASTE_STEP_G: Final = 0.5
"""The step of a paste whose record names none, g (common practice, no source)."""

LONGEST_ARC: Final = 1 / 6
"""The longest strip on the hoop where the model sets no length, as a share of the way once around."""

FOR_PASTE = frozenset({"inside the handle", "butt cap"})
"""Named places that take paste; tape goes everywhere else."""

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Option:
    """So much of one material at one place: ``mass`` g of all pieces together, and how they lie."""

    part: str
    place: FittedPlace
    mass: float
    laid: Laid


@dataclass(frozen=True, slots=True)
class Site:
    """A place with everything that may be fitted there.

    ``most`` is what the place still takes, g; ``length`` the longest strip that it still takes, mm (None: no limit).
    """

    place: FittedPlace
    most: float
    length: float | None
    options: tuple[Option, ...]


def in_stock(part: Part) -> bool:
    """Whether a part may be used: unless its ``stock`` begins with "none", "no", "out" or 0."""
    words = part.stock.lower().replace(",", " ").split()
    return not words or words[0] not in ("none", "no", "out", "0")


def materials(parts: Mapping[str, Part]) -> dict[str, Part]:
    """What frames are tuned with: the tapes and the silicones in stock that say what they weigh."""
    return {
        name: part
        for name, part in parts.items()
        if in_stock(part) and (part.kind == "silicone" or (part.kind == "tape" and part.per_length))
    }


def sites(
    model: FrameModel, parts: Mapping[str, Part], on: Iterable[Fitted] = (), cut: float = CUT_MM
) -> tuple[Site, ...]:
    """The places of a model with the options at each; what is ``on`` the frame already counts towards the limits."""
    shape, stock, there = model.shape(), materials(parts), tuple(on)
    found: list[Site] = []
    for limit in model.places:
        most, length = _left(limit, there, parts)
        options = tuple(
            option
            for name, part in stock.items()
            for option in _options(name, part, limit.place, most, length, shape, cut)
        )
        found.append(Site(limit.place, most, length, options))
    return tuple(found)


def lighter(parts: Mapping[str, Part], fitted: Fitted) -> list[str]:
    """Parts in stock of the same kind that weigh less than a fitted one, by their names in the catalogue."""
    own, mass = parts[fitted.part], fitted_mass(fitted, parts)
    return [
        name
        for name, part in parts.items()
        if part.kind == own.kind and part.mass and mass is not None and part.mass.value < mass and in_stock(part)
    ]


def _left(limit: PlaceLimit, on: tuple[Fitted, ...], parts: Mapping[str, Part]) -> tuple[float, float | None]:
    """What a place still takes beside the tuning that is on it: g, and mm of strip."""
    here = [f for f in on if f.place.spot == limit.place.spot and f.part in parts and _tunes(parts[f.part])]
    most = limit.most.value - sum(fitted_mass(f, parts) or 0.0 for f in here)
    if limit.length is None:
        return max(0.0, most), None
    return max(0.0, most), max(0.0, limit.length.value - sum(f.length.value if f.length else 0.0 for f in here))


def _tunes(part: Part) -> bool:
    return part.kind in ("tape", "silicone", "putty")


def _options(
    name: str, part: Part, place: FittedPlace, most: float, length: float | None, shape: RacquetShape, cut: float
) -> Iterable[Option]:
    if part.kind == "tape" and part.per_length and place.name not in FOR_PASTE:
        count = pieces("tape", place, shape)
        longest = _longest(place, length, shape)
        gram_a_step = part.per_length.value / 1000 * cut * count
        for k in range(1, int(most / gram_a_step + _ROUNDING) + 1):
            if longest is not None and k * cut > longest + _ROUNDING:
                break
            yield Option(name, place, k * gram_a_step, lay("tape", place, k * gram_a_step, k * cut, shape))
    elif part.kind == "silicone" and _takes_paste(place, shape):
        step = part.step.value if part.step else PASTE_STEP_G
        for k in range(1, int(most / step + _ROUNDING) + 1):
            yield Option(name, place, k * step, lay("silicone", place, k * step, length, shape))


def _longest(place: FittedPlace, length: float | None, shape: RacquetShape) -> float | None:
    """The longest single strip at a place, mm; None where its mass alone limits it."""
    if hour_of(place) is not None:
        whole = shape.hoop_perimeter * LONGEST_ARC
        return whole if length is None else min(length, shape.hoop_perimeter / 2)
    if length is not None:
        return length
    low, high = place.extent(shape)
    return None if low == high else high - low


def _takes_paste(place: FittedPlace, shape: RacquetShape) -> bool:
    inside = place.span is not None and place.span[1] <= shape.handle
    return place.name in FOR_PASTE or inside
