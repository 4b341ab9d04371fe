"""Recording a job: what was said of it becomes one more job in the frame's record."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from pydantic import ValidationError

from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.refused import Misused, Refused
from passport.acts.remark import Spot
from passport.acts.stock import of_stock
from passport.records.language.worded import worded
from passport.records.load import Content, Entry, records_of
from passport.records.schema.frame import Frame, Job
from passport.records.schema.workshop import Units
from passport.records.yaml import yamltext
from passport.records.yaml.edit import job_text, with_jobs, without
from passport.workshop.entry.bare import USUAL_UNITS
from passport.workshop.entry.job_from_text import STRING_FIELDS, Names, Past, Said, job_of, past_of
from passport.workshop.entry.merge import already
from passport.workshop.entry.order_from_text import job_as_ordered
from passport.workshop.entry.phrases import Unclear, reader
from passport.workshop.orders.wanted import differences, work_wanted


def path_of(name: str) -> str:
    """Where a frame's record stands below the content folder."""
    return f"players/{name}.yaml"


def past(base: Base, entry: Entry[Frame]) -> tuple[str, Past]:
    """A frame's text as it stands, and what the next job can go by: for a replacement that was never strung here, the
    last recipe of the frame that it was built to play like."""
    text, found = _past(base, entry)
    original = base.records.by_number(entry.record.rebuilds) if entry.record.rebuilds else None
    if found.strings or original is None:
        return text, found
    before = _past(base, original)[1]
    return text, replace(found, strings=without_batch(before.strings), stencil=before.stencil)


def without_batch(strings: Mapping[str, Any]) -> dict[str, Any]:
    """A recipe without the batches, which are those of the reels that the other frame was strung from."""
    return {
        name: {key: text for key, text in value.items() if key != "batch"} if isinstance(value, dict) else value
        for name, value in strings.items()
    }


def _past(base: Base, entry: Entry[Frame]) -> tuple[str, Past]:
    text = base.text(path_of(entry.name)) or ""
    data, _, _ = yamltext.read(text.removeprefix("\ufeff"), entry.name)
    return text, past_of(data, entry.record, records_of(base.records.parts))


def names_of(records: Content) -> Names:
    """The catalogue's strings and parts by name."""
    strings, parts = records_of(records.strings), records_of(records.parts)
    return Names(strings, parts)


def ring_unit(records: Content, frame: Frame) -> str:
    """The unit of the frame's last reading of its strings, else the one that the workshop's reader shows."""
    rings = [reading.ring for job in frame.jobs for reading in job.readings if reading.ring]
    listed = records.workshop.record.instruments if records.workshop else ()
    shown = [*(one.resolution for one in listed if one.kind == "ring reader"), *rings[-1:]]
    return shown[-1].unit if shown else USUAL_UNITS["ring"]


def units_of(records: Content) -> Units:
    """The shop's units."""
    return records.workshop.record.units if records.workshop else Units()


def logged(
    base: Base, *, name: str, words: Said, day: date, again: bool, off_rack: bool, as_ordered: bool = True
) -> Change:
    """The change of a frame's record by one job on a ``day``; ``off_rack`` says that it does what the frame waits for.

    Then the order goes from the frame into the job, and, with ``as_ordered``, what is not said of the work was done as it
    was wanted; ``again`` repeats the last stringing, whatever was wanted. Raises Refused.
    """
    entry = base.records.frames[name]
    frame = entry.record
    text, before = past(base, entry)
    order = order_in(text) if off_rack else {}
    catalogue = names_of(base.records)
    restrung = again or any(words.get(key) for key in STRING_FIELDS) or bool(as_ordered and order.get("strings"))
    _refuse_stringing(frame, strings=restrung)
    try:
        if order and as_ordered:
            job = job_as_ordered(words, day, before, catalogue, order, again=again)
        else:
            job = job_of(words, day, before, catalogue, again=again)
    except Unclear as unclear:
        raise Refused(worded("{unclear}\n  Nothing was written.", unclear=unclear)) from None
    place = sum(other.date <= day for other in frame.jobs)
    head = f"{frame.number or name} {frame.label}, in {path_of(name)}:"
    shown = f"{head}\n{job_text(text, job)}"
    if order:
        shown = "\n".join([shown, *_off_the_rack(base.records, frame, job)])
        job = {**job, "order": order}
    shown = "\n".join([shown, *of_stock(base, name, job)])
    after = with_jobs(text, [(place, job)])
    if order:
        after = without(without(after, "order"), "rack")
    summary = worded("A job of {day} on {value} {label}", day=day, value=frame.number or name, label=frame.label)
    asked = list(_doubts(frame, job, day))
    spot: Spot = (path_of(name), ("jobs", place))
    return Change({path_of(name): after}, shown, (head,), doubts={spot: asked} if asked else {}, summary=summary)


