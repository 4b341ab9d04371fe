"""The content folder: every file read and typed, every fault collected, nothing written.

A broken record never stops the others: what can be read is returned beside the faults.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Generic, TypeVar

from pydantic import ValidationError

from passport.records import yamltext
from passport.records.base import Record
from passport.records.catalogue import FrameModel, Part, StringType
from passport.records.explain import faults_of
from passport.records.faults import Fault, Place
from passport.records.frame import Blank, Frame
from passport.records.player import Player
from passport.records.workshop import Workshop

R = TypeVar("R", bound=Record)


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
    unread: set[str] = field(default_factory=set)
    """Names of records that exist but could not be read, so that references to them are not faults as well."""

    def frames_of(self, player: str) -> Iterator[Entry[Frame]]:
        """The frames in one player's folder, in the order of their file names."""
        return (entry for name, entry in self.frames.items() if name.partition("/")[0] == player)

    def by_number(self, number: str) -> Entry[Frame] | None:
        """The frame with a passport number."""
        return next((e for e in self.frames.values() if e.record.number == number), None)


def load(root: Path) -> tuple[Content, list[Fault]]:
    """Read a content folder; returns what could be read and every fault found while reading."""
    content, faults = Content(root), list[Fault]()
    if not (root / "workshop.yaml").is_file():
        what = f"There is no workshop.yaml in '{root}', so this is not a content folder."
        return content, [Fault(Place(str(root)), "no-workshop", what, "Name the folder that holds workshop.yaml.")]
    reader = _Reader(root, faults, content.unread)
    content.workshop = reader.one(root / "workshop.yaml", Workshop, "workshop")
    content.strings = reader.mapping(root / "catalogue/strings.yaml", StringType)
    content.models = reader.mapping(root / "catalogue/frames.yaml", FrameModel)
    content.parts = reader.mapping(root / "catalogue/parts.yaml", Part)
    _load_players(content, reader)
    for path in reader.files(root / "blanks", "*.yaml"):
        _keep(content.blanks, path.stem, reader.one(path, Blank, f"blank {path.stem}"))
    for path in reader.files(root / "pages", "*.md"):
        text = reader.text(path)
        if text is not None:
            content.pages[path.stem] = MarkdownPage(path.stem, reader.shown(path), text)
    return content, sorted(faults)


def _load_players(content: Content, reader: "_Reader") -> None:
    for folder in reader.folders(content.root / "players"):
        _keep(content.players, folder.name, reader.one(folder / "player.yaml", Player, f"player {folder.name}"))
        for path in reader.files(folder, "*.yaml"):
            if path.name != "player.yaml":
                name = f"{folder.name}/{path.stem}"
                _keep(content.frames, name, reader.one(path, Frame, name))


def _keep(table: dict[str, Entry[R]], name: str, entry: Entry[R] | None) -> None:
    if entry is not None:
        table[name] = Entry(name, entry.record, entry.source, entry.prefix)


@dataclass(slots=True)
class _Reader:
    root: Path
    faults: list[Fault]
    unread: set[str]

    def shown(self, path: Path) -> str:
        """The path as a person would type it from where they stand."""
        return str(path)

    def files(self, folder: Path, pattern: str) -> list[Path]:
        found = sorted(folder.glob(pattern)) if folder.is_dir() else []
        return [path for path in found if path.is_file() and self._inside(path)]

    def folders(self, folder: Path) -> list[Path]:
        found = sorted(folder.iterdir()) if folder.is_dir() else []
        return [p for p in found if p.is_dir() and not p.name.startswith(".") and self._inside(p)]

    def text(self, path: Path) -> str | None:
        try:
            if path.stat().st_size > 4 * yamltext.LARGEST:
                self._fault(
                    path, "too-large", "This file is too large for a record.", "Split it, or move it elsewhere."
                )
                return None
            return path.read_text(encoding="utf-8-sig")
        except FileNotFoundError:
            self._fault(
                path, "missing-file", "This file is missing.", "Create it; the README shows what belongs in it."
            )
        except UnicodeDecodeError as error:
            what = f"This file is not UTF-8 text (byte {error.start})."
            self._fault(path, "not-utf8", what, "Save it as UTF-8; every editor can do that.")
        except OSError as error:
            what = f"This file cannot be read: {error.strerror}."
            self._fault(path, "unreadable", what, "Check its permissions.")
        return None

    def one(self, path: Path, kind: type[R], name: str) -> Entry[R] | None:
        data, source = self._yaml(path)
        return None if data is None else self._typed(data, kind, name, source, ())

    def mapping(self, path: Path, kind: type[R]) -> dict[str, Entry[R]]:
        data, source = self._yaml(path)
        if not isinstance(data, dict):
            self.unread.add(path.stem)
            return {}
        typed = ((name, self._typed(value, kind, name, source, (name,))) for name, value in data.items())
        return {name: entry for name, entry in typed if entry}

    def _yaml(self, path: Path) -> tuple[yamltext.Tree, yamltext.Source]:
        text = self.text(path)
        if text is None:
            return None, yamltext.Source(str(path))
        data, source, faults = yamltext.read(text, self.shown(path))
        self.faults += faults
        if data is not None and not isinstance(data, dict):
            what = "This file is not a list of 'key: value' lines."
            self._fault(path, "yaml-syntax", what, "Begin with a key, as in 'name: value'.")
            return None, source
        return data, source

    def _typed(
        self, data: yamltext.Tree, kind: type[R], name: str, source: yamltext.Source, prefix: yamltext.Path
    ) -> Entry[R] | None:
        try:
            return Entry(name, kind.model_validate(data), source, prefix)
        except ValidationError as error:
            self.faults += faults_of(error, kind, source, prefix)
            self.unread.add(name)
            return None

    def _inside(self, path: Path) -> bool:
        if path.resolve().is_relative_to(self.root.resolve()):
            return True
        self._fault(path, "outside-link", "This link leads outside the content folder.", "Copy the file in instead.")
        return False

    def _fault(self, path: Path, rule: str, what: str, do: str) -> None:
        self.faults.append(Fault(Place(self.shown(path)), rule, what, do))
