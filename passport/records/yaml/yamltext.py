"""YAML text to plain data with every scalar kept as text, and the place of every key and value.

YAML's own guessing of types is not used: ``no`` stays ``no`` and ``12:30`` stays ``12:30`` until a record type asks
for something else. Anchors, aliases and tags are refused, so a record says in place what it means.
"""

import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

import yaml

from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.yaml.yaml_messages import syntax_fault

LARGEST = 2_000_000
LARGEST_FILE = 4 * LARGEST
"""Bytes of a file of records or of text: a letter has at most four of them in UTF-8."""
_MOST_FAULTS = 100
DEEPEST = 40
Path = tuple[str | int, ...]
Tree = Any  # str | None | list[Tree] | dict[str, Tree]
_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")  # what YAML 1.1 counts as the end of a line
_UNREADABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # YAML 1.1, §5.1


@dataclass(slots=True)
class Source:
    """The text that a record was read from, and where each of its values stands."""

    file: str
    lines: list[str] = field(default_factory=list)
    values: dict[Path, tuple[int, int, int]] = field(default_factory=dict)
    keys: dict[Path, tuple[int, int, int]] = field(default_factory=dict)

    def at(self, path: Path, *, key: bool = False, narrow: bool = False) -> Place:
        """The place of the value at ``path`` (or of its key); of the nearest enclosing key if there is none.

        ``narrow`` underlines only the first character of what is not a key: something is missing there, not wrong.
        """
        wanted = self.written(path)
        whole = wanted in self.values
        while wanted and wanted not in self.values:
            wanted = wanted[:-1]
        table = self.keys if (key or not whole) and wanted in self.keys else self.values
        line, col, width = table.get(wanted, (0, 0, 1))
        return self.line(line, col, 1 if narrow and table is self.values else width)

    def written(self, path: Path) -> Path:
        """The path as it stands in the file: one value written for a list has no index there."""
        result: Path = ()
        for step in path:
            if step != 0 or (*result, step) in self.values or result not in self.values:
                result = (*result, step)
        return result

    def line(self, line: int, col: int = 0, width: int = 1) -> Place:
        """The place at a 0-based line and column."""
        excerpt = self.lines[line] if line < len(self.lines) else ""
        return Place(self.file, line + 1, col + 1, excerpt, width)


def read(text: str, file: str) -> tuple[Tree, Source, list[Fault]]:
    """Parse one YAML document.

    Returns the data (dicts, lists, text and None), its source map, and the faults found: ``yaml-syntax``,
    ``yaml-feature``, ``duplicate-key``, ``control-character``, ``too-large``. Where there are faults the data may be
    partial or None.
    """
    if len(text) > LARGEST:
        what = worded(
            "This file holds {text:,} characters, more than the {largest:,} that are read.",
            text=len(text),
            largest=LARGEST,
        )
        return (
            None,
            Source(file),
            [Fault(Place(file), "too-large", what, worded("Split it: one file is one frame's history."))],
        )
    source = Source(file, _BREAK.split(text))
    # Before the parser, whose own message gives an offset into the text instead of a line.
    faults = _unreadable_characters(text, source)
    if faults:
        return None, source, faults
    reading = _EventReader(source)
    try:
        data = reading.document(_Loader(text).get_event)
    except yaml.YAMLError as error:
        return None, source, reading.refused or [syntax_fault(error, source.line, file)]
    if reading.refused:
        return None, source, reading.refused
    return data, source, reading.faults


def no_record(source: Source) -> Fault:
    """The fault of a text that is one value or a list where a record is needed."""
    what = worded("A record is made of 'key: value' lines, but this is something else.")
    do = worded("Begin with a key, as in 'name: value', with a plain space after the colon.")
    return Fault(source.at(()), "yaml-syntax", what, do)


def _unreadable_characters(text: str, source: Source) -> list[Fault]:
    """The first character that YAML does not allow in a text at all."""
    found = _UNREADABLE.search(text)
    if not found:
        return []
    before = _BREAK.split(text[: found.start()])
    what = worded("The character U+{ord:04X} stands here, which no text can hold.", ord=ord(found[0]))
    do = worded("Delete it; it is invisible in most editors, so type the words around it anew.")
    return [Fault(source.line(len(before) - 1, len(before[-1])), "control-character", what, do)]


class _TooDeep(yaml.YAMLError):
    """The text is nested deeper than is read."""


