"""Changes of one value anywhere in a record, and values, entries of lists or whole blocks taken out; every other line
stays as it is. Pure: text in, text out.

A path names keys and places in lists, counted from 0: ``("jobs", 3, "readings", 0, "ring")``. What may be a list and is
written as one entry alone counts as a list of that entry. Each change is read back before it is returned.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from itertools import pairwise, takewhile
from typing import Any

import yaml

from passport.records.language.worded import worded
from passport.records.yaml.readback import Edit, applied, bom, checked, inserted, read
from passport.records.yaml.yamlplace import BREAK, CannotEdit, behind, end_of, entries, newline_of, next_line, style_of
from passport.records.yaml.yamlwrite import Style, Tree, block, flow_map, scalar

Path = tuple[str | int, ...]
_LOADER: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Reached:
    """One step of a path that is there: the node that holds it, the key's own node in a map, the value's node.

    ``alone`` is the first place of a list that is written as one entry; ``flow`` says whether the holder is in brackets.
    """

    holder: Any
    name: Any
    node: Any
    flow: bool
    alone: bool = False


def with_at(text: str, path: Path, value: str, order: Iterable[str] = ()) -> str:
    """The record's text with one value set, in its place or at the end of what it belongs to; a top-level key is put
    behind those that come before it in ``order``. Raises `CannotEdit`, also where a list has no such entry."""
    mark, body = bom(text)
    before = read(body)
    entries(body)  # refuses a record that stands in brackets
    steps = walked(body, path)
    edit = _set(body, path, steps, value) if len(steps) == len(path) else _added(body, path, steps, value, order)
    return mark + checked(applied(body, [edit]), _with(before, path, value))


def without_at(text: str, path: Path) -> str:
    """The record's text without a value, an entry of a list or a block; what would be left empty goes with it, the
    remarks inside it too. Raises `CannotEdit`, also where nothing stands there."""
    mark, body = bom(text)
    before = read(body)
    entries(body)
    steps = walked(body, path)
    if len(steps) < len(path):
        raise CannotEdit(worded("There is nothing to take out there."))
    while len(path) > 1 and (steps[-1].alone or len(steps[-1].holder.value) == 1):
        path, steps = path[:-1], steps[:-1]
    last = steps[-1]
    edits = [_out_of_flow(last)] if last.flow else [_out_of_block(body, last)]
    return mark + checked(applied(body, edits), _without(before, path))


def moved(text: str, key: str, place: int, to: int) -> str:
    """The record's text with an entry of a top-level list at another place, its lines as they are; ``to`` is counted in
    the list without that entry. Raises `CannotEdit`."""
    mark, body = bom(text)
    data = read(body)
    step = walked(body, (key, place))[-1]
    if step.flow or step.alone:
        raise CannotEdit(worded("This list stands in brackets. Write each entry on a line of its own."))
    newline, (start, end) = newline_of(body), _lines_of(body, step)
    lines = BREAK.split(body[start:end].rstrip("\r\n"))
    rest = bom(without_at(body, (key, place)))[1]
    others = walked(rest, (key,))[-1].node
    gap = [""] if style_of(body)[0].gap else []
    if to == 0:
        edit = inserted(rest, _line_start(rest, _dash(rest, others.value[0])), [*lines, *gap], newline)
    else:
        column = others.start_mark.column
        edit = inserted(rest, behind(rest, others.value[to - 1], column, last=False), [*gap, *lines], newline)
    meant = list(data[key])
    meant.insert(to, meant.pop(place))
    return mark + checked(applied(rest, [edit]), {**data, key: meant})


def leaves(tree: Tree, above: Path = ()) -> Iterator[tuple[Path, str]]:
    """Every single value of some data with its path, in the order of the record."""
    inner = tree.items() if isinstance(tree, Mapping) else enumerate(tree) if isinstance(tree, list | tuple) else None
    if inner is None:
        yield above, "" if tree is None else str(tree)
        return
    for step, child in inner:
        yield from leaves(child, (*above, step))


def value_at(tree: Tree, path: Path) -> Tree:
    """What stands at a path in some data; None where nothing does."""
    for step in path:
        if isinstance(step, int):
            if isinstance(tree, list):
                tree = tree[step] if step < len(tree) else None
            elif step:
                return None
        else:
            tree = tree.get(step) if isinstance(tree, Mapping) else None
    return tree


# --- where it stands -------------------------------------------------------------------------------------------


def walked(text: str, path: Path) -> list[Reached]:
    """The steps of a path that are there."""
    node: Any = yaml.compose(text, Loader=_LOADER)
    steps: list[Reached] = []
    flow = False
    for step in path:
        flow = flow or bool(getattr(node, "flow_style", False))
        found = _child(node, step, flow=flow)
        if found is None:
            break
        steps.append(found)
        node = found.node
    return steps


def _child(node: Any, step: str | int, *, flow: bool) -> Reached | None:
    if isinstance(step, int):
        if isinstance(node, yaml.SequenceNode):
            return Reached(node, None, node.value[step], flow) if step < len(node.value) else None
        return Reached(node, None, node, flow, alone=True) if step == 0 and node is not None else None
    pairs = node.value if isinstance(node, yaml.MappingNode) else ()
    return next((Reached(node, name, value, flow) for name, value in pairs if name.value == step), None)


def _line_start(text: str, place: int) -> int:
    return max(text.rfind("\n", 0, place), text.rfind("\r", 0, place)) + 1


def _dash(text: str, node: Any) -> int:
    """Where the dash of a list's entry stands."""
    place = text.rfind("-", 0, node.start_mark.index)
    if place < 0 or text[place + 1 : node.start_mark.index].strip() or text[_line_start(text, place) : place].strip():
        raise CannotEdit(worded("The record is written in a way in which this cannot be taken out safely."))
    return place


