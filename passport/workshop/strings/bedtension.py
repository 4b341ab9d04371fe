"""From a frequency to the tension that a string bed holds, and the frequency to expect of a recipe.

The bed is the membrane of `passport.physics.stringbed`; here it is made from a record's stringing, with how well each
of its figures is known.
"""

import math
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from passport.physics import stringbed
from passport.physics.stringbed import BedSpread, StringBed
from passport.physics.stringing.zones import UNEVEN_U
from passport.physics.uncertainty import Estimate
from passport.records.masses import linear_density
from passport.records.schema.as_printed import gauge_u
from passport.records.schema.catalogue import FrameModel, StringType
from passport.records.schema.frame import Stringing, Strung
from passport.records.strung.zonedpulls import even_pulls
from passport.workshop.measuring.instruments import digits_u

RATIO_U: Final = 0.05
"""Standard uncertainty of the crosses' bed tension over the mains', as a share of the ratio of their pulls (common
practice, no source)."""

MEASURED_SPACING_U: Final = 0.1
"""Standard uncertainty of a spacing measured over several strings, mm (common practice, no source)."""


def membrane(
    stringing: Stringing, model: FrameModel, strings: Mapping[str, StringType]
) -> tuple[StringBed, BedSpread] | None:
    """A stringing in a frame model as a bed, and how well it is known; None where a string's mass is not known."""
    found = [string_density(strings.get(part.string), part) for part in stringing.both]
    mains, crosses = found
    if mains is None or crosses is None:
        return None
    pattern, usual, shape = model.pattern, BedSpread(), model.shape()
    spread = BedSpread(
        main_density=mains.u,
        cross_density=crosses.u,
        main_spacing=MEASURED_SPACING_U if pattern and pattern.main_spacing else usual.main_spacing,
        cross_spacing=MEASURED_SPACING_U if pattern and pattern.cross_spacing else usual.cross_spacing,
        area=dict(shape.unsure).get("outline", 0.0),
    )
    return StringBed.of(shape, mains.value, crosses.value), spread


def string_density(string: StringType | None, strung: Strung) -> Estimate | None:
    """Linear density of a string as it was used, g/m: as weighed, else estimated from material and gauge."""
    if string is None:
        return None
    written = strung.gauge or string.gauge
    gauge = written.value
    if not string.weighed:
        if string.material not in stringbed.MATERIALS:
            return None
        found = stringbed.linear_density(string.material, gauge)
        return Estimate(found.value, math.hypot(found.u, found.value * 2 * gauge_u(written)))
    value = linear_density(string, strung) or string.weighed.value
    other = 2 * math.hypot(stringbed.GAUGE_U, stringbed.GAUGE_U) / gauge if gauge != string.gauge.value else 0.0
    return Estimate(value, value * math.hypot(digits_u(string.weighed) / string.weighed.value, other))


def pull_ratio(stringing: Stringing, model: FrameModel | None) -> float:
    """Pull tension of the crosses over that of the mains; of a bed with zones that of the even bed that rings like it."""
    mains, crosses = even_pulls(stringing, model) if model else (part.tension.value for part in stringing.both)
    return crosses / mains


def held(known: tuple[StringBed, BedSpread], hz: float, reading_u: float, ratio: float) -> Estimate:
    """Bed tension of the mains in N from a frequency; ``reading_u`` is the reading's uncertainty, a share of it."""
    one = _tension_at_1_hz(*known, ratio)
    share = math.hypot(one.u / one.value, reading_u)
    return Estimate(one.value * hz**2, one.value * hz**2 * share)


def forecast(known: tuple[StringBed, BedSpread], stringing: Stringing, model: FrameModel) -> Estimate:
    """Frequency in Hz expected right after stringing at these pulls, where nothing was measured.

    Mains and crosses hold the same uncertain share of their pull, so its uncertainty does not average out.
    """
    (pull, crosses), share = even_pulls(stringing, model), stringbed.bed_share(model.sport)
    one = _tension_at_1_hz(*known, crosses / pull)
    hz = math.sqrt(pull * share.value / one.value)
    uneven = UNEVEN_U * zone_changes(known[0], stringing, model)
    return Estimate(hz, hz * math.hypot(one.u / one.value / 2, share.u / share.value / 2, uneven))


def zone_changes(bed: StringBed, stringing: Stringing, model: FrameModel) -> float:
    """By which share the zones of the mains change the frequency, plus that of the crosses, whichever way each of them goes."""
    even, (mains, crosses) = even_pulls(stringing, model), (part.tension.value for part in stringing.both)
    plain = bed.frequency(mains, crosses)
    return abs(bed.frequency(even[0], crosses) / plain - 1) + abs(bed.frequency(mains, even[1]) / plain - 1)


@lru_cache(maxsize=4096)
def _tension_at_1_hz(bed: StringBed, spread: BedSpread, ratio: float) -> Estimate:
    """The tension of the mains that would let the bed ring at 1 Hz; it goes with the square of the frequency."""
    return stringbed.bed_tension(bed, Estimate(1.0, 0.0), Estimate(ratio, RATIO_U * ratio), spread)
