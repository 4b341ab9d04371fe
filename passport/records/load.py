"""The content folder: every file read and typed, every fault collected, nothing written.

A broken record never stops the others: what can be read is returned beside the faults.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Generic, TypeVar

from pydantic import ValidationError

from passport.records.faults import Fault, Place, Severity
from passport.records.pagetext import page_faults
from passport.records.photofile import PhotoFile, photo_file
from passport.records.schema.base import SLUG, Record, slug_of
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame
from passport.records.schema.player import Player
from passport.records.schema.workshop import Workshop
from passport.records.yaml import yamltext
from passport.records.yaml.validation_messages import MOST, empties, faults_of, nothing_in

R = TypeVar("R", bound=Record)
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
    players: dict[str, Entry[Player]] = field(default_factory=dict)
    frames: dict[str, Entry[Frame]] = field(default_factory=dict)
    blanks: dict[str, Entry[Blank]] = field(default_factory=dict)
    pages: dict[str, MarkdownPage] = field(default_factory=dict)
    photos: dict[str, PhotoFile] = field(default_factory=dict)
    """The photos that frames name, by file name, as far as they can be shown."""
    unread: set[str] = field(default_factory=set)
    """What exists but could not be read, so that references to it are not faults as well: ``string <name>``,
    ``model <name>``, ``part <name>``, ``player <name>``, ``frame <player>/<frame>``, ``blank <name>``; a frame's
    ``number <number>`` where that much was seen; a catalogue file that could not be read at all by its stem:
    ``strings``, ``frames``, ``parts``."""

    def frames_of(self, player: str) -> Iterator[Entry[Frame]]:
        """The frames in one player's folder, in the order of their file names."""
        return (entry for name, entry in self.frames.items() if name.partition("/")[0] == player)

    def by_number(self, number: str) -> Entry[Frame] | None:
        """The frame with a passport number."""
        return next((e for e in self.frames.values() if e.record.number == number), None)

    def numbers(self) -> set[str]:
        """All passport numbers in use, those of records that could not be read among them as far as they were seen."""
        unread = {name.removeprefix("number ") for name in self.unread if name.startswith("number ")}
        return unread | {e.record.number for e in self.frames.values() if e.record.number}


def load(root: Path, only: Collection[str] | None = None) -> tuple[Content, list[Fault]]:
    """Read a content folder; returns what could be read and every fault found while reading.

    With ``only`` no other players than those are read, by the names of their folders; all else is read in any case.
    """
    content, faults = Content(root), list[Fault]()
    if not (root / "workshop.yaml").is_file():
        what = f"There is no workshop.yaml in '{root}', so this is not a content folder."
        return content, [Fault(Place(str(root)), "no-workshop", what, "Name the folder that holds workshop.yaml.")]
    reader = _Reader(root, faults, content.unread)
    content.workshop = reader.one(root / "workshop.yaml", Workshop, "workshop workshop")
    content.strings = reader.mapping(root / "catalogue/strings.yaml", StringType, "string")
    content.models = reader.mapping(root / "catalogue/frames.yaml", FrameModel, "model")
    content.parts = reader.mapping(root / "catalogue/parts.yaml", Part, "part")
    _load_players(content, reader, only)
    _load_photos(content)
    for path in reader.files(root / "blanks", "*.yaml"):
        _keep(content.blanks, reader.one(path, Blank, f"blank {path.stem}"))
    for path in reader.files(root / "pages", "*.md"):
        page = reader.page(path)
        if page:
            content.pages[page.slug] = page
    reader.stay_inside(OWN)
    reader.note_strays(only)
    return content, sorted(faults)


def _load_players(content: Content, reader: "_Reader", only: Collection[str] | None) -> None:
    for folder in reader.folders(content.root / "players", only):
        reader.note_name(folder, folder.name, "a player's folder", "ines")
        _keep(content.players, reader.one(folder / "player.yaml", Player, f"player {folder.name}"))
        for path in reader.files(folder, "*.yaml"):
            if path.name != "player.yaml":
                reader.note_name(path, path.stem, "a frame's file", "spare")
                _keep(content.frames, reader.one(path, Frame, f"frame {folder.name}/{path.stem}"))