def _lines_of(text: str, step: Reached) -> tuple[int, int]:
    """From the beginning of the first line of a value in a block to the end of its last, its remarks inside included."""
    first = _dash(text, step.node) if step.name is None else step.name.start_mark.index
    end = behind(text, step.node, step.holder.start_mark.column, last=False)
    return _line_start(text, first), end


# --- setting ---------------------------------------------------------------------------------------------------


def _set(text: str, path: Path, steps: Sequence[Reached], value: str) -> Edit:
    last = steps[-1]
    if not isinstance(last.node, yaml.ScalarNode):
        raise CannotEdit(worded("'{path}' holds several values. Name the one that is to be changed.", path=path[-1]))
    start, end = last.node.start_mark.index, end_of(text, last.node)
    if last.flow or last.name is None:
        return start, end, scalar(value, flow=True)
    column = last.name.start_mark.column
    lines = block({str(path[-1]): value}, style_of(text)[0], column)
    written = newline_of(text).join([lines[0].partition(": ")[2], *lines[1:]])
    return start, end, (" " if start and text[start - 1] == ":" else "") + written


def _added(text: str, path: Path, steps: Sequence[Reached], value: str, order: Iterable[str]) -> Edit:
    """A value whose key, or a block above it, is not there yet."""
    rest = path[len(steps) :]
    if any(isinstance(step, int) for step in rest):
        raise CannotEdit(
            worded(
                "There is no {path} to change.", path=".".join(str(s + 1 if isinstance(s, int) else s) for s in path)
            )
        )
    tree: Tree = value
    for step in reversed(rest[1:]):
        tree = {step: tree}
    key, style = str(rest[0]), style_of(text)[0]
    if not steps:
        return _at_top(text, {key: tree}, order, style)
    holder = steps[-1].node
    if not isinstance(holder, yaml.MappingNode):
        raise CannotEdit(worded("'{path}' is one value, and nothing can be put below it.", path=path[len(steps) - 1]))
    if holder.flow_style:
        place = holder.value[-1][1].end_mark.index if holder.value else holder.start_mark.index + 1
        return place, place, (", " if holder.value else "") + flow_map({key: tree})[1:-1]
    column = holder.start_mark.column
    place = behind(text, holder.value[-1][1], column, last=False)
    return inserted(text, place, block({key: tree}, style, column), style.newline)


def _at_top(text: str, tree: Mapping[str, Tree], order: Iterable[str], style: Style) -> Edit:
    found = entries(text)
    key = next(iter(tree))
    earlier = list(takewhile(lambda name: name != key, order))
    ends = [behind(text, found[name][1], 0, last=False) for name in earlier if name in found]
    place = max(ends) if ends else behind(text, list(found.values())[-1][1], 0, last=False) if found else len(text)
    return inserted(text, place, block(tree, style), style.newline)


# --- taking out ------------------------------------------------------------------------------------------------


def _out_of_flow(step: Reached) -> Edit:
    """An entry between brackets, with one of the commas beside it."""
    pairs = [pair if isinstance(pair, tuple) else (pair, pair) for pair in step.holder.value]
    place = next(n for n, pair in enumerate(pairs) if pair[1] is step.node)
    if place:
        return pairs[place - 1][1].end_mark.index, step.node.end_mark.index, ""
    return pairs[0][0].start_mark.index, pairs[1][0].start_mark.index, ""


def _out_of_block(text: str, step: Reached) -> Edit:
    start, end = _lines_of(text, step)
    if (
        step.name is not None and text[start : step.name.start_mark.index].strip()
    ):  # the dash of a list stands before it
        return _behind_dash(text, step, end)
    first = step.name is None and step.holder.value[0] is step.node
    before = _line_start(text, start - 1) if start else start
    blank_before = start > 0 and not text[before:start].strip()
    after = next_line(text, end)
    blank_after = not text[end:after].strip()
    if blank_before and (blank_after or (step.name is None and not first)):
        return before, end, ""
    if first and blank_after:
        return start, after, ""
    return start, end, ""


def _behind_dash(text: str, step: Reached, end: int) -> Edit:
    """The first key of a list's entry: the next one moves up to the dash, or stays below it behind a remark."""
    start, following = step.name.start_mark.index, step.holder.value[1][0].start_mark.index
    if text[end:following].strip():
        return len(text[:start].rstrip(" ")), end, newline_of(text)
    return start, following, ""


# --- the data that is meant ------------------------------------------------------------------------------------


def _with(tree: Mapping[str, Tree], path: Path, value: str) -> dict[str, Tree]:
    whole = deepcopy(dict(tree))
    holder: Any = whole
    for step, following in pairwise(path):
        if isinstance(step, int) and not isinstance(holder, list):
            continue
        if isinstance(step, str) and holder.get(step) is None and isinstance(following, str):
            holder[step] = {}
        holder = holder[step]
    if isinstance(path[-1], str) or isinstance(holder, list):
        holder[path[-1]] = value
    return whole


def _without(tree: Mapping[str, Tree], path: Path) -> dict[str, Tree]:
    whole = deepcopy(dict(tree))
    holder: Any = whole
    for step in path[:-1]:
        holder = holder if isinstance(step, int) and not isinstance(holder, list) else holder[step]
    del holder[path[-1]]
    return whole
