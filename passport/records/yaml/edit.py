"""Changes of a record's text that leave every other line and comment as it is. Pure: text in, text out.

Each change is read back before it is returned: the record must say what it said, and the change, and nothing else.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import takewhile
from typing import Any

import yaml

from passport.records.language.worded import worded
from passport.records.yaml.readback import Edit, applied, bom, checked, inserted, read
from passport.records.yaml.yamlplace import CannotEdit, behind, end_of, entries, newline_of, next_line, style_of
from passport.records.yaml.yamlwrite import Style, Tree, block, flow_map, item, scalar

_FIRST_KEY = re.compile(r"^(?!---)[^\s#-]", re.MULTILINE)


def with_first_lines(text: str, values: Mapping[str, str]) -> str:
    """The record's text with ``key: value`` lines put before its first key, after any comment that opens the file.

    Line ends follow the file's own. Raises `CannotEdit`.
    """
    mark, body = bom(text)
    newline = newline_of(body)
    lines = "".join(f"{key}: {scalar(value)}{newline}" for key, value in values.items())
    match = _FIRST_KEY.search(body)
    if match is None:
        result = (body if not body or body.endswith("\n") else body + newline) + lines
    else:
        result = body[: match.start()] + lines + body[match.start() :]
    return mark + checked(result, {**values, **(read(body) or {})})


def with_jobs(text: str, jobs: Sequence[tuple[int, Tree]]) -> str:
    """The frame's text with jobs put in; each comes with its place, counted in the jobs that are there: 0 is before the
    first, their count after the last. Jobs for one place keep their order. Raises `CannotEdit`.
    """
    mark, body = bom(text)
    before = read(body)
    found = before.get("jobs") or []
    if not isinstance(found, list):
        raise CannotEdit(worded("'jobs' is not a list here. Begin each job with '- ' on a line of its own."))
    by_place: dict[int, list[Tree]] = {}
    for place, job in jobs:
        by_place.setdefault(min(place, len(found)), []).append(job)
    after = [*found]
    # From the end, so that the places before stay what they were counted as.
    for place in sorted(by_place, reverse=True):
        after[place:place] = by_place[place]
    return mark + checked(applied(body, _job_edits(body, by_place)), {**before, "jobs": after})


def with_value(text: str, key: str, value: str, order: Iterable[str] = ()) -> str:
    """The record's text with the one value of a top-level key set: in its place, or on a new line behind the last of
    the keys that come before it in ``order``. A comment on the line stays. Raises `CannotEdit`.
    """
    mark, body = bom(text)
    before, found = read(body), entries(body)
    if key in found:
        edit = _replaced(body, *found[key], scalar(value))
    else:
        earlier = list(takewhile(lambda name: name != key, order))
        ends = [behind(body, found[name][1], 0, last=False) for name in earlier if name in found]
        if not ends:
            return with_first_lines(text, {key: value})
        edit = inserted(body, max(ends), [f"{key}: {scalar(value)}"], newline_of(body))
    return mark + checked(applied(body, [edit]), {**before, key: value})


def with_block(text: str, key: str, value: Mapping[str, Tree], order: Iterable[str] = ()) -> str:
    """The record's text with a top-level block set: in the place of the one that is there, or behind the last of the keys
    that come before it in ``order``. Remarks inside the old block go with it. Raises `CannotEdit`."""
    mark, body = bom(text)
    before, found = read(body), entries(body)
    style, _ = style_of(body)
    lines = block({key: value}, style)
    if key in found:
        name, node = found[key]
        start, end = name.start_mark.index, behind(body, node, 0, last=False)
        edit = (start, end, "".join(line + style.newline for line in lines))
    else:
        earlier = takewhile(lambda name: name != key, order)
        ends = [behind(body, found[name][1], 0, last=False) for name in earlier if name in found]
        edit = inserted(body, max(ends, default=len(body)), lines, style.newline)
    return mark + checked(applied(body, [edit]), {**before, key: value})


def without(text: str, key: str) -> str:
    """The record's text without a top-level key and its value; a comment beside it stays. Raises `CannotEdit`."""
    mark, body = bom(text)
    before, found = read(body), entries(body)
    if key not in found:
        return text
    name, node = found[key]
    start, end = name.start_mark.index, behind(body, node, 0, last=False)
    comment = body[end_of(body, node) : end].partition("#")
    after = {name: value for name, value in before.items() if name != key}
    return mark + checked(body[:start] + comment[1] + comment[2] + body[end:], after)


