"""The work itself, done and wanted: removals, stringing, string bed readings, and the build against the mass that the frame gained."""

from collections.abc import Iterator, Mapping
from datetime import date

from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.load import Content, Entry, records_of
from passport.records.masses import added_mass
from passport.records.schema.catalogue import Part, StringType
from passport.records.schema.frame import Fitted, Frame, HandleBuild, Reading, Stringing
from passport.records.timeline import Holding, not_fitted, steps
from passport.records.yaml.yamltext import Path


def removals(content: Content, today: date) -> Iterator[Fault]:
    """What a job removes was on the frame."""
    parts = records_of(content.parts)
    for entry in content.frames.values():
        for step in steps(entry.record, parts):
            for k, removed in not_fitted(step):
                if removed.part in parts:
                    on = (
                        ", ".join(
                            worded("{part} at {place}", part=p.part, place=p.place.text) for p in step.before.parts
                        )
                        or "nothing"
                    )
                    what = worded(
                        "'{part}' at {place} was not on the frame. On it: {on}.",
                        part=removed.part,
                        place=removed.place.text,
                        on=on,
                    )
                    do = worded("Correct the part or the place, or add the job that fitted it.")
                    yield Fault(entry.at("jobs", step.index, "removed", k, "part"), "not-fitted", what, do)


def sleeves(content: Content, today: date) -> Iterator[Fault]:
    """A handle has no fewer sleeves than were fitted by the record."""
    parts = records_of(content.parts)
    for entry in content.frames.values():
        told: list[tuple[Path, HandleBuild, tuple[Fitted, ...]]] = [
            (("handle",), entry.record.handle, entry.record.build)
        ]
        told += [(("jobs", s.index, "handle"), s.job.handle, s.after.parts) for s in steps(entry.record, parts)]
        for path, handle, on in told:
            fitted = sum(1 for f in on if f.part in parts and parts[f.part].kind == "sleeve")
            if handle.sleeves is not None and handle.sleeves < fitted:
                what = worded(
                    "The handle is said to have {sleeves} sleeves, and {fitted} are on it by its parts.",
                    sleeves=handle.sleeves,
                    fitted=fitted,
                )
                do = worded("Correct the count, or add the job that took one off.")
                yield Fault(entry.at(*path, "sleeves"), "sleeve-count", what, do, "warning")


def stringing(content: Content, today: date) -> Iterator[Fault]:
    """Pieces, knots and strings of a restringing fit together."""
    for entry in content.frames.values():
        for path, strings in entry.record.stringings():
            for key, what, do in _pieces(strings):
                yield Fault(entry.at(*path, key), "pieces", what, do)


def _pieces(strings: Stringing) -> Iterator[tuple[str, str, str]]:
    pieces, knots = strings.pieces, strings.knots
    if pieces == 1 and strings.hybrid:
        do = worded("Add 'pieces: 2', or correct the string of the crosses.")
        yield "pieces", worded("Two different strings cannot be strung in one piece."), do
    elif pieces == 2 and knots is not None and knots < 4:
        do = worded("Write 'knots: 4', or 'pieces: 1'.")
        yield "knots", worded("Two pieces have four ends, so {knots} knots leave one untied.", knots=knots), do
    elif pieces == 1 and knots is not None and knots > 2:
        do = worded("Write 'pieces: 2', or 'knots: 2'.")
        yield "knots", worded("One piece has two ends, too few for {knots} knots.", knots=knots), do


def cracked(content: Content, today: date) -> Iterator[Fault]:
    """A frame in which a crack was found, or that is marked broken, is not to be strung."""
    for entry in content.frames.values():
        order = entry.record.order
        if order is None or order.strings is None:
            continue
        if order.condition.crack == "found":
            what = worded(
                "A crack was found in this frame, and the order asks to string it. A cracked frame is not strung."
            )
            do = worded(
                "Take 'strings' out of the order and tell the player, or correct 'crack' if it is only the paint."
            )
            yield Fault(entry.at("order", "strings"), "cracked", what, do)
        elif entry.record.status == "broken":
            what = worded(
                "This frame is marked broken, and the order asks to string it. A cracked frame is not strung."
            )
            do = worded("Take 'strings' out of the order and tell the player, or correct 'status'.")
            yield Fault(entry.at("order", "strings"), "cracked", what, do)


def string_readings(content: Content, today: date) -> Iterator[Fault]:
    """A string bed's reading says how long after stringing it was taken."""
    for entry in content.frames.values():
        for i, job in enumerate(entry.record.jobs):
            for k, reading in enumerate(job.readings):
                if reading.ring and not reading.age and job.strings and reading.when == "after":
                    what = worded(
                        "A reading of fresh strings means little without its age: strings lose most in the first hours."
                    )
                    place = entry.at("jobs", i, "readings", k, "ring")
                    yield Fault(
                        place, "no-age", what, worded("Add 'age: 15 min', the time since stringing."), "warning"
                    )


def build_against_gain(content: Content, today: date) -> Iterator[Fault]:
    """The parts fitted between two readings weigh no more than the frame gained between them."""
    parts = records_of(content.parts)
    strings = records_of(content.strings)
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        if model is not None:
            yield from _gain_faults(content, entry, parts, strings)


def _gain_faults(
    content: Content, entry: Entry[Frame], parts: Mapping[str, Part], strings: Mapping[str, StringType]
) -> Iterator[Fault]:
    """The frame under its parts keeps its mass; where it seems to shrink, the build claims more than was gained.

    Bare and strung readings are followed apart: the strings outside the head are not in the claim, and would be taken
    for a loss when the frame is cut free.
    """
    model = content.models[entry.record.model].record
    shape = model.shape()
    tolerance = content.workshop.record.tolerances.mass.value if content.workshop else 1.0
    last: dict[bool, tuple[float, float, date]] = {}
    for place, reading, holding, day in _weighed(entry.record, parts):
        added = added_mass(holding, reading, parts, strings, shape, model.pattern)
        if added is None or reading.mass is None:
            continue
        mass = reading.mass.value
        strung = reading.strung
        if strung in last:
            mass_then, added_then, day_then = last[strung]
            claimed, gained = added - added_then, mass - mass_then
            if claimed > gained + tolerance:
                what = worded(
                    "Since {day_then} {claim}, but the frame {gain}.",
                    day_then=day_then,
                    claim=_claim(claimed),
                    gain=_gain(gained),
                )
                do = worded("Weigh the parts, look for one that fell off or is listed twice, or weigh the frame again.")
                yield Fault(entry.at(*place), "build-over-gain", what, do, "warning")
        last[strung] = (mass, added, day)


def _claim(grams: float) -> str:
    if abs(grams) < 0.05:
        return worded("the weight of the parts did not change")
    return (
        worded("parts of {grams:.1f} g came on", grams=grams)
        if grams > 0
        else worded("parts of {grams:.1f} g came off", grams=-grams)
    )


def _gain(grams: float) -> str:
    if abs(grams) < 0.05:
        return worded("gained nothing")
    return worded("gained only {grams:.1f} g", grams=grams) if grams > 0 else worded("lost {grams:.1f} g", grams=-grams)


def _weighed(frame: Frame, parts: Mapping[str, Part]) -> Iterator[tuple[Path, Reading, Holding, date]]:
    """Each weighing of a frame with what was on it, the ones before a job's work first."""
    for step in steps(frame, parts):
        order = sorted(enumerate(step.job.readings), key=lambda item: item[1].when != "before")
        for k, reading in order:
            if reading.mass:
                holding = step.before if reading.when == "before" else step.after
                yield ("jobs", step.index, "readings", k, "mass"), reading, holding, step.job.date
