"""The records of some players, read, checked and turned into what is to be made, in any process.

A player's folder is all that is known of the player, so players are worked on apart. What they share is small: the
workshop and its catalogue, and what their string beds told of each string.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from passport.publish.folder.digest import digest
from passport.publish.outputs.tasks import Kind, SiteContext, Task, frame_tasks, player_tasks
from passport.records import checks
from passport.records.disk import opening, walking
from passport.records.faults import Fault
from passport.records.load import Content, Entry, load
from passport.records.schema.frame import Frame, Status
from passport.records.schema.player import Player
from passport.records.yaml.yamltext import Source
from passport.render import look_checks
from passport.workshop.gathering import checks as bench_checks
from passport.workshop.gathering.gather import gatherer_of
from passport.workshop.strings.beds import BedBook
from passport.workshop.strings.due import DueRow, due_rows
from passport.workshop.strings.string_priors import Evidence, String, StringPriors

PLAYERS = "players"
TABLES = ("strings", "models", "parts")


@dataclass(frozen=True, slots=True)
class FrameEntry:
    """What the checks across all records, and a search for a frame, need of a frame that is not read anew."""

    name: str
    label: str
    number: str
    key: str
    model: str
    status: Status
    replaced_by: str
    set: str
    serial: str
    sure: bool
    unfinished: bool
    """Whether it waits at the bench, or to be collected, or is owed for."""
    rack: bool
    """Whether what is wanted of it stands in one line, as in older records."""
    since: date | None
    last_job: date | None
    photos: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlayerEntry:
    """What the checks across all records need of a player; ``full`` is the fingerprint of the full name, empty without."""

    name: str
    key: str
    full: str
    sure: bool
    language: str
    contact: bool
    """Whether there is anything by which the player is reached."""


@dataclass(frozen=True, slots=True)
class Bedded:
    """One string bed as far as it matters to it what was known when: its frame, its string, when it was strung."""

    frame: str
    string: String
    strung: date


@dataclass(frozen=True, slots=True)
class Surveyed:
    """What the records of one player say by themselves.

    ``files`` are the fingerprints of what was read by path below the content folder, ``uses`` the entries of the catalogue that are named, ``latest``
    the latest day in any of them. ``player`` is None where there is no such record.
    """

    name: str
    files: dict[str, str]
    player: PlayerEntry | None
    rows: tuple[FrameEntry, ...]
    uses: tuple[str, ...]
    latest: date | None
    beds: tuple[Bedded, ...]
    told: tuple[Evidence, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class Item:
    """Something to be made of a player's records; ``facts`` are packed."""

    kind: Kind
    key: str
    label: str
    facts: bytes


@dataclass(frozen=True, slots=True)
class Gathered:
    """What is to be made of one player's records, and what was noticed on the way."""

    name: str
    files: dict[str, str]
    items: tuple[Item, ...]
    faults: tuple[Fault, ...]


class Pile:
    """Records that were read once and will be wanted again in the same build; they go when they are taken."""

    MOST = 600
    """Players whose records are kept at a time."""

    def __init__(self) -> None:
        """Empty."""
        self._build = ""
        self._kept: dict[tuple[str, ...], tuple[dict[str, dict[str, str]], Content]] = {}

    def of(self, build: str) -> "Pile":
        """The pile of a build; what another one left is gone."""
        if build != self._build:
            self._build, self._kept = build, {}
        return self

    def put(self, names: Sequence[str], files: dict[str, dict[str, str]], content: Content) -> None:
        """Keep the records of some players, read from files with these fingerprints, where there is room."""
        # Bounded by players, not by bytes: one player's records are about as large as another's.
        if sum(map(len, self._kept)) + len(names) <= self.MOST:
            self._kept[tuple(names)] = (files, content)

    def take(self, names: Sequence[str], files: dict[str, dict[str, str]]) -> Content | None:
        """The records of these very players, where their files are as they were."""
        before, content = self._kept.pop(tuple(names), ({}, None))
        return content if before == files else None


