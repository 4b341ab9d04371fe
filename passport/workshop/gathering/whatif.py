"""What another recipe would do to a frame: another string, gauge, tension or pattern, before anything is cut out.

The strings' mass and moments are those of the whole string, with what runs through the hoop and round it, so mass,
balance and swingweight change by the difference of two such bodies. What both have in common (how the string outside
the head is estimated, the frame's dimensions) is one input of both and mostly cancels. The frequency is that of the membrane; where the frame's own fresh reading is known, the
forecast starts from it, and only the change is worked out.
"""

import math
from dataclasses import dataclass, replace
from typing import Final, Literal

from passport.physics.body import Body
from passport.physics.moments import Moments
from passport.physics.stringbed import BedSpread, StringBed, bed_share
from passport.physics.uncertainty import Estimate, propagate
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.catalogue import FrameModel, Pattern
from passport.records.schema.frame import Stringing
from passport.records.schema.quantities import Quantity
from passport.records.strung.zonedpulls import even_pulls, highest_pull
from passport.workshop.facts.bedfacts import FRESH_MINUTES
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.measuring.assumed import Assumptions
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.states import Missing, Predictor
from passport.workshop.measuring.strung_pairs import StrungPairs
from passport.workshop.strings.beds import Bed, BedBook, Ring
from passport.workshop.strings.bedtension import forecast, membrane
from passport.workshop.strings.string_priors import StringPriors

SAME_STRING_U: Final = 0.02
"""Standard uncertainty of the share of its pull that a bed holds, from one bed to the next of the same string in the
same frame, as a share of it (common practice, no source)."""


class NotPossible(ValueError):
    """The question has no answer: what is asked about does not exist or has no strings. ``names`` are those known."""

    def __init__(self, message: str, asked: str = "", names: tuple[str, ...] = ()) -> None:
        """Say what is wrong; ``asked`` is the name that was not found among ``names``."""
        super().__init__(message)
        self.asked, self.names = asked, names


@dataclass(frozen=True, slots=True)
class RecipeChange:
    """What is to be different; what is left empty stays. ``crosses_pull`` empty with a ``mains_pull``: the crosses keep
    their distance from the mains. ``gauge`` is for mains and crosses; ``pattern`` is mains by crosses."""

    mains: str = ""
    crosses: str = ""
    gauge: Quantity | None = None
    mains_pull: Quantity | None = None
    crosses_pull: Quantity | None = None
    pattern: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Recipe:
    """A recipe and what follows from it.

    String names and gauges (mm) of mains and crosses, their pulls (N), the ``highest`` that any string gets, zones and all;
    the pattern; whether there are ``zones``. ``strings``: mass of the whole
    string, g. ``hz``: the reading to expect of the fresh bed, Hz. ``mass`` g, ``balance`` mm and
    ``swingweight`` kg·cm² of the whole racquet, None where it was not measured.
    """

    names: tuple[str, str]
    gauges: tuple[float, float]
    pulls: tuple[float, float]
    highest: float
    zones: bool
    pattern: tuple[int, int]
    strings: Estimate | None
    hz: Estimate | None
    mass: float | None
    balance: float | None
    swingweight: float | None


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The recipe as it is and as it would be.

    ``mass_change`` g and ``swingweight_change`` kg·cm² hold even where the racquet itself was not measured,
    ``balance_change`` mm does not; each is None where a string's mass is not known. ``read``: the fresh reading
    that the forecast starts from, Hz, or None where it starts from the usual share of the pull. ``limit``: the frame
    maker's tension limit, N; ``over_limit`` says that the new recipe is above it.
    """

    now: Recipe
    then: Recipe
    mass_change: Estimate | None
    balance_change: Estimate | None
    swingweight_change: Estimate | None
    read: float | None
    source: Literal["reading", "pull"]
    limit: float | None

    @property
    def over_limit(self) -> bool:
        """Whether the new pulls are above the frame maker's limit."""
        return self.limit is not None and self.then.highest > self.limit + 1e-9


