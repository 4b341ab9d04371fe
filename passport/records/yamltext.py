"""YAML text to plain data with every scalar kept as text, and the place of every key and value.

YAML's own guessing of types is not used: ``no`` stays ``no`` and ``12:30`` stays ``12:30`` until a record type asks
for something else. Anchors, aliases and tags are refused, so a record says in place what it means.
"""

from dataclasses import dataclass, field
from typing import Any

import yaml

from passport.records.faults import Fault, Place

LARGEST = 2_000_000
DEEPEST = 40
Path = tuple[str | int, ...]
Tree = Any  # str | None | list[Tree] | dict[str, Tree]
_Loader: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(slots=True)
class Source:
    """The text that a record was read from, and where each of its values stands."""

    file: str
    lines: list[str] = field(default_factory=list)
    values: dict[Path, tuple[int, int, int]] = field(default_factory=dict)
    keys: dict[Path, tuple[int, int, int]] = field(default_factory=dict)

    def at(self, path: Path, *, key: bool = False) -> Place:
        """The place of the value at ``path`` (or of its key); of the nearest enclosing value if there is none."""
        wanted = path
        while wanted and wanted not in self.values:
            wanted = wanted[:-1]
        table = self.keys if (key or wanted != path) and wanted in self.keys else self.values
        line, col, width = table.get(wanted, (0, 0, 1))
        return self.line(line, col, width)

    def line(self, line: int, col: int = 0, width: int = 1) -> Place:
        """The place at a 0-based line and column."""
        excerpt = self.lines[line] if line < len(self.lines) else ""
        return Place(self.file, line + 1, col + 1, excerpt, width)


def read(text: str, file: str) -> tuple[Tree, Source, list[Fault]]:
    """Parse one YAML document.

    Returns the data (dicts, lists, text and None), its source map, and the faults found: ``yaml-syntax``,
    ``duplicate-key``, ``alias``, ``too-large``. Where there are faults the data may be partial or None.
    """
    source = Source(file, text.splitlines())
    if len(text) > LARGEST:
        do = f"Split it: a record of more than {LARGEST // 1_000_000} MB is not one frame's history."
        return None, source, [Fault(Place(file), "too-large", f"This file holds {len(text):,} characters.", do)]
    faults: list[Fault] = []
    try:
        _refuse_risky_events(text, source, faults)
        node = None if faults else yaml.compose(text, Loader=_Loader)
    except yaml.YAMLError as error:
        return None, source, [*faults, _syntax_fault(error, source)]
    if node is None:
        return ({} if not faults else None), source, faults
    return _walk(node, (), source, faults), source, faults


def _refuse_risky_events(text: str, source: Source, faults: list[Fault]) -> None:
    """Aliases could unfold to gigabytes and deep nesting could exhaust the stack, so both are seen before composing."""
    if not any(c in text for c in "&*!") and text.count("[") + text.count("{") + text.count("- -") < DEEPEST:
        return
    depth = 0
    for event in yaml.parse(text, Loader=_Loader):
        mark: Any = event.start_mark
        depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            what, do = "Anchors and aliases (& and *) are not used here.", "Write the value out in each place."
        elif getattr(event, "tag", None):
            what, do = "Tags (!name) are not used here.", "Remove the tag, or put the text in quotes."
        elif depth > DEEPEST:
            what, do = f"The text is nested more than {DEEPEST} deep.", "Check the brackets and the indentation."
        else:
            continue
        faults.append(Fault(source.line(mark.line, mark.column), "yaml-feature", what, do))
        if depth > DEEPEST:
            return


def _syntax_fault(error: yaml.YAMLError, source: Source) -> Fault:
    mark = getattr(error, "problem_mark", None)
    problem = str(getattr(error, "problem", None) or getattr(error, "reason", None) or "unreadable text")
    place = source.line(mark.line, mark.column) if mark else Place(source.file)
    if "found character" in problem and "\t" in place.excerpt:
        do = "Replace the tab by spaces: YAML is indented with spaces only."
    else:
        do = "Check the indentation, the colon after each key, and quotes around text that holds ': ' or ' #'."
    return Fault(place, "yaml-syntax", f"This is not valid YAML: {problem}.", do)


def _walk(node: Any, path: Path, source: Source, faults: list[Fault]) -> Tree:
    start, end = node.start_mark, node.end_mark
    width = end.column - start.column if end.line == start.line else len(source.lines[start.line]) - start.column
    source.values[path] = (start.line, start.column, max(1, width))
    if isinstance(node, yaml.ScalarNode):
        return None if node.style is None and node.value in ("", "~", "null") else str(node.value)
    if isinstance(node, yaml.SequenceNode):
        return [_walk(child, (*path, i), source, faults) for i, child in enumerate(node.value)]
    return _mapping(node, path, source, faults)


def _mapping(node: Any, path: Path, source: Source, faults: list[Fault]) -> dict[str, Tree]:
    result: dict[str, Tree] = {}
    for key_node, value_node in node.value:
        mark = key_node.start_mark
        key = str(key_node.value) if isinstance(key_node, yaml.ScalarNode) else "?"
        if not isinstance(key_node, yaml.ScalarNode):
            what, do = "A key must be a plain word.", "Write 'name: value'."
            faults.append(Fault(source.line(mark.line, mark.column), "yaml-feature", what, do))
            continue
        if key in result:
            first = source.keys[(*path, key)][0] + 1
            what = f"The key '{key}' stands twice here; it is first on line {first}."
            do = "Keep one of the two, or make a list of both values."
            faults.append(Fault(source.line(mark.line, mark.column, len(key)), "duplicate-key", what, do))
            continue
        source.keys[(*path, key)] = (mark.line, mark.column, len(key))
        result[key] = _walk(value_node, (*path, key), source, faults)
    return result