def survey(root: Path, names: Sequence[str], today: date, pile: Pile) -> list[Surveyed]:
    """Read and check the records of some players, each by itself."""
    files = {name: fingerprints(root, name) for name in names}
    content, faults = load(root, names)
    pile.put(names, files, content)
    faults = [*faults, *checks.run(content, today, checks.NAMESAKES), *look_checks.glyphs(content)]
    book, found = BedBook(content), {name: list[Entry[Frame]]() for name in names}
    for entry in content.frames.values():
        found[owner(entry.name)].append(entry)
    told = {name: list[Evidence]() for name in names}
    for one in book.told():
        told[owner(one.frame)].append(one)
    return [
        Surveyed(
            name=name,
            files=files[name] | {path: fingerprint(root / path, root) for path in _photos(frames)},
            player=_player_entry(content.players[name].record) if name in content.players else None,
            rows=tuple(_row(entry.name, entry.record) for entry in frames),
            uses=tuple(sorted(_uses(content, frames))),
            latest=max(_days([entry.record for entry in frames]), default=None),
            beds=tuple(Bedded(b.frame, b.string, b.strung) for entry in frames for b in book.beds[entry.name]),
            told=tuple(told[name]),
            faults=tuple(own_faults(root, faults, name)),
        )
        for name, frames in found.items()
    ]


def gather(
    root: Path, names: Sequence[str], priors: StringPriors, today: date, *, cards: bool, pile: Pile
) -> list[Gathered]:
    """Turn the records of some players, which must be free of errors, into what is to be made of them."""
    files = {name: fingerprints(root, name) for name in names}
    content = pile.take(names, files) or load(root, names)[0]
    gatherer = gatherer_of(content, priors)
    site = gatherer.site()
    faults = bench_checks.run(content, today, gatherer)
    shop = SiteContext(site.shop, site.pages, cards=cards)
    by_key = {entry.record.key: name for name, entry in content.players.items()}
    items: dict[str, list[Item]] = {name: [] for name in names}
    for player in site.players:
        items[by_key[player.key]] += map(_item, player_tasks(player, shop))
    for frame in site.frames:
        items[owner(frame.name)] += map(_item, frame_tasks(frame, shop))
    return [Gathered(name, files[name], tuple(items[name]), tuple(own_faults(root, faults, name))) for name in names]


@dataclass(frozen=True, slots=True)
class Reviewed:
    """What the bench's sums say of one player's records, beside the strings of all players.

    ``files`` are the fingerprints of what was read, ``due`` when each of the player's strung frames is due.
    """

    name: str
    files: dict[str, str]
    faults: tuple[Fault, ...]
    due: tuple[DueRow, ...]


def review(root: Path, names: Sequence[str], priors: StringPriors, today: date, pile: Pile) -> list[Reviewed]:
    """Hold the records of some players, which must be free of errors, against the bench's sums."""
    files = {name: fingerprints(root, name) for name in names}
    content = pile.take(names, files) or load(root, names)[0]
    gatherer = gatherer_of(content, priors)
    faults = bench_checks.run(content, today, gatherer)
    due: dict[str, list[DueRow]] = {name: [] for name in names}
    for row in due_rows(content, gatherer.book):
        due[owner(row.frame)].append(row)
    return [Reviewed(name, files[name], tuple(own_faults(root, faults, name)), tuple(due[name])) for name in names]


def _item(task: Task) -> Item:
    return Item(task.kind, task.key, task.label, task.facts)


def owner(frame: str) -> str:
    """The player of a frame ``player/frame``."""
    return frame.partition("/")[0]


def own_faults(root: Path, faults: Iterable[Fault], player: str) -> Iterator[Fault]:
    """The faults in the files of one player, or with "" in those of none, with their paths below the content folder."""
    for fault in faults:
        path = Path(fault.place.file)
        parts = path.relative_to(root).parts if path.is_relative_to(root) else ()
        inside = len(parts) > 2 or (len(parts) == 2 and path.is_dir())
        if (parts[1] if inside and parts[0] == PLAYERS else "") == player:
            yield replace(fault, place=replace(fault.place, file="/".join(parts) or fault.place.file))


