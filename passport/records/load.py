"""The content folder: every file read and typed, every fault collected, nothing written.

A broken record never stops the others: what can be read is returned beside the faults.
"""

import os
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import ValidationError

from passport.records.disk import opening, walking
from passport.records.disk.walking import refusal
from passport.records.faults import Fault, Place, Severity
from passport.records.folders import closed_folder
from passport.records.language.worded import worded
from passport.records.pagetext import page_faults
from passport.records.photofile import PhotoFile, photo_file
from passport.records.schema.base import SLUG, Record, slug_of
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame
from passport.records.schema.player import Player
from passport.records.schema.workshop import FORMAT, Workshop
from passport.records.stockroom.lot import StockLot
from passport.records.yaml import yamltext
from passport.records.yaml.validation_messages import MOST, empties, faults_of, nothing_in
from passport.records.yaml.yamltext import LARGEST_FILE

R = TypeVar("R", bound=Record)
_RECORDS = (".yaml", ".yml")
STOCK = "catalogue/stock.yaml"
"""What is in stock; a workshop that keeps no book of it has no such file."""
FOLDERS = ("players", "catalogue", "blanks", "pages", "photos", "public")
"""Folders of the records and of what belongs to them."""
OWN = ("templates", "messages", "style", "fonts")
"""Folders of a shop's own templates, words, styles and fonts, which are no records."""


@dataclass(frozen=True, slots=True)
class Entry(Generic[R]):
    """A record with its name and where it was read: ``prefix`` is its path inside the file."""

    name: str
    record: R
    source: yamltext.Source
    prefix: yamltext.Path = ()

    def at(self, *path: str | int, key: bool = False) -> Place:
        """The place of one of the record's fields in its file."""
        return self.source.at((*self.prefix, *path), key=key)


@dataclass(frozen=True, slots=True)
class MarkdownPage:
    """One page of shop text: its slug, file and Markdown source."""

    slug: str
    file: str
    text: str


@dataclass(slots=True)
class Content:
    """All records of a workshop. Frames are named ``player/frame``; mappings keep the order of their files."""

    root: Path
    workshop: Entry[Workshop] | None = None
    strings: dict[str, Entry[StringType]] = field(default_factory=dict)
    models: dict[str, Entry[FrameModel]] = field(default_factory=dict)
    parts: dict[str, Entry[Part]] = field(default_factory=dict)
    lots: dict[str, Entry[StockLot]] = field(default_factory=dict)
    """What is in stock, where the workshop keeps catalogue/stock.yaml."""
    players: dict[str, Entry[Player]] = field(default_factory=dict)
    frames: dict[str, Entry[Frame]] = field(default_factory=dict)
    blanks: dict[str, Entry[Blank]] = field(default_factory=dict)
    pages: dict[str, MarkdownPage] = field(default_factory=dict)
    photos: dict[str, PhotoFile] = field(default_factory=dict)
    """The photos that frames name, by file name, as far as they can be shown."""
    unread: set[str] = field(default_factory=set)
    """What exists but could not be read, so that references to it are not faults as well: ``string <name>``,
    ``model <name>``, ``part <name>``, ``lot <name>``, ``player <name>``, ``frame <player>/<frame>``, ``blank <name>``; a frame's
    ``number <number>`` where that much was seen; a catalogue file that could not be read at all by its stem:
    ``strings``, ``frames``, ``parts``, ``stock``."""

    def frames_of(self, player: str) -> Iterator[Entry[Frame]]:
        """The frames in one player's folder, in the order of their file names."""
        return (entry for name, entry in self.frames.items() if name.partition("/")[0] == player)

    def by_number(self, number: str) -> Entry[Frame] | None:
        """The frame with a passport number."""
        return next((e for e in self.frames.values() if e.record.number == number), None)

    @property
    def catalogue(self) -> dict[str, StringType | Part]:
        """The catalogue's strings and parts in one table, for their names in words."""
        strings, parts = records_of(self.strings), records_of(self.parts)
        return {**strings, **parts}

    def numbers(self) -> set[str]:
        """All passport numbers in use, those of records that could not be read among them as far as they were seen."""
        unread = {name.removeprefix("number ") for name in self.unread if name.startswith("number ")}
        return unread | {e.record.number for e in self.frames.values() if e.record.number}