def _load_photos(content: Content) -> None:
    for name in {entry.record.photo for entry in content.frames.values() if entry.record.photo}:
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

    def shown(self, path: Path) -> str:
        """The path as a person would type it from where they stand."""
        return str(path)

    def files(self, folder: Path, pattern: str) -> list[Path]:
        """Files to be read, links that lead nowhere among them, hidden ones not: editors leave those."""
        found = sorted(folder.glob(pattern)) if folder.is_dir() else []
        return [path for path in found if not path.name.startswith(".")]

    def folders(self, folder: Path, only: Collection[str] | None) -> list[Path]:
        given = (folder / name for name in only) if only is not None else folder.iterdir() if folder.is_dir() else ()
        found = sorted(p for p in given if p.is_dir() and not p.name.startswith("."))
        self.seen.update(found)
        return [p for p in found if self._inside(p)]

    def text(self, path: Path) -> str | None:
        self.seen.add(path)
        try:
            return self._text(path)
        except FileNotFoundError:
            self._fault(path, "missing-file", *_missing(path))
        except UnicodeDecodeError as error:
            what = f"This file is not UTF-8 text: byte {error.start + 1} cannot be read."
            self._fault(path, "not-utf8", what, "Open it in an editor and save it with the encoding UTF-8.")
        except OSError as error:
            what = f"This file cannot be read: {error.strerror}."
            self._fault(path, "unreadable", what, "Check that it is a file and that you may read it.")
        return None

    def _text(self, path: Path) -> str | None:
        if not self._inside(path):
            return None
        size = path.stat().st_size
        if not path.is_file():
            self._fault(
                path, "unreadable", "This is not an ordinary file.", "Put a text file here, or move it elsewhere."
            )
            return None
        if size > 4 * yamltext.LARGEST:
            what = f"This file is {size / 1e6:.0f} MB large, too large for a record."
            self._fault(path, "too-large", what, "Split it, or move it elsewhere.")
            return None
        return path.read_text(encoding="utf-8-sig")

    def page(self, path: Path) -> MarkdownPage | None:
        """A page of shop text, where nothing is wrong with it."""
        text = self.text(path)
        found = [] if text is None else list(page_faults(text, self.shown(path)))
        self.faults += found
        return None if text is None or found else MarkdownPage(path.stem, self.shown(path), text)

    def one(self, path: Path, kind: type[R], label: str) -> Entry[R] | None:
        """The one record of a file; ``label`` is its kind and its name, as in ``frame ines/spare``."""
        data, source = self._yaml(path)
        if data is None:
            self.unread.add(label)
            return None
        if not data and (fault := nothing_in(kind, source)):
            self.faults.append(fault)
            self.unread.add(label)
            return None
        return self._typed(data, kind, label, source, ())

    def mapping(self, path: Path, kind: type[R], word: str) -> dict[str, Entry[R]]:
        """The records of a catalogue file by their names; ``word`` says what each of them is."""
        data, source = self._yaml(path)
        if data is None:
            self.unread.add(path.stem)
            return {}
        self.faults += [self._bad_name(name, word, source) for name in data if not SLUG.fullmatch(name)]
        typed = ((name, self._typed(value, kind, f"{word} {name}", source, (name,))) for name, value in data.items())
        return {name: entry for name, entry in typed if entry}

    def _yaml(self, path: Path) -> tuple[dict[str, yamltext.Tree] | None, yamltext.Source]:
        text = self.text(path)
        if text is None:
            return None, yamltext.Source(str(path))
        data, source, faults = yamltext.read(text, self.shown(path))
        self.faults += faults
        if data is not None and not isinstance(data, dict):
            self.faults.append(yamltext.no_record(source))
            return None, source
        return data, source

    def _typed(
        self, data: yamltext.Tree, kind: type[R], label: str, source: yamltext.Source, prefix: yamltext.Path
    ) -> Entry[R] | None:
        found: list[Fault] = []
        entry: Entry[R] | None = None
        try:
            entry = Entry(label.partition(" ")[2], kind.model_validate(data), source, prefix)
        except ValidationError as error:
            found = faults_of(error, kind, source, prefix)
            self.unread.add(label)
            if isinstance(data, dict) and "number" in data:
                self.unread.add(f"number {data['number']}")
        empty = [
            e for e in islice(empties(data, source, prefix), MOST) if not any(f.place.covers(e.place) for f in found)
        ]
        self.faults += found + empty
        return entry

    def _bad_name(self, name: str, word: str, source: yamltext.Source) -> Fault:
        what = f"'{name[:60]}' cannot be the name of a {word} in the catalogue."
        do = f"Use small letters, digits and hyphens, as in '{slug_of(name)}'."
        return Fault(source.at((name,), key=True), "bad-name", what, do)

    def note_name(self, path: Path, name: str, kind: str, example: str) -> None:
        """A warning where a player or frame has a name that cannot be typed alike on every computer."""
        if not SLUG.fullmatch(name):
            what = f"'{path.name[:60]}' is an unlucky name for {kind}: not every computer and command writes it alike."
            do = f"Rename it, with small letters, digits and hyphens alone, as in '{slug_of(name, example)}{path.suffix}'."
            self._fault(path, "odd-name", what, do, "warning")

    def stay_inside(self, folders: Iterable[str]) -> None:
        """A fault for each link out of the content folder among the files that pages and cards are made with."""
        for folder in folders:
            found = [self.root / folder, *(self.root / folder).rglob("*")]
            for path in sorted(path for path in found if path.is_symlink()):
                self._inside(path)

    def note_strays(self, only: Collection[str] | None) -> None:
        """A warning for each record that stands where, or ends so that, nobody reads it."""
        players = ["*"] if only is None else sorted(only)
        inside = (f"players/{name}/*.y*ml" for name in players)
        for pattern in ("*.y*ml", "catalogue/*.y*ml", "players/*.y*ml", *inside, "blanks/*.y*ml"):
            for path in sorted(self.root.glob(pattern)):
                known = path in self.seen or (path.parent in self.seen and path.parent.is_symlink())
                if not known and path.suffix in (".yaml", ".yml") and not path.name.startswith("."):
                    self._fault(path, "not-read", "Nothing reads this file.", _where_to(path), "warning")

    def _inside(self, path: Path) -> bool:
        what = "This link leads outside the content folder."
        try:
            if path.resolve().is_relative_to(self.root.resolve()):
                return True
        except (RuntimeError, OSError):
            what = "This link leads in a circle."
        self._fault(path, "outside-link", what, "Copy the file that is meant into the content folder instead.")
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
    return "A frame belongs in its player's folder, the catalogue in strings.yaml, frames.yaml and parts.yaml."
