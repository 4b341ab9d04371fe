"""What a player can be told of a frame now, and that they were told it."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from passport.acts.change import Base, Change
from passport.acts.frames.due import due_in
from passport.acts.refused import Refused
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.records.schema.player import Message, Notice, Player, Way
from passport.records.yaml.appending import with_appended
from passport.render.notices.notice import Noticed, NoticeText, Sender, notice
from passport.workshop.facts.facts import languages_of
from passport.workshop.strings.due import DueEntry

LATELY = 30
"""Days after which a frame that is done is taken to be with its player, unless somebody says otherwise."""


@dataclass(frozen=True, slots=True)
class Letter:
    """A message that is ready: of which ``frames`` (names and numbers), to whom, in which words; ``told`` is when the same
    was said already of all of them."""

    frames: tuple[tuple[str, str], ...]
    what: Message
    player: str
    email: str
    phone: str
    words: NoticeText
    told: date | None = None


def letter(
    records: Content,
    entries: Sequence[Entry[Frame]],
    what: Message | None,
    today: date,
    due: Mapping[str, DueEntry] | None = None,
) -> Letter:
    """What the owner of some frames can be told of them: ``what``, or what there is to tell of the first; ``due`` is when
    their strings are due, where that is asked for.

    It follows from the records: no work is called done that was not recorded, no string due without a reason. Raises
    Refused where the player wants no messages, or there is nothing to tell.
    """
    owner = _owner(records, entries[0].name)
    if owner.messages == "no":
        do = worded("If that has changed: passport player CONTENT NAME --messages -")
        raise Refused(worded("{owner} wants no messages, so nothing is sent. {do}", owner=owner.name, do=do))
    due = due or {}
    chosen = what or _told_now(entries[0].record, due.get(entries[0].name), today)
    about = [_about(records, entry, chosen, due.get(entry.name), today) for entry in entries]
    shop = records.workshop.record if records.workshop else None
    words = notice(about, _sender(records), languages_of(owner.language, shop.language if shop else "en"))
    frames = tuple((entry.name, entry.record.number) for entry in entries)
    days = [told_of(owner, entry.record, chosen) for entry in entries]
    told = max((day for day in days if day), default=None) if all(days) else None
    return Letter(frames, chosen, owner.name, owner.contact.email, owner.contact.phone, words, told)


def _about(records: Content, entry: Entry[Frame], what: Message, due: DueEntry | None, today: date) -> Noticed:
    frame, owner = entry.record, _owner(records, entry.name)
    _refuse_untrue(frame, what, due)
    old = records.by_number(frame.rebuilds) if frame.rebuilds else None
    day = due.due.day if what == "due" and due and due.due else None
    return Noticed(
        what, owner.name, _called(records, entry), today, day, _called(records, old) if old else frame.rebuilds
    )


def told_of(owner: Player, frame: Frame, what: Message) -> date | None:
    """When a player was told that of a frame since its last job, or since the one that waits to be collected; None where
    they were not."""
    waits = frame.uncollected if what == "done" else None
    since = waits.date if waits else max((job.date for job in frame.jobs), default=date.min)
    days = (n.date for n in owner.told if n.what == what and n.frame == frame.number and n.date)
    return max((day for day in days if day >= since), default=None)


def due_of(folder: Path, frames: Collection[str], today: date) -> dict[str, DueEntry]:
    """When the strings of some frames are due, by their names; of the whole shop's readings. Raises Faulty."""
    found = due_in(folder, today, lambda row: row.frame in frames)
    return {entry.frame: entry for entry in found.entries}


def waiting(folder: Path, today: date, within: int) -> Mapping[str, list[DueEntry]]:
    """The frames whose strings are due within so many days, by the folder of the player, the most urgent first. Raises
    Faulty."""
    found: dict[str, list[DueEntry]] = {}
    for entry in due_in(folder, today, lambda row: bool(row.due and (row.due.day - today).days <= within)).entries:
        found.setdefault(entry.frame.partition("/")[0], []).append(entry)
    return found


def to_collect(records: Content) -> Mapping[str, list[Entry[Frame]]]:
    """The frames whose order is done and that nobody has collected, of players who were not told and want messages, by
    the folder of the player."""
    found: dict[str, list[Entry[Frame]]] = {}
    for name, entry in records.frames.items():
        owner, frame = records.players.get(name.partition("/")[0]), entry.record
        if owner and frame.uncollected and owner.record.messages != "no" and not told_of(owner.record, frame, "done"):
            found.setdefault(owner.name, []).append(entry)
    return found


def told(base: Base, *, letter: Letter, by: Way, to: str, day: date) -> Change:
    """The change that keeps who was told what, when and how; private. Raises Refused and CannotEdit."""
    path = f"players/{letter.frames[0][0].partition('/')[0]}/player.yaml"
    text = base.text(path) or ""
    for _, number in letter.frames:
        entry = {"date": day.isoformat(), "what": letter.what, "frame": number, "by": by, "to": to}
        tree = {key: entry[key] for key in Notice.model_fields if entry[key]}
        text = with_appended(text, ("told",), tree, Player.model_fields)
    called = ", ".join(number or name for name, number in letter.frames)
    return Change({path: text}, summary=f"{letter.player} told of {called}: {letter.what}")


def _told_now(frame: Frame, due: DueEntry | None, today: date) -> Message:
    """What there is to tell: that strings are due, else that the newest work is done. Raises Refused."""
    if due and due.due and due.due.day <= today:
        return "due"
    if frame.rebuilds and len(frame.jobs) == 1:
        return "replacement"
    if not frame.jobs:
        raise Refused(worded("There is nothing to tell of it: no work on it is recorded."))
    last = max(job.date for job in frame.jobs)
    if (today - last).days > LATELY:
        do = worded("If it waits to be collected all the same, say so: --what done.")
        raise Refused(worded("There is nothing to tell of it: its last work was on {last}. {do}", last=last, do=do))
    return "done"


def _refuse_untrue(frame: Frame, what: Message, due: DueEntry | None) -> None:
    called = frame.number or frame.label
    if what == "due" and not (due and due.due):
        raise Refused(
            worded("Nothing says that the strings of {called} are due: note how often the player plays.", called=called)
        )
    if what in ("done", "replacement") and not frame.jobs:
        raise Refused(
            worded(
                "No work on {called} is recorded, so it is not called done. Record it first: passport log",
                called=called,
            )
        )
    if what in ("done", "replacement") and frame.waiting:
        raise Refused(worded("{called} waits at the bench still. Record the work first: passport log", called=called))
    handed = frame.jobs[-1].handed if frame.jobs else None
    if what == "done" and handed and handed.date:
        raise Refused(
            worded(
                "{called} was handed back on {date}, so there is nothing to collect.", called=called, date=handed.date
            )
        )
    if what == "replacement" and not frame.rebuilds:
        raise Refused(worded("{called} takes the place of no other frame.", called=called))


def _owner(records: Content, frame: str) -> Player:
    folder = frame.partition("/")[0]
    if folder not in records.players:
        raise Refused(
            worded("The record of the player '{folder}' cannot be read: run 'passport check' first.", folder=folder)
        )
    return records.players[folder].record


def _called(records: Content, entry: Entry[Frame]) -> str:
    """How a player knows a frame: its label, and its model."""
    model = records.models.get(entry.record.model)
    return f"{entry.record.label} ({model.record.maker} {model.record.name})" if model else entry.record.label


def _sender(records: Content) -> Sender:
    shop = records.workshop.record if records.workshop else None
    return Sender(shop.name, shop.contact.visit, shop.contact.hours, shop.contact.phone) if shop else Sender("")
