"""New entries at the end of a record, of a catalogue, or of a list in either; every other line stays as it is. Pure.

Each change is read back before it is returned. Paths are those of `passport.records.yaml.nested`.
"""

import re
from collections.abc import Iterable, Mapping
from copy import deepcopy
from itertools import takewhile
from typing import Any

import yaml

from passport.records.language.worded import worded
from passport.records.yaml.nested import Path, value_at, walked
from passport.records.yaml.readback import Edit, applied, bom, checked, inserted, read
from passport.records.yaml.yamlplace import CannotEdit, behind, end_of, entries, newline_of, style_of
from passport.records.yaml.yamlwrite import Style, Tree, block, flow_map, item, scalar

_BLANK = re.compile(r"(\r\n|\n|\r)[ \t]*(\r\n|\n|\r)")


def with_entry(text: str, name: str, tree: Mapping[str, Tree], order: Iterable[str] = ()) -> str:
    """The text of a record or a catalogue with one more top-level entry of several values: at its end, or behind those
    that come before it in ``order``. Raises `CannotEdit`, also where one of that name is there."""
    mark, body = bom(text)
    if not body.strip():
        return mark + checked("\n".join(block({name: tree}, Style())) + "\n", {name: dict(tree)})
    before, found = read(body), entries(body)
    if name in found:
        raise CannotEdit(worded("'{name}' is there already.", name=name))
    style, pairs = style_of(body)[0], list(found.values())
    earlier = [found[key] for key in takewhile(lambda key: key != name, order) if key in found]
    last = (earlier or pairs)[-1] if pairs else None
    place = behind(body, last[1], 0, last=last is pairs[-1]) if last else len(body)
    apart = [""] if _apart(body, [node for _, node in pairs]) else []
    lines = [*apart, *_as_others(name, tree, style, [node for _, node in pairs])]
    return mark + checked(applied(body, [inserted(body, place, lines, style.newline)]), {**before, name: dict(tree)})


def with_appended(text: str, path: Path, tree: Tree, order: Iterable[str] = ()) -> str:
    """The text with one more entry at the end of a list, which is begun where there is none; what stands there as one
    entry alone becomes the first of the list. Raises `CannotEdit`."""
    mark, body = bom(text)
    before = read(body)
    entries(body)  # refuses a record that stands in brackets
    steps = walked(body, path)
    if len(steps) < len(path):
        edit = _begun(body, path, len(steps), steps[-1].node if steps else None, tree, order)
    else:
        edit = _at_end(body, steps[-1].node, tree, flow=steps[-1].flow)
    return mark + checked(applied(body, [edit]), _meant(before, path, tree))


def _at_end(text: str, node: Any, tree: Tree, *, flow: bool) -> Edit:
    written = flow_map({"a": tree})[4:-1]
    if not isinstance(node, yaml.SequenceNode):  # one entry alone
        start, end = node.start_mark.index, end_of(text, node)
        if start == end or not (getattr(node, "flow_style", False) or isinstance(node, yaml.ScalarNode)):
            raise CannotEdit(worded("This is written as one entry in a block. Put '- ' before it by hand first."))
        return start, end, f"[{text[start:end]}, {written}]"
    if node.flow_style or flow:
        place = node.value[-1].end_mark.index if node.value else node.start_mark.index + 1
        return place, place, (", " if node.value else "") + written
    style, last, column = style_of(text)[0], node.value[-1], node.start_mark.column
    return inserted(text, behind(text, last, column, last=False), item(tree, style, column), style.newline)


def _begun(text: str, path: Path, known: int, holder: Any, tree: Tree, order: Iterable[str]) -> Edit:
    rest = path[known:]
    if len(rest) != 1 or not isinstance(rest[0], str):
        raise CannotEdit(worded("There is no {map} to add to.", map=".".join(map(str, path[:-1]))))
    style = style_of(text)[0]
    if known == 0:
        found = entries(text)
        earlier = [found[key] for key in takewhile(lambda key: key != rest[0], order) if key in found]
        last = (earlier or list(found.values()))[-1]
        return inserted(text, behind(text, last[1], 0, last=False), block({rest[0]: [tree]}, style), style.newline)
    if not isinstance(holder, yaml.MappingNode) or not holder.value:
        raise CannotEdit(worded("Nothing can be put below '{path}'.", path=path[known - 1]))
    if holder.flow_style:
        place = holder.value[-1][1].end_mark.index
        return place, place, ", " + flow_map({rest[0]: [tree]})[1:-1]
    column = holder.start_mark.column
    place = behind(text, holder.value[-1][1], column, last=False)
    return inserted(text, place, block({rest[0]: [tree]}, style, column), newline_of(text))


def _meant(tree: Mapping[str, Tree], path: Path, added: Tree) -> dict[str, Tree]:
    whole = deepcopy(dict(tree))
    found = value_at(whole, path)
    entries_there = found if isinstance(found, list) else [] if found in (None, "") else [found]
    holder: Any = whole
    for step in path[:-1]:
        holder = holder if isinstance(step, int) and not isinstance(holder, list) else holder[step]
    holder[path[-1]] = [*entries_there, added]
    return whole


def _as_others(name: str, tree: Mapping[str, Tree], style: Style, nodes: list[Any]) -> list[str]:
    """The lines of an entry, a value a line where the last entry of that kind is written so."""
    maps = [node for node in nodes if isinstance(node, yaml.MappingNode)]
    if maps and not maps[-1].flow_style:
        return [f"{scalar(name)}:", *block(tree, style, style.step)]
    return block({name: tree}, style)


def _apart(text: str, nodes: list[Any]) -> bool:
    """Whether entries stand apart with an empty line between; one alone that takes lines is followed by one."""
    if len(nodes) < 2:
        return bool(nodes) and nodes[0].start_mark.line != nodes[0].end_mark.line
    one, two = nodes[-2:]
    return bool(_BLANK.search(text[end_of(text, one) : two.start_mark.index]))