def block_of(text: str, key: str) -> str:
    """The lines of a top-level key as they stand, its comments inside included; empty where there is none."""
    _, body = bom(text)
    if key not in (found := entries(body)):
        return ""
    name, node = found[key]
    return body[name.start_mark.index : behind(body, node, 0, last=False)]


def job_text(text: str, job: Tree) -> str:
    """A job as `with_jobs` writes it to this file, for showing."""
    style, indent = style_of(bom(text)[1])
    return "\n".join(item(job, style, indent, compact=False))


def _replaced(text: str, name: Any, node: Any, value: str) -> Edit:
    start, end = node.start_mark.index, node.end_mark.index
    if start == end:
        return start, end, (" " if text[start - 1] == ":" else "") + value
    # A block of text ends where its indentation does; another value in its place could take lines behind it in.
    if isinstance(node, yaml.ScalarNode) and node.style not in ("|", ">"):
        return start, end, value
    raise CannotEdit(worded("'{name}' is not one value on one line here. Change it by hand.", name=name.value))


def _job_edits(text: str, jobs: Mapping[int, Sequence[Tree]]) -> Iterator[Edit]:
    found = entries(text)
    style, indent = style_of(text)
    if "jobs" not in found:
        lines = ["jobs:", *_with_gaps([job for place in sorted(jobs) for job in jobs[place]], style, indent)]
        yield inserted(text, len(text), [*([""] if _needs_gap(text) else []), *lines], style.newline)
        return
    name, node = found["jobs"]
    if isinstance(node, yaml.SequenceNode) and node.value:
        for place, here in jobs.items():
            if node.flow_style:
                yield _among_flow(node, place, here)
            elif place == 0:
                lines = [*_with_gaps(here, style, node.start_mark.column), *([""] if style.gap else [])]
                yield inserted(text, next_line(text, name.end_mark.index), lines, style.newline)
            else:
                yield _among(text, node, place, here, style)
        return
    start, end = node.start_mark.index, node.end_mark.index
    yield len(text[:start].rstrip(" ")) if end > start else start, end, ""
    lines = _with_gaps([job for place in sorted(jobs) for job in jobs[place]], style, indent)
    yield inserted(text, next_line(text, end), lines, style.newline)


def _needs_gap(text: str) -> bool:
    """Whether a new block at the end of the file stands better after an empty line."""
    lines = text.splitlines()
    return bool(lines) and bool(lines[-1].strip()) and not lines[-1].startswith("#")


def _among(text: str, node: Any, place: int, jobs: Sequence[Tree], style: Style) -> Edit:
    """Jobs behind the first ``place`` of a list that is written with dashes."""
    column, count = node.start_mark.column, len(node.value)
    start = behind(text, node.value[place - 1], column, last=place == count)
    lines = [*([""] if style.gap else []), *_with_gaps(jobs, style, column)]
    return inserted(text, start, lines, style.newline)


def _among_flow(node: Any, place: int, jobs: Sequence[Tree]) -> Edit:
    written = [flow_map(job) for job in jobs]
    if place == 0:
        start = node.value[0].start_mark.index
        return start, start, "".join(one + ", " for one in written)
    end = node.value[place - 1].end_mark.index
    return end, end, "".join(", " + one for one in written)


def _with_gaps(jobs: Sequence[Tree], style: Style, indent: int) -> list[str]:
    lines: list[str] = []
    for job in jobs:
        lines += [""] if lines and style.gap else []
        lines += item(job, style, indent, compact=False)
    return lines
