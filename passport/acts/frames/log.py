"""Recording a job: what was said of it becomes one more job in the frame's record."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from pydantic import ValidationError

from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.refused import Misused, Refused
from passport.acts.remark import Spot
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame, Job
from passport.records.schema.workshop import Units
from passport.records.yaml import yamltext
from passport.records.yaml.edit import job_text, with_jobs, without
from passport.workshop.entry.job_from_text import STRING_FIELDS, Names, Past, Said, job_of, past_of
from passport.workshop.entry.merge import already
from passport.workshop.entry.phrases import Unclear, reader


def path_of(name: str) -> str:
    """Where a frame's record stands below the content folder."""
    return f"players/{name}.yaml"


def past(base: Base, entry: Entry[Frame]) -> tuple[str, Past]:
    """A frame's text as it stands, and what the next job can go by."""
    text = base.text(path_of(entry.name)) or ""
    data, _, _ = yamltext.read(text.removeprefix("\ufeff"), entry.name)
    return text, past_of(data, entry.record, {name: e.record for name, e in base.records.parts.items()})


def names_of(records: Content) -> Names:
    """The catalogue's strings and parts by name."""
    return Names(
        {name: e.record for name, e in records.strings.items()}, {name: e.record for name, e in records.parts.items()}
    )


def units_of(records: Content) -> Units:
    """The shop's units."""
    return records.workshop.record.units if records.workshop else Units()


def logged(base: Base, *, name: str, words: Said, day: date, again: bool, off_rack: bool) -> Change:
    """The change of a frame's record by one job on a ``day``; ``off_rack`` takes it off the rack. Raises Refused."""
    entry = base.records.frames[name]
    frame = entry.record
    text, before = past(base, entry)
    _refuse_stringing(frame, again or any(words.get(key) for key in STRING_FIELDS))
    try:
        job = job_of(words, day, before, names_of(base.records), again=again)
    except Unclear as unclear:
        raise Refused(f"{unclear}\n  Nothing was written.") from None
    place = sum(other.date <= day for other in frame.jobs)
    head = f"{frame.number or name} {frame.label}, in {path_of(name)}:"
    shown = f"{head}\n{job_text(text, job)}"
    after = with_jobs(text, [(place, job)])
    if frame.rack and off_rack:
        after, shown = without(after, "rack"), f"{shown}\nOff the rack: {frame.rack}"
    summary = f"A job of {day.isoformat()} on {frame.number or name} {frame.label}"
    asked = list(_doubts(frame, job, day))
    spot: Spot = (path_of(name), ("jobs", place))
    return Change({path_of(name): after}, shown, (head,), doubts={spot: asked} if asked else {}, summary=summary)


def _doubts(frame: Frame, job: dict[str, Any], day: date) -> Iterator[str]:
    """What speaks for a slip: the same once more, or a day that cannot be meant."""
    same = [other for other in frame.jobs if other.date == day]
    try:
        new = Job.model_validate(job)
    except ValidationError:  # an error of the record, which is told when the change is tried
        new = None
    if new and already(same, new):
        yield f"A job that says the same is on record for {day.isoformat()} already."
    elif new and new.strings and any(other.strings for other in same):
        yield f"This frame was strung on {day.isoformat()} already, by its record."
    last = max((other.date for other in frame.jobs), default=day)
    if day < last - timedelta(days=1):
        yield f"{day.isoformat()} is before the last job on record, of {last.isoformat()}."
    if day > today() + timedelta(days=1):
        yield f"{day.isoformat()} is after today, {today().isoformat()}."


def _refuse_stringing(frame: Frame, strings: bool) -> None:
    if frame.status == "lost":
        raise Refused("This frame is marked lost. If it is back, run 'passport found' first.")
    if strings and frame.status != "active":
        why = "A cracked frame must not be strung." if frame.status == "broken" else "It is out of play."
        do = f"If that is wrong: passport correct CONTENT {frame.number or 'PLAYER/FRAME'} --frame --set status=active."
        raise Refused(f"This frame is marked {frame.status}. {why} {do}")


def refuse_unreadable(words: Said) -> None:
    """Raise Misused where a text cannot be read: each text is read before anything is tried on the records, so that a slip is named by its option."""
    for name, value in words.items():
        read = reader(name)
        for text in [value] if isinstance(value, str) else value:
            try:
                if read:
                    read(text)
            except Unclear as unclear:
                raise Misused(f"--{name.replace('_', '-')}: {unclear}") from None
