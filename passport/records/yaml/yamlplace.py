"""Where the values of a record stand in its text, and how the text is laid out, for changes that leave the rest alone."""

import re
from collections.abc import Iterator
from typing import Any

import yaml

from passport.records.language.worded import worded
from passport.records.yaml.yamlwrite import Style

BREAK = re.compile(r"\r\n|\n|\r")
_LOADER: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class CannotEdit(Exception):
    """The text is written in a way that cannot be changed with everything else left as it is; says why and what to do."""


def newline_of(text: str) -> str:
    """The line end that a file uses first."""
    found = BREAK.search(text)
    return found[0] if found else "\n"


def entries(text: str) -> dict[str, tuple[Any, Any]]:
    """The keys and values of the record as YAML nodes with their places."""
    top: Any = yaml.compose(text, Loader=_LOADER)
    if top is None:
        return {}
    if top.flow_style:
        raise CannotEdit(
            worded("The whole record stands in one pair of brackets. Write each key on a line of its own.")
        )
    return {str(name.value): (name, node) for name, node in top.value}


def end_of(text: str, node: Any) -> int:
    """Where the last character of a value stands; its trailing comment and empty lines come after."""
    if isinstance(node, yaml.ScalarNode) or node.flow_style:
        end: int = node.end_mark.index
        if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">") and not _keeps_breaks(text, node):
            end = len(text[:end].rstrip())
        return end
    last = node.value[-1]
    return end_of(text, last[1] if isinstance(last, tuple) else last)


def behind(text: str, node: Any, column: int, *, last: bool) -> int:
    """The start of the line behind a value and the comments that belong to it: those indented deeper than ``column``,
    or as deep if nothing follows in the list.
    """
    end = end_of(text, node)
    place = end if end and text[end - 1] in "\r\n" else next_line(text, end)
    while place < len(text):
        following = next_line(text, place)
        line = text[place:following]
        indent = len(line) - len(line.lstrip(" "))
        if not line.lstrip(" ").startswith("#") or not (indent > column or (last and indent == column > 0)):
            break
        place = following
    return place


def next_line(text: str, place: int) -> int:
    """The start of the line after a place, or the end of the text."""
    found = BREAK.search(text, place)
    return found.end() if found else len(text)


def style_of(text: str) -> tuple[Style, int]:
    """How the file is written, and the column of its jobs' dashes."""
    found = entries(text).values()
    lists = [(0, node) for _, node in found if _is_block(node, yaml.SequenceNode)]
    nested = [block for _, node in found for block in _blocks(node)]
    dashes = [node.start_mark.column - column for column, node in nested if isinstance(node, yaml.SequenceNode)]
    steps = [node.start_mark.column - column for column, node in nested if isinstance(node, yaml.MappingNode)]
    steps += [node.start_mark.column for _, node in found if _is_block(node, yaml.MappingNode)]
    jobs: Any = next((node for name, node in found if name.value == "jobs"), None)
    is_list = _is_block(jobs, yaml.SequenceNode)
    dash: int = jobs.start_mark.column if is_list else lists[0][1].start_mark.column if lists else 2
    first = jobs.value[0] if is_list else lists[0][1].value[0] if lists else None
    style = Style(
        newline=newline_of(text),
        step=steps[0] if steps else 2,
        dash=dashes[0] if dashes else dash,
        after_dash=max(2, first.start_mark.column - dash) if first is not None else 2,
        gap=_gap(text, jobs) if is_list else True,
    )
    return style, dash


def _is_block(node: Any, kind: type[Any]) -> bool:
    return isinstance(node, kind) and not node.flow_style and bool(node.value)


def _blocks(node: Any) -> Iterator[tuple[int, Any]]:
    """The block lists and maps that are values of keys inside a block, each with the column of its key."""
    if isinstance(node, yaml.SequenceNode) and not node.flow_style:
        for child in node.value:
            yield from _blocks(child)
    elif isinstance(node, yaml.MappingNode) and not node.flow_style:
        for name, child in node.value:
            if _is_block(child, yaml.SequenceNode) or _is_block(child, yaml.MappingNode):
                yield name.start_mark.column, child
            yield from _blocks(child)


def _gap(text: str, jobs: Any) -> bool:
    """Whether an empty line stands between the last two jobs; between one alone and the next if it takes lines."""
    if len(jobs.value) == 1:
        only = jobs.value[0]
        return bool(only.start_mark.line != only.end_mark.line and not only.flow_style and len(only.value) > 1)
    one, two = jobs.value[-2:]
    between = text[end_of(text, one) : two.start_mark.index]
    return bool(re.search(r"(\r\n|\n|\r)[ \t]*(\r\n|\n|\r)", between))


def _keeps_breaks(text: str, node: Any) -> bool:
    return "+" in text[node.start_mark.index : node.start_mark.index + 3]
