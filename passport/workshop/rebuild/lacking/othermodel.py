"""A frame rebuilt on another model: what its string bed corresponds to there, and what cannot be made the same.

Two beds correspond where they ring alike by the net of their strings (`passport.physics.stringbed`), with the same
distance in share between mains and crosses. A frequency goes with the root of the tension, so one quotient is enough; the
strings are the same in both, so what is not known of them drops out of it.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from passport.physics import stringbed
from passport.physics.stringbed import BedSpread, StringBed
from passport.physics.uncertainty import Estimate, combined
from passport.physics.units import N_PER_LBF, kg_from_newtons, lb_from_newtons
from passport.records.language.worded import worded
from passport.records.schema.catalogue import FrameModel, StringType
from passport.records.schema.frame import Stringing
from passport.records.strung.zonedpulls import even_pulls
from passport.workshop.facts.facts import FrameFacts, StringingFacts, StrungFacts
from passport.workshop.strings.bedtension import forecast, membrane

_STEP_N: Final = {"lb": 0.5 * N_PER_LBF, "kg": 0.1 / kg_from_newtons(1.0)}
"""What a pull is set to at the machine: half pounds, tenths of a kilogram (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class BedMatch:
    """The ``pulls`` of mains and crosses of the old bed, N, and those that ``then`` ring alike in the new one.

    ``u`` is the standard uncertainty of their quotient as a share, ``hz`` what both are expected to ring at. ``limit`` is
    the new model's, N, None where nobody recorded it. ``unit`` is the one that the old pulls were written in.
    """

    pulls: tuple[float, float]
    then: tuple[float, float]
    u: float
    hz: float
    limit: float | None
    unit: str

    @property
    def strung(self) -> tuple[float, float]:
        """What the new bed gets: the same, or as much of it as the maker's limit allows, in whole steps."""
        if self.limit is None or max(self.then) <= self.limit + 1e-9:
            return self.then
        step, share = _STEP_N[self.unit], self.limit / max(self.then)
        mains, crosses = (math.floor(pull * share / step + 1e-6) * step for pull in self.then)
        return mains, crosses

    @property
    def text(self) -> str:
        """The correspondence in words."""
        old, new = self.written(self.pulls), self.written(self.then)
        told = worded(
            "String bed: {old} on the old bed corresponds to {new} on this one (± {share:.0f} %): both then ring alike, "
            "fresh at about {hertz:.0f} Hz.",
            old=old,
            new=new,
            share=200 * self.u,
            hertz=self.hz,
        )
        if self.strung != self.then:
            lower = 1 - (self.strung[0] / self.then[0]) ** 0.5
            told += worded(
                " That is above the maker's limit of this model, so it gets {pulls} and rings {share:.0f} % lower: the bed "
                "cannot be made the same.",
                pulls=self.written(self.strung),
                share=100 * lower,
            )
        return told

    def written(self, pulls: tuple[float, float]) -> str:
        """Pulls as a person at the machine says them, ``51/49 lb``."""
        of = kg_from_newtons if self.unit == "kg" else lb_from_newtons
        return "/".join(dict.fromkeys(f"{of(pull):.1f}".removesuffix(".0") for pull in pulls)) + f" {self.unit}"


@dataclass(frozen=True, slots=True)
class OtherModel:
    """What a rebuild on another model brings along: the new bed, None where ``bed_lacks`` says why; what differs."""

    old: FrameModel
    new: FrameModel
    bed: BedMatch | None
    bed_lacks: str
    differs: tuple[str, ...]

    @property
    def texts(self) -> tuple[str, ...]:
        """All of it in sentences, for a person at the bench."""
        begin = worded(
            "The blank is another model ({new} for {old}): the target stays the same; strings, grips and places are worked "
            "out on its own dimensions.",
            new=self.new.name,
            old=self.old.name,
        )
        cannot = worded("Cannot be made the same: {differs}.", differs="; ".join(self.differs)) if self.differs else ""
        path = (
            worded("Holes, skips and tie-offs are those of the new model, not of the old one.")
            if self.old.pattern and self.new.pattern
            else ""
        )
        return tuple(filter(None, (begin, self.bed.text if self.bed else self.bed_lacks, cannot, path)))

    def recipe(self, frame: FrameFacts) -> FrameFacts:
        """The old frame's facts with the strings as they go into this model: its pulls, pattern and limits."""
        tension, bed = self.new.tension, frame.stringing
        return replace(
            frame,
            shape=self.new.shape(),
            maker=self.new.maker,
            model=self.new.name,
            stringing=self._stringing(bed) if bed else None,
            tension_low=tension.low.value if tension and tension.low else None,
            tension_high=tension.high.value if tension else None,
        )

    def _stringing(self, bed: StringingFacts) -> StringingFacts:
        pulls = self.bed.strung if self.bed else (bed.mains.tension, bed.crosses.tension)
        mains, crosses = (_pulled(part, pull) for part, pull in zip((bed.mains, bed.crosses), pulls, strict=True))
        # Only what the string is, not where it runs: the holes are another frame's.
        return replace(
            bed, mains=mains, crosses=crosses, mains_start="", crosses_start="", skips="", tie_offs="", way="", path=None,
            warranty="", fingerprint=None, zones=(), string_pulls=None,
        )  # fmt: skip

    def data(self) -> dict[str, object]:
        """The same as data; pulls in N."""
        bed = self.bed
        return {
            "old": f"{self.old.maker} {self.old.name}",
            "new": f"{self.new.maker} {self.new.name}",
            "bed": {
                "mains_n": round(bed.pulls[0], 2),
                "crosses_n": round(bed.pulls[1], 2),
                "corresponds_to_mains_n": round(bed.then[0], 2),
                "corresponds_to_crosses_n": round(bed.then[1], 2),
                "strung_mains_n": round(bed.strung[0], 2),
                "strung_crosses_n": round(bed.strung[1], 2),
                "u_share": round(bed.u, 4),
                "frequency_hz": round(bed.hz, 1),
                "limit_n": None if bed.limit is None else round(bed.limit, 2),
            }
            if bed
            else None,
            "cannot_be_the_same": list(self.differs),
        }


def other_model(
    old: FrameModel, new: FrameModel, stringing: Stringing, strings: Mapping[str, StringType]
) -> OtherModel:
    """What comes along from one model to another with this stringing, and what does not."""
    lacks = [m.name for m in (old, new) if m.pattern is None]
    beds = [membrane(stringing, model, strings) for model in (old, new)]
    if lacks:
        why = (
            worded(
                "Nobody recorded the string pattern of the {model}, so no one can say which tension corresponds to the old "
                "one.",
                model=lacks[0],
            )
            if len(lacks) == 1
            else worded(
                "Nobody recorded the string pattern of the {old} or the string pattern of the {new}, so no one can say "
                "which tension corresponds to the old one.",
                old=old.name,
                new=new.name,
            )
        )
        return OtherModel(old, new, None, why, tuple(_differs(old, new, stringing)))
    if beds[0] is None or beds[1] is None:
        why = worded(
            "Nobody knows what a metre of the string weighs, so no one can say which tension corresponds to the old one."
        )
        return OtherModel(old, new, None, why, tuple(_differs(old, new, stringing)))
    return OtherModel(
        old, new, _bed((beds[0], beds[1]), (old, new), stringing), "", tuple(_differs(old, new, stringing))
    )


def _bed(
    beds: tuple[tuple[StringBed, BedSpread], tuple[StringBed, BedSpread]],
    models: tuple[FrameModel, FrameModel],
    stringing: Stringing,
) -> BedMatch:
    pulls = even_pulls(stringing, models[0])
    ratio = Estimate(pulls[1] / pulls[0], 0.0)
    # The strings are the same in both, so what their mass is off moves both alike.
    held = [
        stringbed.bed_tension(bed, Estimate(1.0, 0.0), ratio, replace(spread, main_density=0.0, cross_density=0.0))
        for bed, spread in beds
    ]
    share = held[1].value / held[0].value
    unit = "kg" if stringing.mains.tension.unit.strip().lower().startswith("k") else "lb"
    step = _STEP_N[unit]
    mains, crosses = (round(pull * share / step) * step for pull in pulls)
    hz = forecast(beds[0], stringing, models[0]).value
    limit = models[1].tension.high.value if models[1].tension else None
    return BedMatch(pulls, (mains, crosses), combined(*(each.u / each.value for each in held)), hz, limit, unit)


def _differs(old: FrameModel, new: FrameModel, stringing: Stringing) -> Iterator[str]:
    """What no tuning makes the same, as far as it is recorded of both."""
    if old.length and new.length and abs(old.length.value - new.length.value) >= 0.5:
        by = new.length.value - old.length.value
        said = {"by": abs(by), "length": new.length.text}
        yield (
            worded("its length, {by:g} mm more ({length}), and with it the reach", **said)
            if by > 0
            else worded("its length, {by:g} mm less ({length}), and with it the reach", **said)
        )
    sizes = [model.head.length and model.head.width for model in (old, new)]
    if all(sizes):
        one, other = old.shape(), new.shape()
        if max(abs(one.head_length - other.head_length), abs(one.head_width - other.head_width)) >= 1:
            yield worded(
                "its head, {length:.0f} × {width:.0f} mm inside the hoop instead of {old_length:.0f} × {old_width:.0f}",
                length=other.head_length,
                width=other.head_width,
                old_length=one.head_length,
                old_width=one.head_width,
            )
    elif old.head.size and new.head.size and old.head.size.text != new.head.size.text:
        yield worded("its head, {new} instead of {old}", new=new.head.size.text, old=old.head.size.text)
    if old.pattern and new.pattern:
        counts = [f"{model.pattern.mains} × {model.pattern.crosses}" for model in (old, new) if model.pattern]
        if counts[0] != counts[1]:
            yield worded("its string pattern, {new} instead of {old}", new=counts[1], old=counts[0])
    if stringing.zones:
        yield worded(
            "pulls by zone, which are told for the old holes alone: the pulls here are those of an even bed that rings alike"
        )


def own_path_left_out(stringing: Stringing) -> Stringing:
    """A stringing without where it runs from hole to hole: that is told for another frame's holes."""
    return stringing.model_copy(
        update={
            "path": None, "mains_start": None, "crosses_start": None, "short": None, "skips": "", "tie_offs": "",
            "zones": None,
        }
    )  # fmt: skip


def _pulled(part: StrungFacts, pull: float) -> StrungFacts:
    return replace(part, tension=pull)
