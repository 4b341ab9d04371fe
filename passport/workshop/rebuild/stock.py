"""What may be fitted where: the materials in stock laid out in whole steps within the limits of a frame model's places.

At one place at most one material is taken. Tape is cut in whole steps of length, both mirrored strips the same;
silicone goes by its smallest step worth weighing. No strip lies on another: places are stretches of the hoop and of the
shaft, taken by what is on the frame and by the plan.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from passport.physics.geometry import RacquetShape, Throat
from passport.records.masses import fitted_mass
from passport.records.schema.catalogue import FrameModel, Part, PlaceLimit
from passport.records.schema.frame import Fitted
from passport.records.schema.places import FittedPlace
from passport.records.stretches import Stretch, of_fitted, on_itself, overlap, stretches
from passport.workshop.measuring.assumed import USUAL, Assumptions
from passport.workshop.measuring.placement import Laid, hour_of, lay, pieces
from passport.workshop.rebuild.chance import laid_body, shift_rows
from passport.workshop.rebuild.lacking.places import places_of
from passport.workshop.solver.problem import Group

CUT_MM: Final = 5.0
"""The step in which tape is cut, mm: the marks on a cutting ruler (common practice, no source)."""

PASTE_STEP_G: Final = 0.5
"""The step of a paste whose record names none, g (common practice, no source)."""

LONGEST_ARC: Final = 1 / 6
"""The longest strip on the hoop where the model sets no length, as a share of the way once around."""

MOST_STEPS: Final = 250
"""Into so many amounts of one material one place is divided at most; finer steps are taken several at a time."""

FOR_PASTE = frozenset({"inside the handle", "butt cap"})
"""Named places that take paste; tape goes everywhere else."""

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Option:
    """So much of one material at one place: ``mass`` g of all pieces together, how they lie, and what tape ``covers``."""

    part: str
    place: FittedPlace
    mass: float
    laid: Laid
    covers: tuple[Stretch, ...] = ()


@dataclass(frozen=True)
class Site:
    """A place with everything that may be fitted there.

    ``most`` is what the place still takes, g; ``length`` the longest strip that it still takes, mm (None: no limit).
    """

    place: FittedPlace
    most: float
    length: float | None
    options: tuple[Option, ...]
    assumed: Assumptions = USUAL

    @cached_property
    def group(self) -> Group:
        """The options as the search takes them."""
        return Group(self.place.text, tuple(option.laid.moments for option in self.options))

    @cached_property
    def doubts(self) -> NDArray[np.float64]:
        """What each option adds to the covariance of mass, first moment, swing- and twistweight: n × 4 × 4."""
        return np.array([_doubt(option, self.assumed) for option in self.options]).reshape(-1, 4, 4)


def _doubt(option: Option, assumed: Assumptions) -> NDArray[np.float64]:
    shifts = shift_rows(laid_body(option.laid.moments, "mass", "place", assumed))
    rows = np.array(list(shifts.values()))
    # Independent inputs: covariances add, so each option carries its own and a plan sums them.
    found: NDArray[np.float64] = rows.T @ rows
    return found


def clashes(found: Sequence[Site]) -> dict[tuple[int, int], NDArray[np.bool_]]:
    """For each two places, by their index, which options of the one and of the other would lie on each other."""
    tables: dict[tuple[int, int], NDArray[np.bool_]] = {}
    for (i, one), (k, other) in combinations(enumerate(found), 2):
        table = np.array([[bool(overlap(a.covers, b.covers)) for b in other.options] for a in one.options], dtype=bool)
        if table.any():
            tables[i, k] = table
    return tables


def in_stock(part: Part) -> bool:
    """Whether a part may be used: unless its ``stock`` begins with "none", "no", "out" or 0."""
    # Free text of the shop: what it does not clearly say is out counts as there, since a plan can be looked at.
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
    model: FrameModel,
    parts: Mapping[str, Part],
    on: Iterable[Fitted] = (),
    cut: float = CUT_MM,
    assumed: Assumptions = USUAL,
) -> tuple[Site, ...]:
    """The places of a model with the options at each; what is ``on`` the frame already counts towards the limits."""
    shape, stock, there = model.shape(), materials(parts), tuple(on)
    # Also what is fitted elsewhere than at these places may reach into them.
    taken = [stretch for fitted in there for stretch in of_fitted(fitted, parts, shape)]
    found: list[Site] = []
    for limit in places_of(model):
        most, length = _left(limit, there, parts, shape.throat)
        options = tuple(
            option
            for name, part in stock.items()
            for option in _options(name, part, limit.place, most, length, shape, cut)
            if not overlap(option.covers, taken)
        )
        found.append(Site(limit.place, most, length, options, assumed))
    return tuple(found)


def allowed(
    found: Iterable[Site], at: Callable[[FittedPlace], bool], takes: Callable[[str, float | None], bool]
) -> Iterator[Site]:
    """The places where something may go, each with the options that may be used."""
    for site in found:
        if at(site.place):
            kept = tuple(o for o in site.options if takes(o.part, o.laid.length if o.covers else None))
            yield replace(site, options=kept)


def lighter(parts: Mapping[str, Part], fitted: Fitted, throat: Throat) -> list[str]:
    """Parts in stock of the same kind that weigh less than a fitted one, by their names in the catalogue."""
    own, mass = parts[fitted.part], fitted_mass(fitted, parts, throat)
    return [
        name
        for name, part in parts.items()
        if part.kind == own.kind and part.mass and mass is not None and part.mass.value < mass and in_stock(part)
    ]


def _left(
    limit: PlaceLimit, on: tuple[Fitted, ...], parts: Mapping[str, Part], throat: Throat
) -> tuple[float, float | None]:
    """What a place still takes beside the tuning that is on it: g, and mm of strip."""
    here = [f for f in on if f.place.spot == limit.place.spot and f.part in parts and _tunes(parts[f.part])]
    most = limit.most.value - sum(fitted_mass(f, parts, throat) or 0.0 for f in here)
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
        for k in _amounts(most / gram_a_step, longest / cut if longest is not None else None):
            if not on_itself(place, k * cut, shape):
                laid = lay("tape", place, k * gram_a_step, k * cut, shape)
                yield Option(name, place, k * gram_a_step, laid, stretches(place, k * cut, shape))
    elif part.kind == "silicone" and _takes_paste(place, shape):
        step = part.step.value if part.step else PASTE_STEP_G
        for k in _amounts(most / step, None):
            yield Option(name, place, k * step, lay("silicone", place, k * step, None, shape))


def _amounts(most: float, longest: float | None) -> range:
    """So many steps as a place takes by mass and by length, all of them or every second, third, … of very many."""
    # 2.4 g at 0.4 g a step are six steps, though the quotient is 5.999… in floating point.
    count = int(min(most, longest if longest is not None else most) + _ROUNDING)
    # Rounded up; and 1 for a place that takes nothing, since a range needs a step.
    every = -(-count // MOST_STEPS) or 1
    return range(every, count + 1, every)


def _longest(place: FittedPlace, length: float | None, shape: RacquetShape) -> float | None:
    """The longest single strip at a place, mm; None where its mass alone limits it."""
    # A strip of more than a sixth of the hoop no longer acts at its hour; the two of a pair may meet at half of it.
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