def records_of(entries: Mapping[str, Entry[R]]) -> dict[str, R]:
    """The records alone, by their names, without the places where they stand."""
    return {name: entry.record for name, entry in entries.items()}


def load(root: Path, only: Collection[str] | None = None, *, frames_alone: bool = False) -> tuple[Content, list[Fault]]:
    """Read a content folder; returns what could be read and every fault found while reading.

    With ``only`` no other players than those are read, by the names of their folders; all else is read in any case, but
    with ``frames_alone`` neither the blanks in stock nor the pages of the shop's text.
    """
    content, faults = Content(root), list[Fault]()
    reader = _Reader(root, faults, content.unread)
    if reader.closed(root):
        return content, faults
    if not (root / "workshop.yaml").is_file():
        what = worded("There is no workshop.yaml in '{root}', so this is not a content folder.", root=root)
        return content, [
            Fault(Place(str(root)), "no-workshop", what, worded("Name the folder that holds workshop.yaml."))
        ]
    newer = _newer(root)
    if newer:
        return content, [newer]
    content.workshop = reader.one(root / "workshop.yaml", Workshop, "workshop workshop")
    content.strings = reader.mapping(root / "catalogue/strings.yaml", StringType, "string")
    content.models = reader.mapping(root / "catalogue/frames.yaml", FrameModel, "model")
    content.parts = reader.mapping(root / "catalogue/parts.yaml", Part, "part")
    if os.path.lexists(stock := root / STOCK):
        content.lots = reader.mapping(stock, StockLot, "lot")
    _load_players(content, reader, only)
    if not reader.closed(root / "photos"):
        _load_photos(content)
    if frames_alone:
        return content, sorted(faults)
    for path in reader.files(root / "blanks", "*.yaml"):
        _keep(content.blanks, reader.one(path, Blank, f"blank {path.stem}"))
    for path in reader.files(root / "pages", "*.md"):
        page = reader.page(path)
        if page:
            content.pages[page.slug] = page
    reader.stay_inside(OWN, only)
    reader.note_strays(only)
    return content, sorted(faults)


def load_players(root: Path, names: Collection[str]) -> dict[str, Entry[Player]]:
    """The records of some players without their frames, as far as they can be read."""
    reader = _Reader(root, [], set())
    found = dict[str, Entry[Player]]()
    for folder in reader.folders(root / "players", names):
        _keep(found, reader.one(folder / "player.yaml", Player, f"player {folder.name}"))
    return found


def _newer(root: Path) -> Fault | None:
    """That the records are of a newer program: then nothing that it would say of them means anything."""
    path = root / "workshop.yaml"
    text = _Reader(root, [], set()).text(path)
    data, source = _shape_of(text or "", str(path))
    shape = data.get("format")
    if not isinstance(shape, str) or not shape.isascii() or not shape.isdigit() or int(shape) <= FORMAT:
        return None
    what = worded(
        "These records are of format {shape}, and this version of the program knows no higher one than {format}.",
        shape=shape,
        format=FORMAT,
    )
    return Fault(
        source.at(("format",)), "newer-format", what, worded("Use the version that wrote them, or a later one.")
    )


@dataclass(frozen=True, slots=True)
class _Said(Generic[R]):
    """What a text of records says: its records, the faults in it, and what of it exists but could not be read."""

    entries: tuple[Entry[R], ...]
    faults: tuple[Fault, ...]
    unread: frozenset[str]


# A text that was read a moment ago says the same again: a bench that is open reads its catalogue many times a minute,
# and a save the record of one frame. What all share is kept apart from frames, of which a build reads ten thousand.
@lru_cache(maxsize=128)
def _shared_text(text: str, file: str, kind: type[Record], label: str) -> _Said[Any]:
    return _one_said(text, file, kind, label)


