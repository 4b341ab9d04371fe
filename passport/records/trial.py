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
from passport.records.schema.frame import Frame
from passport.records.schema.player import Player
from passport.records.yaml import yamltext
from passport.records.yaml.validation_messages import empties, faults_of

R = TypeVar("R", bound=Record)
CheckAll = Callable[[Content], Iterable[Fault]]


def tried(
    content: Content, texts: Mapping[str, str | None], before: Iterable[Fault], check: CheckAll
) -> tuple[Content, list[Fault]]:
    """The content with other texts for the files of players and frames, and the faults that only this change brings.

    ``texts`` are by path below the content folder, as in ``players/ines/spare.yaml``, None for one that goes; ``before`` are the faults that
    reading and checking the content found as it is; ``check`` runs all checks across records.
    """
    after = replace(content, players=dict(content.players), frames=dict(content.frames))
    faults: list[Fault] = []
    for path, text in texts.items():
        name = PurePosixPath(path).with_suffix("").relative_to("players")
        if text is None:
            after.players.pop(str(name.parent) if name.name == "player" else "", None)
            after.frames.pop(str(name), None)
        elif name.name == "player":
            faults += _put(after.players, str(name.parent), text, content, path, Player)
        else:
            faults += _put(after.frames, str(name), text, content, path, Frame)
    return after, list(only_new([*faults, *check(after)], before))


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
    table: dict[str, Entry[R]], name: str, text: str, content: Content, path: str, kind: type[R]
) -> Iterator[Fault]:
    """Put the record of a text into a table, or take the one of that name out where it cannot be read; its faults."""
    data, source, faults = yamltext.read(text.removeprefix("\ufeff"), str(content.root / path))
    yield from faults
    table.pop(name, None)
    if not isinstance(data, dict):
        if data is not None:
            yield yamltext.no_record(source)
        return
    found: list[Fault] = []
    try:
        table[name] = Entry(name, kind.model_validate(data), source)
    except ValidationError as error:
        found = faults_of(error, kind, source, ())
    named = {fault.place for fault in found}
    yield from found
    yield from (fault for fault in empties(data, source, ()) if fault.place not in named)
