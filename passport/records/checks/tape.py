"""Tape on the frame: no strip lies on another, wherever on the hoop or the shaft their places are."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from passport.physics.geometry import RacquetShape
from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.load import Content, records_of
from passport.records.schema.catalogue import Part
from passport.records.schema.frame import Fitted
from passport.records.stretches import LAID_MM, of_fitted, overlap
from passport.records.timeline import steps
from passport.records.yaml.yamltext import Path

Laid = tuple[Path, Fitted]


def on_tape(content: Content, today: date) -> Iterator[Fault]:
    """No strip of tape lies on another one.

    Two entries of one tape at one place are two layers that somebody laid on purpose and wrote down as such.
    """
    parts = records_of(content.parts)
    shapes = {name: entry.record.shape() for name, entry in content.models.items()}
    for blank in content.blanks.values():
        shape = shapes.get(blank.record.model)
        for path, what in _overlaps((), _named("build", blank.record.build), parts, shape):
            yield _fault(blank.at(*path), what)
    for frame in content.frames.values():
        shape = shapes.get(frame.record.model)
        for path, what in _overlaps((), _named("build", frame.record.build), parts, shape):
            yield _fault(frame.at(*path), what)
        for step in steps(frame.record, parts):
            new = step.job.fitted
            old = tuple(f for f in step.after.parts if not any(f is other for other in new))
            for path, what in _overlaps(old, _named("fitted", new, "jobs", step.index), parts, shape):
                yield _fault(frame.at(*path), what)


def _named(key: str, fitted: Sequence[Fitted], *before: str | int) -> list[Laid]:
    return [((*before, key, i, "place"), f) for i, f in enumerate(fitted)]


def _overlaps(
    old: Sequence[Fitted], new: Sequence[Laid], parts: Mapping[str, Part], shape: RacquetShape | None
) -> Iterator[tuple[Path, str]]:
    """Each new strip that lies on one that was there before it, with what to say of the two."""
    if shape is None:
        return
    there = [(f, found) for f in old if (found := of_fitted(f, parts, shape))]
    for path, fitted in new:
        mine = of_fitted(fitted, parts, shape)
        for other, theirs in there:
            layered = (other.part, other.place.spot) == (fitted.part, fitted.place.spot)
            common = overlap(mine, theirs)
            if common > LAID_MM and not layered:
                alone = fitted.place.side or other.place.side
                sides = worded(" on each side") if mine[0].track == "hoop" and not alone else ""
                what = worded(
                    "Tape ({place}) lies on tape ({place2}) over {common:.0f} mm{sides}.",
                    place=fitted.place.text,
                    place2=other.place.text,
                    common=common,
                    sides=sides,
                )
                yield path, what
        if mine:
            there.append((fitted, mine))


def _fault(place: Place, what: str) -> Fault:
    do = worded("Correct the place or the length of one of the two, or add the job that took the first one off.")
    return Fault(place, "tape-on-tape", what, do, "warning")
