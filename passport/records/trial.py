"""The content as it would be with some files changed or added, and which faults that would bring. Nothing is written."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import PurePosixPath
from typing import TypeVar

from pydantic import ValidationError

from passport.records.faults import Fault
from passport.records.load import Content, Entry
from passport.records.schema.base import Record
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame
from passport.records.schema.player import Player
from passport.records.schema.workshop import Workshop
from passport.records.stockroom.lot import StockLot
from passport.records.yaml import yamltext
from passport.records.yaml.validation_messages import empties, faults_of

R = TypeVar("R", bound=Record)
CheckAll = Callable[[Content], Iterable[Fault]]


def tried(
    content: Content, texts: Mapping[str, str | None], before: Iterable[Fault], check: CheckAll
) -> tuple[Content, list[Fault]]:
    """The content with other texts for the files of its records, and the faults that only this change brings.

    ``texts`` are by path below the content folder, as in ``players/ines/spare.yaml``, None for one that goes; ``before`` are the faults that
    reading and checking the content found as it is; ``check`` runs all checks across records.
    """
    after = replace(
        content, players=dict(content.players), frames=dict(content.frames), blanks=dict(content.blanks),
        strings=dict(content.strings), models=dict(content.models), parts=dict(content.parts),
        lots=dict(content.lots),
    )  # fmt: skip
    faults: list[Fault] = []
    for path, text in texts.items():
        faults += _replaced(after, path, text)
    return after, list(only_new([*faults, *check(after)], before))


def _replaced(after: Content, path: str, text: str | None) -> Iterator[Fault]:
    """Put what a file says now into the content; the faults of reading it."""
    place = PurePosixPath(path).with_suffix("")
    folder, name = place.parts[0] if place.parts[1:] else "", "/".join(place.parts[1:])
    match folder, place.name:
        case "players", "player":
            found = _put(after.players, str(PurePosixPath(name).parent), text, after, path, Player)
        case "players", _:
            found = _put(after.frames, name, text, after, path, Frame)
        case "blanks", _:
            found = _put(after.blanks, name, text, after, path, Blank)
        case "catalogue", "strings":
            found = _put_all(after.strings, text, after, path, StringType)
        case "catalogue", "frames":
            found = _put_all(after.models, text, after, path, FrameModel)
        case "catalogue", "stock":
            found = _put_all(after.lots, text, after, path, StockLot)
        case "catalogue", _:
            found = _put_all(after.parts, text, after, path, Part)
        case _:
            found = _put_workshop(after, text, path)
    return found


def _put_workshop(after: Content, text: str | None, path: str) -> Iterator[Fault]:
    table: dict[str, Entry[Workshop]] = {}
    yield from _put(table, "workshop", text, after, path, Workshop)
    after.workshop = table.get("workshop")


def only_new(faults: Iterable[Fault], before: Iterable[Fault]) -> Iterator[Fault]:
    """The faults that were not there before; one that only stands on another line now is not new."""
    known = Counter(_cause(fault) for fault in before)
    for fault in sorted(faults):
        if known[_cause(fault)]:
            known[_cause(fault)] -= 1
        else:
            yield fault


def _cause(fault: Fault) -> tuple[str, str, str, str]:
    return fault.place.file, fault.rule, fault.what, fault.place.excerpt


def _put(
    table: dict[str, Entry[R]], name: str, text: str | None, content: Content, path: str, kind: type[R]
) -> Iterator[Fault]:
    """Put the record of a text into a table, or take the one of that name out where it cannot be read; its faults.

    A record that was there keeps its place: of two that clash the same one is at fault as before.
    """
    if text is None:
        table.pop(name, None)
        return
    data, source, faults = yamltext.read(text.removeprefix("\ufeff"), str(content.root / path))
    yield from faults
    if not isinstance(data, dict):
        table.pop(name, None)
        if data is not None:
            yield yamltext.no_record(source)
        return
    yield from _typed(table, name, data, kind, source, ())


def _put_all(
    table: dict[str, Entry[R]], text: str | None, content: Content, path: str, kind: type[R]
) -> Iterator[Fault]:
    """Put the records of a catalogue's text into a table in place of all that were there; their faults."""
    table.clear()
    data, source, faults = yamltext.read((text or "").removeprefix("\ufeff"), str(content.root / path))
    yield from faults
    if not isinstance(data, dict):
        if data is not None:
            yield yamltext.no_record(source)
        return
    for name, value in data.items():
        yield from _typed(table, name, value, kind, source, (name,))


def _typed(
    table: dict[str, Entry[R]],
    name: str,
    data: yamltext.Tree,
    kind: type[R],
    source: yamltext.Source,
    prefix: yamltext.Path,
) -> Iterator[Fault]:
    found: list[Fault] = []
    try:
        table[name] = Entry(name, kind.model_validate(data), source, prefix)
    except ValidationError as error:
        table.pop(name, None)
        found = faults_of(error, kind, source, prefix)
    named = {fault.place for fault in found}
    yield from found
    yield from (fault for fault in empties(data, source, prefix) if fault.place not in named)
