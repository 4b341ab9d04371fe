"""A frame is handed back: when, to whom, what was paid, what is owed; or what was owed is paid."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from passport.acts.change import Base, Change
from passport.acts.frames.log import path_of
from passport.acts.refused import Misused, Refused
from passport.records.language.worded import worded
from passport.records.load import Entry
from passport.records.schema.frame import Frame, Job
from passport.records.yaml.difference import difference
from passport.records.yaml.nested import with_at, without_at

ALL = "all"
"""Said for the price on record."""


@dataclass(frozen=True, slots=True)
class Handed:
    """What is said of a handing over: ``to`` whom, what was ``paid`` and is ``owed`` (`ALL` for the price); ``job`` is the
    day of the job, where it is not the last."""

    to: str = ""
    paid: str = ""
    owed: str = ""
    job: date | None = None


def handed_back(base: Base, *, names: Sequence[str], said: Handed, day: date) -> Change:
    """The change of frames' records that are handed back together on a ``day``; of one that was handed back already, what
    was owed is paid. All of them or none. Raises Refused, Misused and CannotEdit."""
    files: dict[str, str | None] = {}
    shown: list[str] = []
    priced = [name for name in names if _job_of(base.records.frames[name], said)[1].price]
    if ALL in (said.paid, said.owed) and not priced:
        option = "--paid" if said.paid == ALL else "--owed"
        raise Misused(
            worded(
                "{option} all: no price is on record for this job. Say the amount, as in {option} '£28.00'.",
                option=option,
            )
        )
    for name in dict.fromkeys(names):
        entry = base.records.frames[name]
        text = base.text(path_of(name)) or ""
        place, job = _job_of(entry, said)
        after = text
        for key, value in _values(entry, job, said, day).items():
            path = ("jobs", place, "handed", key)
            if value:
                after = with_at(after, path, value, Frame.model_fields)
            elif job.handed and getattr(job.handed, key):
                after = without_at(after, path)
        if after == text:
            raise Refused(
                worded(
                    "{value} was handed back already. Say what changed: --paid, --owed, --to.",
                    value=entry.record.number or name,
                )
            )
        files[path_of(name)] = after
        head = worded(
            "{value} {label}, the job of {date}, in {path_of}:",
            value=entry.record.number or name,
            label=entry.record.label,
            date=job.date,
            path_of=path_of(name),
        )
        shown += [head, *(f"  {line}" for line in difference(text, after))]
    called = ", ".join(f"{base.records.frames[n].record.number or n}" for n in dict.fromkeys(names))
    headings = tuple(line for line in shown if not line.startswith("  "))
    return Change(files, "\n".join(shown), headings, summary=f"{called} handed back")


def _values(entry: Entry[Frame], job: Job, said: Handed, day: date) -> Mapping[str, str]:
    """What is written of one frame by its field; empty for what goes."""
    paid, owed = (job.price if text == ALL else text for text in (said.paid, said.owed))
    if job.handed is None:
        return {
            name: value
            for name, value in (("date", day.isoformat()), ("to", said.to), ("paid", paid), ("owed", owed))
            if value
        }
    changes = {"to": said.to} if said.to else {}
    if paid:
        later = f"{paid} ({day.isoformat()})"
        changes["paid"] = f"{job.handed.paid}; {later}" if job.handed.paid else later
        changes["owed"] = owed
    elif owed:
        changes["owed"] = owed
    return changes


def _job_of(entry: Entry[Frame], said: Handed) -> tuple[int, Job]:
    """The job that is handed back: the one of the day that is said; else the newest that nobody collected, else the one
    that is owed for, else the last. Raises Refused where there is none, or where it is not done yet."""
    frame, called = entry.record, entry.record.number or entry.name
    jobs = list(enumerate(frame.jobs))
    if said.job:
        found = [(i, job) for i, job in jobs if job.date == said.job]
        if not found:
            days = ", ".join(job.date.isoformat() for _, job in jobs[-5:]) or "none"
            raise Refused(
                worded("{called} has no job of {job}. Its last ones: {days}.", called=called, job=said.job, days=days)
            )
        return found[-1]
    if frame.waiting is not None:
        do = worded("If it is done: passport log --ordered. If it goes home as it came: passport take --withdraw.")
        raise Refused(
            worded("{called} waits at the bench: what was ordered is not on record as done. {do}", called=called, do=do)
        )
    if not jobs:
        raise Refused(worded("{called} has no job on record, so there is nothing to hand back.", called=called))
    waiting = [(i, job) for i, job in jobs if job.to_collect]
    owed = [(i, job) for i, job in jobs if job.handed and job.handed.owed]
    if not waiting and said.paid and len(owed) > 1:
        days = ", ".join(f"{job.date.isoformat()} ({job.handed.owed})" for _, job in owed if job.handed)
        raise Refused(
            worded("{called} is owed for several jobs: {days}. Name one with --job.", called=called, days=days)
        )
    if waiting:
        return waiting[-1]
    return owed[-1] if owed and said.paid else jobs[-1]