def what_if(content: Content, frame: str, change: RecipeChange, priors: StringPriors | None = None) -> WhatIf:
    """The effect of a change of recipe on a frame, ``player/frame``. Raises `NotPossible`.

    ``priors`` is what all beds told, where ``content`` holds a part of its players only.
    """
    if frame not in content.frames:
        raise NotPossible(worded("There is no record '{frame}'.", frame=frame), frame, tuple(content.frames))
    for name in filter(None, (change.mains, change.crosses)):
        if name not in content.strings:
            raise NotPossible(
                worded("The string '{name}' is not in the catalogue.", name=name), name, tuple(content.strings)
            )
    book = BedBook(content, priors)
    bed, model = book.current(frame), content.models[content.frames[frame].record.model].record
    if bed is None:
        raise NotPossible(
            worded("'{frame}' has no strings in its record, so there is no recipe to change.", frame=frame)
        )
    after, other = _stringing(bed.stringing, change), _model(model, change)
    read = _fresh_reading(book, bed)
    gatherer = Gatherer(content, priors)
    pairs, name = _pairs(gatherer), content.frames[frame].record.model
    strings = [_strings(pairs.predictor(name, m), s, frame) for s, m in ((bed.stringing, model), (after, other))]
    whole = _measured(gatherer, frame)
    gain = strings[1] - strings[0] if strings[0] and strings[1] else None
    changed = whole + gain.moments if whole and gain else None
    hz = _frequencies(book, (bed.stringing, after), (model, other), read)
    return WhatIf(
        now=_recipe(bed.stringing, model, book, strings[0], hz[0], whole),
        then=_recipe(after, other, book, strings[1], hz[1], changed),
        mass_change=gain.mass() if gain else None,
        balance_change=_balance_change(whole, gain) if whole and gain else None,
        swingweight_change=gain.swingweight() if gain else None,
        read=read.value if read else None,
        source="reading" if read else "pull",
        limit=model.tension.high.value if model.tension else None,
    )


def _stringing(now: Stringing, change: RecipeChange) -> Stringing:
    """The stringing after the change. Crosses that are strung like the mains change with them."""
    mains, crosses = now.both
    new: dict[str, object] = {"string": change.mains or mains.string}
    other: dict[str, object] = {"string": change.crosses or (new["string"] if now.crosses is None else crosses.string)}
    # a gauge that was written for one string says nothing of another
    if change.gauge or change.mains:
        new["gauge"] = change.gauge
    if change.gauge or other["string"] != crosses.string:
        other["gauge"] = change.gauge
    if change.mains_pull:
        gap = crosses.tension.value - mains.tension.value
        new["tension"] = change.mains_pull
        other["tension"] = replace(change.mains_pull, value=change.mains_pull.value + gap)
    if change.crosses_pull:
        other["tension"] = change.crosses_pull
    after = now.model_copy(update={"mains": mains.model_copy(update=new), "crosses": crosses.model_copy(update=other)})
    by = [new.tension.value - old.tension.value for new, old in zip(after.both, now.both, strict=True)]
    return after.model_copy(update={"zones": now.zones.moved(*by)}) if now.zones and any(by) else after


def _model(model: FrameModel, change: RecipeChange) -> FrameModel:
    """The frame model with another pattern; measured spacings go with the counts as the estimated ones do."""
    if not change.pattern:
        return model
    shape, (mains, crosses) = model.shape(), change.pattern
    old = model.pattern or Pattern(mains=shape.mains, crosses=shape.crosses)
    spacings = {
        "main_spacing": _scaled(old.main_spacing, (old.mains + 3) / (mains + 3)),
        "throat_spacing": _scaled(old.throat_spacing, (old.mains + 3) / (mains + 3)),
        "cross_spacing": _scaled(old.cross_spacing, (old.crosses + 3) / (crosses + 3)),
    }
    pattern = old.model_copy(update={"mains": mains, "crosses": crosses, **spacings})
    return model.model_copy(update={"pattern": pattern})


def _scaled(spacing: Quantity | None, factor: float) -> Quantity | None:
    return replace(spacing, value=spacing.value * factor) if spacing else None


def _pairs(gatherer: Gatherer) -> StrungPairs:
    instruments, assumed = Instruments.of(gatherer.workshop), Assumptions.of(gatherer.workshop)
    return StrungPairs(gatherer.content, gatherer.parts, gatherer.strings, instruments, assumed)


def _strings(predictor: Predictor, stringing: Stringing, frame: str) -> Body | None:
    """The whole string of a frame; None where its mass is unknown."""
    try:
        return predictor.strung(stringing, frame)
    except Missing:
        return None


