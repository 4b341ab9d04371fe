"""What a workshop need not keep any more: contacts of players who have not come for years, photos that nobody needs.

It is a look once a year, and each thing is kept or cleared by a person. What is kept is not asked about for a year; what
is cleared leaves neither the records nor the history of changes behind.
"""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from passport.acts.change import Base, base_of, commit, held
from passport.acts.clock import today
from passport.acts.reading import known
from passport.acts.refused import writing
from passport.records.disk import opening, walking
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import Frame
from passport.records.transaction import atomic, history, private
from passport.records.transaction.journal import Wanted
from passport.records.yaml import nested
from passport.records.yaml.edit import without

KEPT = "retention.json"
YEAR = 365
_PHOTOS = frozenset({".jpg", ".jpeg", ".png", ".webp"})


@dataclass(frozen=True, slots=True)
class Unneeded:
    """Something that perhaps nobody needs: its name for a command, what it is, why nobody may need it."""

    name: str
    what: str
    why: str


def unneeded(folder: Path, years: float, now: date) -> tuple[Unneeded, ...]:
    """What is perhaps not needed any more: the player was not here for so many years, and nobody kept it within one.

    Of sound records only those are read that it depends on. Raises Faulty where too little can be read.
    """
    kept, found = _kept(folder), known(folder, review=False)
    everybody = found.all if found else base_of(folder).records
    players = found.read(_long_gone(everybody, years, now)) if found else everybody
    all_of = (*_contacts(players, years, now), *_photos(everybody, years, now))
    return tuple(one for one in all_of if one.name not in kept or (now - kept[one.name]).days >= YEAR)


def _long_gone(recalled: Content, years: float, now: date) -> set[str]:
    """The players with a contact and without a job for so many years, by what is remembered of all records."""
    last: dict[str, date] = {}
    for name, entry in recalled.frames.items():
        if day := entry.record.last_job:
            player = name.partition("/")[0]
            last[player] = max(day, last.get(player, day))
    with_contact: dict[str, Any] = dict(recalled.players)  # as far as they are recalled, not whole
    return {
        name
        for name, day in last.items()
        if (now - day).days > years * YEAR and name in with_contact and with_contact[name].record.contact
    }


def _contacts(records: Content, years: float, now: date) -> Iterator[Unneeded]:
    for name, entry in records.players.items():
        if not entry.record.contact.model_fields_set:
            continue
        last = max((job.date for frame in records.frames_of(name) for job in frame.record.jobs), default=None)
        busy = any(_open(frame.record) for frame in records.frames_of(name))
        if last and not busy and (now - last).days > years * YEAR:
            yield Unneeded(
                f"contact:{name}",
                worded("the contact of {name} ({name2})", name=entry.record.name, name2=name),
                worded("last job {last}", last=last),
            )


def _open(frame: Frame) -> bool:
    """Whether something is still to be done with a frame: it waits at the bench, to be collected, or to be paid."""
    return frame.waiting is not None or any(job.to_collect or (job.handed and job.handed.owed) for job in frame.jobs)


def _photos(records: Content, years: float, now: date) -> Iterator[Unneeded]:
    users: dict[str, list[tuple[str, str, date | None]]] = {}
    for name, entry in records.frames.items():
        last = entry.record.last_job or entry.record.since
        for photo in entry.record.photos():
            users.setdefault(photo, []).append((name, entry.record.status, last))
    folder = records.root / "photos"
    for path in walking.listed(folder):
        if path.suffix.lower() not in _PHOTOS or not path.is_file() or path.is_symlink():
            continue
        of = users.get(path.name, [])
        if not of and not any(name.startswith("frame ") for name in records.unread):
            yield Unneeded(f"photo:{path.name}", f"photos/{path.name}", worded("no frame names it"))
        elif of and all(status != "active" and last and (now - last).days > years * YEAR for _, status, last in of):
            named = ", ".join(f"{name}, {status}" for name, status, _ in of)
            yield Unneeded(f"photo:{path.name}", f"photos/{path.name}", f"of {named}")


def clear(base: Base, one: Unneeded, say: Callable[[str], None]) -> None:
    """Clear one of them, out of the history too, where it could be brought back. Raises Refused and CannotEdit."""
    root = base.records.root
    kind, _, name = one.name.partition(":")
    files: dict[str, bytes | None] = {}
    telling: set[str] = set()
    if kind == "contact":
        path = f"players/{name}/player.yaml"
        files[path] = without(base.text(path) or "", "contact").encode("utf-8")
        contact = base.records.players[name].record.contact
        telling = {text for text in (contact.email, contact.phone, contact.address) if text}
    else:
        for frame, entry in base.records.frames.items():
            path = f"players/{frame}.yaml"
            places = list(_named_at(entry.record, name))
            text = (base.text(path) or "") if places else ""
            for place in places:
                text = nested.without_at(text, place)
            files |= {path: text.encode("utf-8")} if places else {}
        files[f"photos/{name}"] = None
        telling = {f"photos/{name}"}
    with held(root, "passport retention", say):
        # The history goes first: whoever is stopped in between is asked about the same thing again.
        with writing(f"'{private.folder_of(root)}'"):
            history.purge(root, lambda data: any(text.encode() in data for text in telling))
        commit(root, Wanted("passport retention", f"{kind.capitalize()} cleared", files, keep=False), say)


def _named_at(frame: Frame, photo: str) -> Iterator[nested.Path]:
    """Where a frame's record names a photo, the last place first, so that the others stay where they are."""
    for i, job in reversed(list(enumerate(frame.jobs))):
        if job.order and job.order.condition.photo == photo:
            yield "jobs", i, "order", "condition", "photo"
    if frame.order and frame.order.condition.photo == photo:
        yield "order", "condition", "photo"
    if frame.photo == photo:
        yield ("photo",)


def keep(root: Path, one: Unneeded) -> None:
    """Note that one of them is kept, so that nobody is asked for a year. Raises Refused."""
    kept = {**_kept(root), one.name: today()}
    text = json.dumps({name: day.isoformat() for name, day in sorted(kept.items())}, ensure_ascii=False, indent=1)
    with writing(f"'{root}'"):
        atomic.write(private.made(root) / KEPT, text.encode(), mode=0o600)


def _kept(root: Path) -> dict[str, date]:
    try:
        plain = json.loads(opening.read_text(private.folder_of(root) / KEPT))
        return {str(name): date.fromisoformat(day) for name, day in plain.items()}
    except (OSError, ValueError, TypeError, AttributeError):
        return {}