def adds_to(frame: Frame, *, again: bool) -> bool:
    """Whether what is ordered adds work to a job of which only other things were said."""
    order = frame.order
    strings = order is not None and order.strings is not None and not again
    return order is not None and (strings or bool(order.fitted or order.removed or order.repairs))


def order_in(text: str) -> dict[str, Any]:
    """What a record's text says is wanted of its frame, as data; the one line of an older record as what was asked."""
    data, _, _ = yamltext.read(text.removeprefix("\ufeff"), "record")
    found = data if isinstance(data, dict) else {}
    return dict(found.get("order") or ({"asked": found["rack"]} if found.get("rack") else {}))


def _off_the_rack(records: Content, frame: Frame, job: dict[str, Any]) -> Iterator[str]:
    """What the job does otherwise than was wanted, each in a sentence; of what was only asked nobody can tell."""
    order, names = frame.waiting, records.catalogue
    assert order is not None, "called for a frame that waits"
    try:
        otherwise = differences(order, Job.model_validate(job), names)
    except ValidationError:  # an error of the record, which is told when the change is tried
        return
    yield from otherwise
    if work_wanted(order, names):
        yield (
            worded("Off the rack, otherwise than it was ordered.")
            if otherwise
            else worded("Off the rack, as it was ordered.")
        )
    else:
        yield worded("Off the rack: {asked}", asked=order.asked) if order.asked else worded("Off the rack.")


def _doubts(frame: Frame, job: dict[str, Any], day: date) -> Iterator[str]:
    """What speaks for a slip: the same once more, or a day that cannot be meant."""
    same = [other for other in frame.jobs if other.date == day]
    try:
        new = Job.model_validate(job)
    except ValidationError:  # an error of the record, which is told when the change is tried
        new = None
    if new and already(same, new):
        yield worded("A job that says the same is on record for {day} already.", day=day)
    elif new and new.strings and any(other.strings for other in same):
        yield worded("This frame was strung on {day} already, by its record.", day=day)
    last = max((other.date for other in frame.jobs), default=day)
    if day < last - timedelta(days=1):
        yield worded("{day} is before the last job on record, of {last}.", day=day, last=last)
    if day > today() + timedelta(days=1):
        yield worded("{day} is after today, {today}.", day=day, today=today())


def _refuse_stringing(frame: Frame, *, strings: bool) -> None:
    if strings and frame.order and frame.order.condition.crack == "found":
        do = worded(
            "If it is only the paint: passport take CONTENT {value} --condition 'crack none'.",
            value=frame.number or "PLAYER/FRAME",
        )
        raise Refused(
            worded("A crack was found when this frame was taken. A cracked frame must not be strung. {do}", do=do)
        )
    if frame.status == "lost":
        raise Refused(worded("This frame is marked lost. If it is back, run 'passport found' first."))
    if strings and frame.status != "active":
        why = (
            worded("A cracked frame must not be strung.") if frame.status == "broken" else worded("It is out of play.")
        )
        do = worded(
            "If that is wrong: passport correct CONTENT {value} --frame --set status=active.",
            value=frame.number or "PLAYER/FRAME",
        )
        raise Refused(worded("This frame is marked {status}. {why} {do}", status=frame.status, why=why, do=do))


def refuse_unreadable(words: Said) -> None:
    """Raise Misused where a text cannot be read.

    Each text is read before anything is tried on the records, so that a slip is named by its option.
    """
    for name, value in words.items():
        read = reader(name)
        for text in [value] if isinstance(value, str) else value:
            try:
                if read:
                    read(text)
            except Unclear as unclear:
                raise Misused(f"--{name.replace('_', '-')}: {unclear}") from None