def fingerprints(root: Path, name: str) -> dict[str, str]:
    """The fingerprint of every file in a player's folder, by its path below the content folder."""
    folder = root / PLAYERS / name
    paths = walking.files(folder) if not folder.is_symlink() else []
    return {path.relative_to(root).as_posix(): fingerprint(path, root) for path in paths}


def fingerprint(path: Path, root: Path) -> str:
    """The fingerprint of a file; empty where it cannot be read."""
    try:
        return digest(opening.read(path, inside=root))
    except OSError:
        return ""


def catalogue(content: Content) -> dict[str, str]:
    """The fingerprint of each entry of the catalogue: ``strings NAME``, ``models NAME``, ``parts NAME``."""
    return {
        f"{table} {name}": digest(repr(entry.record))
        for table in TABLES
        for name, entry in getattr(content, table).items()
    }


def _row(name: str, frame: Frame) -> FrameEntry:
    return FrameEntry(
        name=name,
        label=frame.label,
        number=frame.number,
        key=frame.key,
        model=frame.model,
        status=frame.status,
        replaced_by=frame.replaced_by,
        set=frame.set,
        serial=frame.serial,
        sure=bool(frame.sure),
        unfinished=frame.unfinished,
        rack=bool(frame.rack),
        since=frame.since,
        last_job=frame.last_job,
        photos=tuple(frame.photos()),
    )


def _player_entry(player: Player) -> PlayerEntry:
    full = digest(player.full_name.casefold()) if player.full_name else ""
    contact = bool(player.contact.model_fields_set)
    return PlayerEntry(player.name, player.key, full, bool(player.sure), player.language, contact)


def _photos(frames: Iterable[Entry[Frame]]) -> Iterator[str]:
    return (f"photos/{entry.record.photo}" for entry in frames if entry.record.photo)


_NAME = re.compile(r"[a-z0-9][a-z0-9-]*")


def _uses(content: Content, frames: Iterable[Entry[Frame]]) -> Iterator[str]:
    """Every entry of the catalogue whose name stands anywhere in some records, in whatever sense."""
    words: set[str] = set()
    for entry in frames:
        text = "\n".join(entry.source.lines)
        words.update(_NAME.findall(text))
        if "\\" in text:  # a name may be written with escapes
            words.update(_words(entry.record))
    for table in TABLES:
        for name in getattr(content, table):
            if name in words:
                yield f"{table} {name}"


def _words(value: Any) -> Iterator[str]:
    """Every text in a record, at any depth."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from _words(getattr(value, name))
    elif isinstance(value, tuple):
        for one in value:
            yield from _words(one)


def _days(value: Any) -> Iterator[date]:
    """Every day in a record, at any depth."""
    if isinstance(value, date):
        yield value
    elif isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from _days(getattr(value, name))
    elif isinstance(value, tuple | list):
        for one in value:
            yield from _days(one)


class _Recalled:
    """A frame or player as far as it is known without reading its record: its attributes are those of the record."""

    def __init__(self, **fields: Any) -> None:
        self.__dict__ = fields


def light(content: Content, surveys: Iterable[Mapping[str, Any]]) -> Content:
    """Content whose players and frames hold no more than the checks across all records look at.

    ``surveys`` are what `Surveyed` becomes as plain data.
    """
    slim = Content(content.root, content.workshop, content.strings, content.models, content.parts)
    for survey in surveys:
        name = survey["name"]
        # A fault that is found of what is recalled says whose it is by this path.
        source = Source(f"{PLAYERS}/{name}/")
        if found := survey["player"]:
            player: Any = _Recalled(full_name=found["full"], **found)
            slim.players[name] = Entry(name, player, source)
        for row in survey["rows"]:
            days = {field: date.fromisoformat(row[field]) if row[field] else None for field in ("since", "last_job")}
            frame: Any = _Recalled(**{**row, **days, "photos": partial(iter, row["photos"])})
            slim.frames[row["name"]] = Entry(row["name"], frame, source)
    return slim
