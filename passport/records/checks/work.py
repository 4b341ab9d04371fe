"""The work itself: removals, stringing, string bed readings, and the build against the mass that the frame gained."""

from collections.abc import Iterator, Mapping
from datetime import date

from passport.records.catalogue import Part, StringType
from passport.records.faults import Fault
from passport.records.frame import Frame, Reading
from passport.records.load import Content, Entry
from passport.records.masses import added_mass
from passport.records.timeline import Holding, not_fitted, steps


def removals(content: Content, today: date) -> Iterator[Fault]:
    """What a job removes was on the frame."""
    parts = {name: entry.record for name, entry in content.parts.items()}
    for entry in content.frames.values():
        for step in steps(entry.record, parts):
            for k, removed in not_fitted(step):
                on = ", ".join(f"{p.part} at {p.place.text}" for p in step.before.parts) or "nothing"
                what = f"'{removed.part}' at {removed.place.text} was not on the frame; on it: {on}."
                do = "Correct the part or the place, or add the job that fitted it."
                yield Fault(entry.at("jobs", step.index, "removed", k, "part"), "not-fitted", what, do)


def stringing(content: Content, today: date) -> Iterator[Fault]:
    """Pieces, knots and strings of a restringing fit together."""
    for entry in content.frames.values():
        for i, job in enumerate(entry.record.jobs):
            if job.strings and job.strings.pieces == 1 and job.strings.hybrid:
                what = "Two different strings cannot be strung in one piece."
                place = entry.at("jobs", i, "strings", "pieces")
                yield Fault(place, "pieces", what, "Write 'pieces: 2' and 'knots: 4', or correct the crosses.")
            elif job.strings and job.strings.pieces == 2 and job.strings.knots < 4:
                what = f"Two pieces with {job.strings.knots} knots leave an end untied."
                place = entry.at("jobs", i, "strings", "knots")
                yield Fault(place, "pieces", what, "Write 'knots: 4', or 'pieces: 1'.")


def string_readings(content: Content, today: date) -> Iterator[Fault]:
    """A string bed's reading says how long after stringing it was taken."""
    for entry in content.frames.values():
        for i, job in enumerate(entry.record.jobs):
            for k, reading in enumerate(job.readings):
                if reading.ring and not reading.age and job.strings and reading.when == "after":
                    what = "A reading of fresh strings means little without its age: they lose most in the first hours."
                    place = entry.at("jobs", i, "readings", k, "ring")
                    yield Fault(place, "no-age", what, "Add 'age: 15 min', the time since stringing.", "warning")


def build_against_gain(content: Content, today: date) -> Iterator[Fault]:
    """The parts fitted between two readings weigh no more than the frame gained between them."""
    parts = {name: entry.record for name, entry in content.parts.items()}
    strings = {name: entry.record for name, entry in content.strings.items()}
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        if model is not None:
            yield from _gain_faults(content, entry, parts, strings)


def _gain_faults(
    content: Content, entry: Entry[Frame], parts: Mapping[str, Part], strings: Mapping[str, StringType]
) -> Iterator[Fault]:
    """The frame under its parts keeps its mass; where it seems to shrink, the build claims more than was gained."""
    shape = content.models[entry.record.model].record.shape()
    tolerance = content.workshop.record.tolerances.mass.value if content.workshop else 1.0
    last: tuple[float, float, date] | None = None
    for place, reading, holding, day in _weighed(entry.record, parts):
        added = added_mass(holding, reading, parts, strings, shape)
        if added is None or reading.mass is None:
            continue
        mass = reading.mass.value
        if last and added - last[1] > mass - last[0] + tolerance:
            claimed, gained = added - last[1], mass - last[0]
            what = f"Since {last[2].isoformat()} the build grew by {claimed:.1f} g, but the frame by only {gained:.1f} g."
            do = "Weigh the parts, look for one that fell off or is listed twice, or weigh the frame again."
            yield Fault(entry.at(*place), "build-over-gain", what, do, "warning")
        last = (mass, added, day)


def _weighed(
    frame: Frame, parts: Mapping[str, Part]
) -> Iterator[tuple[tuple[str | int, ...], Reading, Holding, date]]:
    """Each weighing of a frame with what was on it, the ones before a job's work first."""
    for step in steps(frame, parts):
        order = sorted(enumerate(step.job.readings), key=lambda item: item[1].when != "before")
        for k, reading in order:
            if reading.mass:
                holding = step.before if reading.when == "before" else step.after
                yield ("jobs", step.index, "readings", k, "mass"), reading, holding, step.job.date