@lru_cache(maxsize=64)
def _own_text(text: str, file: str, kind: type[Record], label: str) -> _Said[Any]:
    return _one_said(text, file, kind, label)


def _one_said(text: str, file: str, kind: type[Record], label: str) -> _Said[Any]:
    """What the text of one record says; ``label`` is its kind and its name, as in ``frame ines/spare``."""
    data, source, faults = _mapping_in(text, file)
    if data is None:
        return _Said((), tuple(faults), frozenset({label}))
    if not data and (fault := nothing_in(kind, source)):
        return _Said((), (*faults, fault), frozenset({label}))
    unread = set[str]()
    entry = _typed(data, kind, label, source, (), faults, unread)
    return _Said((entry,) if entry else (), tuple(faults), frozenset(unread))


@lru_cache(maxsize=16)
def _catalogue_text(text: str, file: str, kind: type[Record], word: str) -> _Said[Any]:
    """What the text of a catalogue says; ``word`` is what each of its records is."""
    data, source, faults = _mapping_in(text, file)
    if data is None:
        return _Said((), tuple(faults), frozenset({Path(file).stem}))
    unread = set[str]()
    faults += [_bad_name(name, word, source) for name in data if not SLUG.fullmatch(name)]
    typed = [_typed(value, kind, f"{word} {name}", source, (name,), faults, unread) for name, value in data.items()]
    return _Said(tuple(entry for entry in typed if entry), tuple(faults), frozenset(unread))


@lru_cache(maxsize=4)
def _shape_of(text: str, file: str) -> tuple[Mapping[str, yamltext.Tree], yamltext.Source]:
    """The data of a workshop's text as far as they can be read, and where they stand."""
    data, source, _ = _mapping_in(text, file)
    return data or {}, source


def _mapping_in(text: str, file: str) -> tuple[dict[str, yamltext.Tree] | None, yamltext.Source, list[Fault]]:
    """The data of a text of records, None where there are none, where each part of it stands, and what is wrong."""
    data, source, faults = yamltext.read(text, file)
    if data is not None and not isinstance(data, dict):
        return None, source, [*faults, yamltext.no_record(source)]
    return data, source, faults


def _typed(
    data: yamltext.Tree, kind: type[R], label: str, source: yamltext.Source, prefix: yamltext.Path,
    faults: list[Fault], unread: set[str],
) -> Entry[R] | None:  # fmt: skip
    """The record of some data; what is wrong with it is added to ``faults`` and ``unread``."""
    found: list[Fault] = []
    entry: Entry[R] | None = None
    try:
        entry = Entry(label.partition(" ")[2], kind.model_validate(data), source, prefix)
    except ValidationError as error:
        found = faults_of(error, kind, source, prefix)
        unread.add(label)
        if isinstance(data, dict) and "number" in data:
            unread.add(f"number {data['number']}")
    empty = [e for e in islice(empties(data, source, prefix), MOST) if not any(f.place.covers(e.place) for f in found)]
    faults += found + empty
    return entry


def _bad_name(name: str, word: str, source: yamltext.Source) -> Fault:
    what = worded("'{name}' cannot be the name of a {word} in the catalogue.", name=name[:60], word=word)
    do = worded("Use small letters, digits and hyphens, as in '{slug_of}'.", slug_of=slug_of(name))
    return Fault(source.at((name,), key=True), "bad-name", what, do)


def _load_players(content: Content, reader: "_Reader", only: Collection[str] | None) -> None:
    for folder in reader.folders(content.root / "players", only):
        reader.note_name(folder, folder.name, "a player's folder", "ines")
        if reader.closed(folder):
            content.unread.add(f"player {folder.name}")
            continue
        _keep(content.players, reader.one(folder / "player.yaml", Player, f"player {folder.name}"))
        for path in reader.files(folder, "*.yaml"):
            if path.name != "player.yaml":
                reader.note_name(path, path.stem, "a frame's file", "spare")
                _keep(content.frames, reader.one(path, Frame, f"frame {folder.name}/{path.stem}"))


