"""YAML text to plain data with every scalar kept as text, and the place of every key and value.

YAML's own guessing of types is not used: ``no`` stays ``no`` and ``12:30`` stays ``12:30`` until a record type asks
for something else. Anchors, aliases and tags are refused, so a record says in place what it means.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from passport.records.faults import Fault, Place
from passport.records.yaml.yaml_messages import syntax_fault

LARGEST = 2_000_000
LARGEST_FILE = 4 * LARGEST
"""Bytes of a file of records or of text: a letter has at most four of them in UTF-8."""
_MOST_FAULTS = 100
DEEPEST = 40
Path = tuple[str | int, ...]
Tree = Any  # str | None | list[Tree] | dict[str, Tree]
_Fast: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")  # what YAML 1.1 counts as the end of a line
_UNREADABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # YAML 1.1, §5.1
_INDENT = re.compile(rf"^[ \t:?-]{{{DEEPEST}}}", re.MULTILINE)
_BRACKETS = re.compile(r"^.*[\[{].*$", re.MULTILINE)
_FEATURE = re.compile(r"(?:^|[\s\[\]{},:?\"'-])[&*!]\S", re.MULTILINE)  # where a value could begin with one of them


class _Loader(_Fast):  # type: ignore[misc]  # its base is known when the C parser has been looked for
    """The fast parser without YAML's guesses at types, which nobody asks for here."""

    def resolve(self, kind: object, value: object, implicit: object) -> str:
        """No type: every scalar stays text."""
        return ""


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
        what = f"This file holds {len(text):,} characters, more than the {LARGEST:,} that are read."
        return None, Source(file), [Fault(Place(file), "too-large", what, "Split it: one file is one frame's history.")]
    source = Source(file, _BREAK.split(text))
    # Before the parser, whose own message gives an offset into the text instead of a line.
    faults = _unreadable_characters(text, source)
    if faults:
        return None, source, faults
    try:
        faults = list(_risky_features(text, source))
        node = None if faults else yaml.compose(text, Loader=_Loader)
    except yaml.YAMLError as error:
        return None, source, [syntax_fault(error, source.line, file)]
    if faults:
        return None, source, faults
    data = None if node is None else _walk(node, (), source, faults)
    return ({} if data is None else data), source, faults  # a file without a word in it is a record without keys


def no_record(source: Source) -> Fault:
    """The fault of a text that is one value or a list where a record is needed."""
    what = "A record is made of 'key: value' lines, but this is something else."
    do = "Begin with a key, as in 'name: value', with a plain space after the colon."
    return Fault(source.at(()), "yaml-syntax", what, do)


def _unreadable_characters(text: str, source: Source) -> list[Fault]:
    """The first character that YAML does not allow in a text at all."""
    found = _UNREADABLE.search(text)
    if not found:
        return []
    before = _BREAK.split(text[: found.start()])
    what = f"The character U+{ord(found[0]):04X} stands here, which no text can hold."
    do = "Delete it; it is invisible in most editors, so type the words around it anew."
    return [Fault(source.line(len(before) - 1, len(before[-1])), "control-character", what, do)]


def _risky_features(text: str, source: Source) -> Iterator[Fault]:
    """Aliases could unfold to gigabytes and deep nesting could exhaust the stack, so both are seen before composing."""
    if not _risky(text):
        return
    # Events only, no tree: an alias bomb is small as events, and grows where it is composed.
    depth = 0
    events = yaml.parse(text, Loader=_Loader)
    while depth <= DEEPEST:
        try:
            event = next(events, None)
        except yaml.YAMLError:
            return  # composing meets it again, unless something found here comes first
        if event is None:
            return
        depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
        start: Any = event.start_mark
        end: Any = event.end_mark
        width = end.column - start.column if end.line == start.line else 1
        for what, do in _refusals(event, depth):
            yield Fault(source.line(start.line, start.column, max(1, width)), "yaml-feature", what, do)


def _refusals(event: Any, depth: int) -> Iterator[tuple[str, str]]:
    if isinstance(event, yaml.AliasEvent):
        what = "A value that begins with * stands for another place in the file, which is not used here."
        yield what, "Write the value out, or put the text in 'quotes'."
    elif getattr(event, "anchor", None):
        what = "A value that begins with & gets a name for use elsewhere, which is not used here."
        yield what, "Remove the &name and write the value out in each place, or put the text in 'quotes'."
    elif getattr(event, "tag", None):
        what = "A value that begins with ! asks for a type of its own, which is not used here."
        yield what, "Remove the !name, or put the text in 'quotes'."
    elif depth > DEEPEST:
        yield f"The text is nested more than {DEEPEST} deep.", "Check the brackets and the indentation."


def _risky(text: str) -> bool:
    """Whether the text may hold aliases or tags, or nest deeper than is sound; never says no where it does.

    A block nests at most twice for each column of indentation, list dashes included.
    """
    return bool(_FEATURE.search(text) or _INDENT.search(text)) or _most_brackets(text) > DEEPEST


def _most_brackets(text: str) -> int:
    """An upper bound of how deep brackets nest: a closing one counts only where no quote or comment could hold it."""
    left_open = most = 0
    for line in _BRACKETS.findall(text):
        opened = line.count("[") + line.count("{")
        closed = 0 if any(c in line for c in "\"'#") else line.count("]") + line.count("}")
        left_open += max(0, opened - closed)
        most = max(most, opened)
    return left_open + most


def _walk(node: Any, path: Path, source: Source, faults: list[Fault]) -> Tree:
    start, end = node.start_mark, node.end_mark
    line, col = start.line, start.column
    # A block of several lines is underlined on its first line, where a person begins to read.
    width = end.column - col if end.line == line else len(source.line(line).excerpt.rstrip()) - col
    source.values[path] = (line, col, width if width > 0 else 1)
    if isinstance(node, yaml.ScalarNode):
        return None if not node.style and node.value in ("", "~", "null") else str(node.value)
    if isinstance(node, yaml.SequenceNode):
        return [_walk(child, (*path, i), source, faults) for i, child in enumerate(node.value)]
    return _mapping(node, path, source, faults)


def _mapping(node: Any, path: Path, source: Source, faults: list[Fault]) -> dict[str, Tree]:
    result: dict[str, Tree] = {}
    for key_node, value_node in node.value:
        mark, key = key_node.start_mark, key_node.value
        where = (mark.line, mark.column, key_node.end_mark.column - mark.column or 1)
        if not isinstance(key_node, yaml.ScalarNode):
            what, do = "A key must be one plain word.", "Write it as in 'name: value'."
            faults.append(Fault(source.line(mark.line, mark.column), "yaml-feature", what, do))
        elif key in result and len(faults) < _MOST_FAULTS:
            first = source.keys[(*path, key)][0] + 1
            what = f"The key '{key}' stands here for the second time; the first is on line {first}."
            faults.append(Fault(source.line(*where), "duplicate-key", what, "Keep one of the two."))
        elif key not in result:
            inner = (*path, key)
            source.keys[inner] = where
            result[key] = _walk(value_node, inner, source, faults)
    return result
