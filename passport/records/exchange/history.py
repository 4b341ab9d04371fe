"""The whole history of a player's frames as it goes to another workshop: records without what is private.

Each frame's record stands in it as its file has it, all values as text, and so do the entries of the catalogue that it names;
the schemas of records describe both. Keys of pages are left out: every workshop gives its own.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel

from passport.records.disk import opening
from passport.records.exchange.carried import NotCarried, parsed
from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema import base
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Frame
from passport.records.schema.visibility import Audience, marks
from passport.records.yaml import yamltext
from passport.records.yaml.validation_messages import models_in

FILE: Final = "history.json"
HISTORY: Final = 1
"""Raised when the file changes its meaning."""
MOST_BYTES: Final = 4_000_000
MOST_FRAMES: Final = 60
_OWN: Final = frozenset({"key", "number", "sealed", "photo", "photo_alt", "set"})
"""Of a frame, what belongs to the workshop that gave it; the number stands beside the record."""
CATALOGUE: Final[dict[str, type[BaseModel]]] = {"strings": StringType, "frames": FrameModel, "parts": Part}
Tree = dict[str, Any]


@dataclass(frozen=True, slots=True)
class PlayerHistory:
    """What a player takes along: ``frames`` are their numbers with their records, ``catalogue`` what these name."""

    workshop: str
    player: str
    language: str
    frames: tuple[tuple[str, Tree], ...]
    catalogue: dict[str, dict[str, Tree]]


def history_json(content: Content, player: str, made: str) -> bytes:
    """The history of a player, by the name of the folder; ``made`` is the day. Read the records with their texts."""
    owner = content.players[player].record
    frames = [(e.record.number or e.name, _of_frame(e, serial=owner.shows.serial)) for e in content.frames_of(player)]
    named = {text for _, tree in frames for text in _texts(tree)}
    tables: dict[str, dict[str, Entry[Any]]] = {
        "strings": content.strings,
        "frames": content.models,
        "parts": content.parts,
    }
    catalogue = {
        kind: {
            name: _public_tree(_tree_of(tables[kind][name]), CATALOGUE[kind]) for name in tables[kind] if name in named
        }
        for kind in CATALOGUE
    }
    whole = {
        "history": HISTORY,
        "workshop": content.workshop.record.name if content.workshop else "",
        "made": made,
        "player": {"name": owner.name, "language": owner.language},
        "frames": [{"number": number, "record": tree} for number, tree in frames],
        "catalogue": catalogue,
    }
    return (json.dumps(whole, ensure_ascii=False, indent=1) + "\n").encode()


def _of_frame(entry: Entry[Frame], *, serial: bool) -> Tree:
    tree = _public_tree(_tree_of(entry), Frame)
    return {key: value for key, value in tree.items() if key not in _OWN and (serial or key != "serial")}


def _tree_of(entry: Entry[Any]) -> Tree:
    """A record as its file has it."""
    data, _, _ = yamltext.read("\n".join(entry.source.lines), entry.source.file)
    for step in entry.prefix:
        data = data[step]
    return data if isinstance(data, dict) else {}


def _public_tree(tree: Any, kind: type[BaseModel]) -> Any:
    """What a record says in its public fields, at any depth."""
    if isinstance(tree, list):
        return [_public_tree(each, kind) for each in tree]
    if not isinstance(tree, dict):
        return tree
    found: Tree = {}
    for key, value in tree.items():
        info = kind.model_fields.get(key)
        if info is None or Audience.PUBLIC not in marks(kind, key) or value is None:
            continue
        below = next(models_in(info.annotation), None)
        cut = _public_tree(value, below) if below and isinstance(value, dict | list) else value
        if cut not in ({}, []) or key == "build":
            found[key] = cut
    return found


def _texts(tree: Any) -> Iterator[str]:
    if isinstance(tree, dict | list):
        for value in tree.values() if isinstance(tree, dict) else tree:
            yield from _texts(value)
    else:
        yield str(tree)


# --- reading -------------------------------------------------------------------------------------------------------


def read_history(folder: Path) -> PlayerHistory:
    """The history in a folder, or in its file. Raises `NotCarried`, and OSError where it cannot be opened."""
    path = folder / FILE if folder.is_dir() else folder
    name = str(path)
    try:
        text = opening.read_text(path, most=MOST_BYTES)
    except UnicodeDecodeError:
        raise _fault(name, worded("This file is no text.")) from None
    data = parsed(text, name)
    if not isinstance(data, dict) or data.get("history") != HISTORY:
        newer = isinstance(data, dict) and isinstance(data.get("history"), int)
        what = (
            worded("This history is of another version than {history}.", history=HISTORY)
            if newer
            else worded("This is no player's history.")
        )
        raise _fault(name, what, worded("Use the newest release of the program.") if newer else "")
    for value in _texts(data):
        if base.risky(value):
            raise _fault(name, worded("A text holds a control character or a mark that turns the writing around."))
    return _history_of(data, name)


def _history_of(data: Tree, name: str) -> PlayerHistory:
    player, frames, catalogue = data.get("player"), data.get("frames"), data.get("catalogue")
    if not (isinstance(player, dict) and isinstance(frames, list) and isinstance(catalogue, dict)):
        raise _fault(name, worded("It lacks its player, its frames or its catalogue."))
    if not _is_text(data.get("workshop")) or not _is_text(player.get("name")):
        raise _fault(name, worded("It does not say which workshop it is of, or which player."))
    if len(frames) > MOST_FRAMES:
        raise _fault(
            name,
            worded(
                "It has {frames} frames, more than the {most_frames} that are read.",
                frames=len(frames),
                most_frames=MOST_FRAMES,
            ),
        )
    told = []
    for i, frame in enumerate(frames, 1):
        good = isinstance(frame, dict) and _is_text(frame.get("number")) and isinstance(frame.get("record"), dict)
        if not good or not _plain(frame["record"]):
            raise _fault(name, worded("Frame {i} is not a number and a record whose values are all text.", i=i))
        told.append((frame["number"], {key: value for key, value in frame["record"].items() if key not in _OWN}))
    tables: dict[str, dict[str, Tree]] = {}
    for kind in CATALOGUE:
        table = catalogue.get(kind, {})
        if not isinstance(table, dict) or not all(isinstance(tree, dict) and _plain(tree) for tree in table.values()):
            raise _fault(name, worded("Not every entry of its {kind} is one whose values are all text.", kind=kind))
        tables[kind] = table
    language = player.get("language", "")
    spoken = language if isinstance(language, str) and _is_text(language) else ""
    return PlayerHistory(data["workshop"], player["name"], spoken, tuple(told), tables)


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= 300


def _plain(tree: Any) -> bool:
    """Whether a tree holds texts alone, as records do."""
    if isinstance(tree, dict | list):
        return all(map(_plain, tree.values() if isinstance(tree, dict) else tree))
    return isinstance(tree, str)


def _fault(name: str, what: str, do: str = "") -> NotCarried:
    return NotCarried(Fault(Place(name), "no-history", what, do or worded("Ask for the folder again, unchanged.")))