def _load_photos(content: Content) -> None:
    for name in {name for entry in content.frames.values() for name in entry.record.photos()}:
        found = photo_file(content.root / "photos", name)
        if found:
            content.photos[name] = found


def _keep(table: dict[str, Entry[R]], entry: Entry[R] | None) -> None:
    if entry is not None:
        table[entry.name] = entry


@dataclass(slots=True)
class _Reader:
    root: Path
    faults: list[Fault]
    unread: set[str]
    seen: set[Path] = field(default_factory=set)
    shut: set[Path] = field(default_factory=set)

    def closed(self, folder: Path) -> bool:
        """Whether a folder is there but cannot be read, which is a fault: its records would seem to be gone."""
        if folder not in self.shut and (error := refusal(folder)):
            self.shut.add(folder)
            self.faults.append(closed_folder(self.shown(folder), error))
        return folder in self.shut

    def shown(self, path: Path) -> str:
        """The path as a person would type it from where they stand."""
        return str(path)

    def files(self, folder: Path, pattern: str) -> list[Path]:
        """Files to be read, links that lead nowhere among them, hidden ones not: editors leave those."""
        found = [] if folder.is_symlink() or self.closed(folder) else walking.listed(folder)
        return [path for path in found if path.match(pattern) and not path.name.startswith(".")]

    def folders(self, folder: Path, only: Collection[str] | None) -> list[Path]:
        if folder.is_symlink() or self.closed(folder):
            return []
        given = (folder / name for name in only) if only is not None else walking.listed(folder)
        found = sorted(p for p in given if p.is_dir() and not p.name.startswith("."))
        self.seen.update(found)
        return [p for p in found if not p.is_symlink()]

    def text(self, path: Path) -> str | None:
        self.seen.add(path)
        if self.closed(path.parent):
            return None
        try:
            return self._text(path)
        except FileNotFoundError:
            self._fault(path, "missing-file", *_missing(path))
        except UnicodeDecodeError as error:
            what = worded("This file is not UTF-8 text: byte {start} cannot be read.", start=error.start + 1)
            self._fault(path, "not-utf8", what, worded("Open it in an editor and save it with the encoding UTF-8."))
        except opening.NotOrdinary:
            self._fault(
                path,
                "unreadable",
                worded("This is not an ordinary file."),
                worded("Put a text file here, or move it elsewhere."),
            )
        except opening.TooLarge:
            what = worded(
                "This file is {st_size:.0f} MB large, too large for a record.", st_size=path.stat().st_size / 1e6
            )
            self._fault(path, "too-large", what, worded("Split it, or move it elsewhere."))
        except OSError as error:
            what = worded("This file cannot be read: {strerror}.", strerror=error.strerror)
            self._fault(path, "unreadable", what, worded("Check that it is a file and that you may read it."))
        return None

    def _text(self, path: Path) -> str | None:
        return opening.read_text(path, most=LARGEST_FILE, inside=self.root) if self._inside(path) else None

    def page(self, path: Path) -> MarkdownPage | None:
        """A page of shop text, where nothing is wrong with it."""
        text = self.text(path)
        found = [] if text is None else list(page_faults(text, self.shown(path)))
        self.faults += found
        return None if text is None or found else MarkdownPage(path.stem, self.shown(path), text)

    def one(self, path: Path, kind: type[R], label: str) -> Entry[R] | None:
        """The one record of a file; ``label`` is its kind and its name, as in ``frame ines/spare``."""
        text = self.text(path)
        if text is None:
            self.unread.add(label)
            return None
        said = (_own_text if kind in (Player, Frame) else _shared_text)(text, self.shown(path), kind, label)
        return next(iter(self._taken(said)), None)

    def mapping(self, path: Path, kind: type[R], word: str) -> dict[str, Entry[R]]:
        """The records of a catalogue file by their names; ``word`` says what each of them is."""
        text = self.text(path)
        if text is None:
            self.unread.add(path.stem)
            return {}
        return {entry.name: entry for entry in self._taken(_catalogue_text(text, self.shown(path), kind, word))}

    def _taken(self, said: "_Said[R]") -> tuple[Entry[R], ...]:
        self.faults += said.faults
        self.unread |= said.unread
        return said.entries

    def note_name(self, path: Path, name: str, kind: str, example: str) -> None:
        """A warning where a player or frame has a name that cannot be typed alike on every computer."""
        if not SLUG.fullmatch(name):
            what = worded(
                "'{path}' is an unlucky name for {kind}: not every computer and command writes it alike.",
                path=path.name[:60],
                kind=kind,
            )
            do = worded(
                "Rename it, with small letters, digits and hyphens alone, as in '{slug_of}{suffix}'.",
                slug_of=slug_of(name, example),
                suffix=path.suffix,
            )
            self._fault(path, "odd-name", what, do, "warning")

    def stay_inside(self, folders: Iterable[str], only: Collection[str] | None) -> None:
        """A fault for each link to a folder, and for each link out of the content folder among the files that pages and
        cards are made with."""
        players = self.root / "players"
        inside = [players / name for name in only] if only else walking.listed(players)
        inside = [] if self.closed(players) else inside
        for path in (*(self.root / folder for folder in FOLDERS), *inside):
            self._itself(path)
        for folder in folders:
            top = self.root / folder
            links = [top] if top.is_symlink() else []
            for name, entry in walking.entries(top, hidden=True) if not links and not self.closed(top) else ():
                if name[-1] == "/":
                    self.closed(Path(entry.path))
                elif entry.is_symlink():
                    links.append(Path(entry.path))
            for link in sorted(links):
                self._itself(link)

    def note_strays(self, only: Collection[str] | None) -> None:
        """A warning for each record that stands where, or ends so that, nobody reads it."""
        players = self.root / "players"
        inside = walking.listed(players) if only is None else [players / name for name in sorted(only)]
        inside = [] if self.closed(players) else inside
        for folder in (self.root, self.root / "catalogue", players, *inside, self.root / "blanks"):
            if folder != self.root and (folder.is_symlink() or folder.suffix in _RECORDS or self.closed(folder)):
                continue
            for path in walking.listed(folder, ends=_RECORDS):
                if path.suffix in _RECORDS and path not in self.seen and not path.name.startswith("."):
                    self._fault(path, "not-read", worded("Nothing reads this file."), _where_to(path), "warning")

    def _itself(self, path: Path) -> bool:
        """Whether a folder is one itself and no link; a fault where it is none."""
        if not path.is_symlink():
            return True
        if path in self.shut:  # said already
            return False
        if self._inside(path) and path.is_dir():
            do = worded("Move the folder itself here: no link to a folder is followed, since it may lead in a circle.")
            self._fault(path, "linked-folder", worded("This is a link to a folder."), do)
        return False

    def _inside(self, path: Path) -> bool:
        what = worded("This link leads outside the content folder.")
        try:
            if path.resolve().is_relative_to(self.root.resolve()):
                return True
        except (RuntimeError, OSError):
            what = worded("This link leads in a circle.")
        self._fault(path, "outside-link", what, worded("Copy the file that is meant into the content folder instead."))
        return False

    def _fault(self, path: Path, rule: str, what: str, do: str, severity: Severity = "error") -> None:
        self.faults.append(Fault(Place(self.shown(path)), rule, what, do, severity))


def _missing(path: Path) -> tuple[str, str]:
    if path.is_symlink():
        return "This link leads to nothing.", "Remove it, or put the file where it leads."
    if path.name == "player.yaml":
        return "This file is missing.", "Create it with a line 'name: …', the name that the player's page shows."
    return "This file is missing.", "Create it; it may be empty until there is something to put in."


def _where_to(path: Path) -> str:
    if path.suffix == ".yml":
        return f"Rename it to '{path.stem}.yaml'."
    return (
        "A frame belongs in its player's folder, the catalogue in strings.yaml, frames.yaml, parts.yaml and stock.yaml."
    )