class _EventReader:
    """One document, read event by event into plain data, with the place of each value; nothing else is made of it.

    ``refused`` are the features of YAML that are not used here: aliases could unfold to gigabytes, and deep nesting
    exhaust the stack. ``faults`` is what else is wrong.
    """

    def __init__(self, source: Source) -> None:
        """Nothing is read yet."""
        self.source = source
        self.refused: list[Fault] = []
        self.faults: list[Fault] = []
        self._depth = 0

    def document(self, event: Callable[[], Any]) -> Tree:
        """The data of the text's one document; ``event`` brings the parser's next event.

        Raises ``yaml.YAMLError`` where it cannot be parsed, or is not alone.
        """
        self.event = event
        event()  # the beginning of the stream
        if isinstance(event(), yaml.StreamEndEvent):
            return {}  # a file without a word in it is a record without keys
        data = self._value(event(), ())
        event()  # the end of the document
        another = self.event()
        if not isinstance(another, yaml.StreamEndEvent):
            with suppress(yaml.YAMLError):
                while more := event():
                    self._look(more)
            raise yaml.composer.ComposerError(
                "expected a single document in the stream", None, "but found another document", another.start_mark
            )
        return {} if data is None else data

    def _value(self, event: Any, path: Path) -> Tree:
        values, start = self.source.values, event.start_mark
        line, col = start.line, start.column
        self._look(event)
        values[path] = (line, col, 1)  # before those inside it
        data: Tree = None
        if isinstance(event, yaml.ScalarEvent):
            data = None if not event.style and event.value in ("", "~", "null") else event.value
        elif isinstance(event, yaml.SequenceStartEvent):
            data, event = [], self.event()
            while not isinstance(event, yaml.SequenceEndEvent):
                data.append(self._value(event, (*path, len(data))))
                event = self.event()
            self._depth -= 1
        elif isinstance(event, yaml.MappingStartEvent):
            data, event = {}, self.event()
            while not isinstance(event, yaml.MappingEndEvent):
                self._entry(event, data, path)
                event = self.event()
            self._depth -= 1
        end = event.end_mark
        # A block of several lines is underlined on its first line, where a person begins to read.
        width = (end.column if end.line == line else len(self.source.line(line).excerpt.rstrip())) - col
        if width > 1:
            values[path] = (line, col, width)
        return data

    def _entry(self, event: Any, data: dict[str, Tree], path: Path) -> None:
        """One key of a map, and its value."""
        self._look(event)
        mark, end = event.start_mark, event.end_mark
        where = (mark.line, mark.column, end.column - mark.column or 1)
        if not isinstance(event, yaml.ScalarEvent):
            self._skip(event)
            what, do = worded("A key must be one plain word."), worded("Write it as in 'name: value'.")
            self.faults.append(Fault(self.source.line(mark.line, mark.column), "yaml-feature", what, do))
        elif event.value not in data:
            inner = (*path, event.value)
            self.source.keys[inner] = where
            data[event.value] = self._value(self.event(), inner)
            return
        elif len(self.faults) < _MOST_FAULTS:
            first = self.source.keys[(*path, event.value)][0] + 1
            what = worded(
                "The key '{event}' stands here for the second time; the first is on line {first}.",
                event=event.value,
                first=first,
            )
            self.faults.append(Fault(self.source.line(*where), "duplicate-key", what, worded("Keep one of the two.")))
        event = self.event()
        self._look(event)
        self._skip(event)

    def _skip(self, event: Any) -> None:
        """Pass over what is inside a value."""
        outside = self._depth - isinstance(event, yaml.CollectionStartEvent)
        while self._depth > outside:
            self._look(self.event())

    def _look(self, event: Any) -> None:
        """Keep count of how deep it is, and refuse what is not used here. Raises _TooDeep."""
        if isinstance(event, yaml.ScalarEvent) and not event.anchor and not event.tag:
            return  # nearly all are
        self._depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
        what = ""
        if isinstance(event, yaml.AliasEvent):
            what = worded("A value that begins with * stands for another place in the file, which is not used here.")
            do = worded("Write the value out, or put the text in 'quotes'.")
        elif getattr(event, "anchor", None):
            what = worded("A value that begins with & gets a name for use elsewhere, which is not used here.")
            do = worded("Remove the &name and write the value out in each place, or put the text in 'quotes'.")
        elif getattr(event, "tag", None):
            what = worded("A value that begins with ! asks for a type of its own, which is not used here.")
            do = worded("Remove the !name, or put the text in 'quotes'.")
        elif self._depth > DEEPEST:
            what, do = (
                worded("The text is nested more than {deepest} deep.", deepest=DEEPEST),
                worded("Check the brackets and the indentation."),
            )
        if what:
            start, end = event.start_mark, event.end_mark
            width = end.column - start.column if end.line == start.line else 1
            place = self.source.line(start.line, start.column, max(1, width))
            self.refused.append(Fault(place, "yaml-feature", what, do))
        if self._depth > DEEPEST:
            raise _TooDeep