def _balance_change(whole: Moments, gain: Body) -> Estimate:
    """By how much the balance point moves, mm. What is not known of the racquet itself is the same before and after."""
    then = whole + gain.moments
    doubt = Body(then, gain.shifts).balance()
    return Estimate(then.balance - whole.balance, doubt.u, doubt.shares)


def _measured(gatherer: Gatherer, frame: str) -> Moments | None:
    """The racquet as it was last measured in the player's state; None where a figure is missing."""
    facts = gatherer.frame(frame)
    mass, balance, swing = (facts.spec(q).value for q in ("mass", "balance", "swingweight"))
    return Moments.from_measured(mass, balance, swing) if mass and balance and swing else None


def _fresh_reading(book: BedBook, bed: Bed) -> Estimate | None:
    """The bed's first reading in Hz, brought to the fresh age; None where there is none."""
    rings = [ring for ring in bed.rings if ring.hertz and ring.age is not None]
    first: Ring | None = min(rings, key=lambda ring: ring.age or 0.0, default=None)
    aged = first.aged() if first else None
    if first is None or aged is None:
        return None
    moved = book.life(bed).moved(aged, FRESH_MINUTES)
    hz = first.value * (moved.value / aged.value) ** 0.5
    return Estimate(hz, hz / 2 * math.hypot(moved.u / moved.value, first.correction.u))


def _frequencies(
    book: BedBook,
    stringings: tuple[Stringing, Stringing],
    models: tuple[FrameModel, FrameModel],
    read: Estimate | None,
) -> tuple[Estimate | None, Estimate | None]:
    """The readings to expect of the fresh beds before and after, Hz: from ``read`` where there is one."""
    before, after = (membrane(s, m, book.strings) for s, m in zip(stringings, models, strict=True))
    if read is None or before is None or after is None:
        old = forecast(before, stringings[0], models[0]) if before else None
        return read or old, forecast(after, stringings[1], models[1]) if after else None
    return read, _changed(read, stringings, models, (before[0], after[0]), after[1])


def _changed(
    read: Estimate,
    stringings: tuple[Stringing, Stringing],
    models: tuple[FrameModel, FrameModel],
    beds: tuple[StringBed, StringBed],
    spread: BedSpread,
) -> Estimate:
    """The fresh reading after the change: the one before times the ratio of the two membranes.

    The head's dimensions and what the membrane leaves out are the same before and after and drop out of the ratio; so
    does a string that stays. Another string may hold another share of its pull, as far off as that share is known.
    """
    one, other = ([(s.string, s.gauge and s.gauge.value) for s in stringing.both] for stringing in stringings)
    same = [name for name, _ in one] == [name for name, _ in other]
    usual = bed_share(models[1].sport)
    share = SAME_STRING_U if same else usual.u / usual.value
    inputs = {
        "read": read,
        "share": Estimate(1.0, share),
        "mains": Estimate(beds[1].main_density, 0.0 if one[0] == other[0] else spread.main_density),
        "crosses": Estimate(beds[1].cross_density, 0.0 if one[1] == other[1] else spread.cross_density),
    }
    now, pulls = beds[0].frequency(*even_pulls(stringings[0], models[0])), even_pulls(stringings[1], models[1])

    def model(read: float, share: float, mains: float, crosses: float) -> float:
        bed = replace(beds[1], main_density=mains, cross_density=crosses)
        return read * bed.frequency(*(share * pull for pull in pulls)) / now

    return propagate(model, inputs)


def _pulls(stringing: Stringing) -> tuple[float, float]:
    mains, crosses = stringing.both
    return mains.tension.value, crosses.tension.value


def _recipe(
    stringing: Stringing,
    model: FrameModel,
    book: BedBook,
    strings: Body | None,
    hz: Estimate | None,
    whole: Moments | None,
) -> Recipe:
    """A recipe with what follows from it, as figures."""
    mains, crosses = ((book.strings[s.string], s) for s in stringing.both)
    shape = model.shape()
    return Recipe(
        names=(mains[0].name, crosses[0].name),
        gauges=((mains[1].gauge or mains[0].gauge).value, (crosses[1].gauge or crosses[0].gauge).value),
        pulls=_pulls(stringing),
        highest=highest_pull(stringing),
        zones=stringing.zones is not None,
        pattern=(shape.mains, shape.crosses),
        strings=strings.mass() if strings else None,
        hz=hz,
        mass=whole.mass if whole else None,
        balance=whole.balance if whole else None,
        swingweight=whole.swingweight() if whole else None,
    )
