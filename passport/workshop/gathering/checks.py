"""Checks that take the bench's sums: batches that differ, hours of play that do not fit, targets that were missed."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date

from passport.physics.units import lb_from_newtons
from passport.records.faults import Fault, Place
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.workshop.facts.bedfacts import DAY_MINUTES
from passport.workshop.facts.facts import SpecFacts
from passport.workshop.facts.spoken_names import name_said
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.measuring.dimensions import DIMENSIONS, helps_most, usual_bed
from passport.workshop.strings.batches import Batch, batches

Check = Callable[[Content, Gatherer, date], Iterable[Fault]]
_UNITS = {"mass": "g", "balance": "mm", "swingweight": "kg·cm²", "twistweight": "kg·cm²"}
_TO_TARGET = unsaid("Measure again, tune it (see 'passport rebuild --help'), or write the target that it now has.")


def run(content: Content, today: date, gatherer: Gatherer | None = None) -> list[Fault]:
    """Every fault that these checks find, in the order of the files.

    ``gatherer`` is that of the same content, in which much is worked out already, where there is one.
    """
    worked = gatherer or Gatherer(content)
    return sorted({fault for check in CHECKS for fault in check(content, worked, today)})


def odd_in_batch(content: Content, gatherer: Gatherer, today: date) -> Iterator[Fault]:
    """Frames strung in one go, and still strung so, read alike at the same age."""
    for batch in batches(gatherer.book, content, still_in=True):
        suspects = [batch.odd] if batch.odd else batch.members
        for member in suspects if batch.verdict == "outside" else ():
            if member.bed.until is None:
                entry = content.frames[member.bed.frame]
                place = entry.at("jobs", member.ring.job, "readings", member.ring.index, "ring")
                yield Fault(place, "batch-spread", _what(batch, entry), _look_for(batch), "warning")


def _what(batch: Batch, entry: Entry[Frame]) -> str:
    kind = worded("bed tension") if batch.worked_out else worded("the reading")
    others = len(batch.members) - 1
    allowed = worded("the batch may spread {spread:.1f} lb", spread=lb_from_newtons(batch.tolerance))
    if batch.odd:
        by = abs(lb_from_newtons(batch.odd_by))
        text = (
            unsaid(
                "{label} is {by:.1f} lb below the {others} others strung with it ({kind} at the same age); {allowed}."
            )
            if batch.odd_by < 0
            else unsaid(
                "{label} is {by:.1f} lb above the {others} others strung with it ({kind} at the same age); {allowed}."
            )
        )
        return worded(text, label=entry.record.label, by=by, others=others, kind=kind, allowed=allowed)
    return worded(
        "The {frames} frames strung in one go differ by {spread:.1f} lb ({kind} at the same age); {allowed}.",
        frames=others + 1,
        spread=lb_from_newtons(batch.spread),
        kind=kind,
        allowed=allowed,
    )


def _look_for(batch: Batch) -> str:
    if not batch.odd:
        return worded("Read them again at the same age; look at the clamps and check the tension head.")
    causes = "; ".join(worded(cause) for cause in batch.causes)
    return worded("Read it again at the same age; then look for {causes}.", causes=causes)


def hours_fit(content: Content, gatherer: Gatherer, today: date) -> Iterator[Fault]:
    """Strings were not played longer than they had been in."""
    for name, beds in gatherer.book.beds.items():
        for bed in beds:
            for note in bed.played:
                if not note.fits:
                    days = round(note.age / DAY_MINUTES)
                    what = worded(
                        "{minutes:g} hours of play do not fit into the {days} days since stringing.",
                        minutes=note.minutes / 60,
                        days=days,
                    )
                    place = content.frames[name].at("jobs", note.job, "readings", note.index, "played")
                    do = worded("Write the hours played with the strings that are in, not with the frame.")
                    yield Fault(place, "hours-over-age", what, do, "warning")


def ages_fit(content: Content, gatherer: Gatherer, today: date) -> Iterator[Fault]:
    """The age of a reading is the time between its job and the one that strung, give or take a day and a half."""
    for name, beds in gatherer.book.beds.items():
        for bed in beds:
            for ring in bed.rings:
                days = (ring.taken - bed.strung).days
                if ring.age is not None and not ring.dated and abs(ring.age / DAY_MINUTES - days) > 1.5:
                    since = worded("{days} days", days=days) if days != 1 else worded("1 day")
                    what = worded(
                        "By the dates these strings were {since} old, but the reading says otherwise.", since=since
                    )
                    place = content.frames[name].at("jobs", ring.job, "readings", ring.index, "age")
                    do = worded("Correct the age or the date: the age is the time since stringing.")
                    yield Fault(place, "age-off-dates", what, do, "warning")


def dimensions_assumed(content: Content, gatherer: Gatherer | None, today: date) -> Iterator[Fault]:
    """A model that frames or blanks are of has its dimensions in the catalogue; which one is worth measuring first."""
    used = {e.record.model for e in content.frames.values()} | {e.record.model for e in content.blanks.values()}
    for name, entry in content.models.items():
        shape = entry.record.shape()
        lacking = [worded(DIMENSIONS[what]) for what, u in shape.assumed if u]
        best = helps_most(usual_bed(shape).swingweight().shares) if lacking and name in used else ""
        if best:
            what = worded(
                "Not recorded, and taken as usual in {sport}: {lacking}.",
                sport=name_said(entry.record.sport),
                lacking=", ".join(lacking),
            )
            do = worded("Write {best} first: it would help most.", best=best)
            yield Fault(entry.at(), "assumed-dimensions", what, do, "warning")


def off_target(content: Content, gatherer: Gatherer, today: date) -> Iterator[Fault]:
    """A frame in use is not surely outside the tolerance of any target."""
    if content.workshop is None:
        return
    for entry in content.frames.values():
        if entry.record.model not in content.models or entry.record.status != "active":
            continue
        for spec in gatherer.specs(entry.name):
            if spec.verdict == "outside":
                yield Fault(_target_of(entry, spec), "off-target", _missed(spec), worded(_TO_TARGET), "warning")


def _missed(spec: SpecFacts) -> str:
    assert spec.off is not None and spec.target is not None and spec.taken is not None, "only these can be outside"
    text = (
        unsaid(
            "On {day} its {quantity} was {value:.1f} {unit}, {off:.1f} {unit} over the target of {target:g} ± {tolerance:g} "
            "{unit}."
        )
        if spec.off > 0
        else unsaid(
            "On {day} its {quantity} was {value:.1f} {unit}, {off:.1f} {unit} under the target of {target:g} ± "
            "{tolerance:g} {unit}."
        )
    )
    return worded(
        text,
        day=spec.taken,
        quantity=name_said(spec.quantity),
        value=spec.value,
        unit=_UNITS[spec.quantity],
        off=abs(spec.off),
        target=spec.target,
        tolerance=spec.tolerance,
    )


def _target_of(entry: Entry[Frame], spec: SpecFacts) -> Place:
    """The target's line, or the frame's label where the target stands in the record of the frame that it rebuilds."""
    own = getattr(entry.record.setup, spec.quantity)
    return entry.at("setup", spec.quantity) if own else entry.at("label")


CHECKS: tuple[Check, ...] = (odd_in_batch, hours_fit, ages_fit, off_target, dimensions_assumed)
