"""A record, or a part of one, as a form: what it has fields for, what stands in them, and what a sent one says."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from passport.acts.amending.correct import ELSEWHERE, dotted
from passport.acts.amending.described import FieldShape, shape_of
from passport.acts.amending.filled import FormFilled, text_at
from passport.acts.amending.targets import Target, kept, listed, tree_of, workshop
from passport.acts.change import Base
from passport.acts.refused import Refused
from passport.records.language.worded import worded
from passport.records.schema.base import SLUG
from passport.records.schema.frame import Frame
from passport.records.schema.player import Player
from passport.records.yaml.nested import Path, value_at
from passport.records.yaml.yamlwrite import flow_map

SHAPES: Final = {
    "player": "player", "frame": "frame", "string": "strings", "model": "frames", "part": "parts", "lot": "stock",
    "blank": "blank", "workshop": "workshop",
}  # fmt: skip
"""The kinds of records by the names that they have as something to correct, with those of their descriptions."""
NEW: Final = "new"
PREFIX: Final = "at."
_SMALL: Final = 12
_UNSEEN: Final = frozenset({"key", "secret", "format", "sure"})
"""What no form shows: keys open pages, the rest is the program's own."""
_LOCKED: Final = frozenset({*ELSEWHERE, "rebuild"}) - _UNSEEN
"""What is shown, and changed elsewhere."""


@dataclass(frozen=True, slots=True)
class Node:
    """What a form has for a field: an input, a group of them, a way to a form of its own, or a list of such ways."""

    shape: FieldShape
    at: str
    """Its place below the record, as a person writes it."""
    how: str
    """``input``, ``group``, ``way``, ``list`` or ``locked``."""
    value: str = ""
    inner: tuple["Node", ...] = ()
    entries: tuple[tuple[str, str], ...] = ()

    @property
    def filled(self) -> bool:
        """Whether anything stands in it."""
        return bool(self.value or self.entries) or any(one.filled for one in self.inner)


@dataclass(frozen=True)
class FormOf:
    """A form: of a ``kind`` of record, of that ``name`` (empty for a new one), at a place in it."""

    kind: str
    name: str
    at: str
    target: Target
    shape: FieldShape
    path: Path
    adds: bool
    """Whether it is of an entry that is not there yet."""
    nodes: tuple[Node, ...] = field(default=())

    @property
    def inputs(self) -> Iterator[Node]:
        """The inputs, those in groups too."""
        return _inputs(self.nodes)


def form_of(base: Base, kind: str, name: str, at: str) -> FormOf:
    """The form of a record, or of a part of it. Raises Refused where there is none."""
    if kind not in SHAPES:
        raise Refused(worded("There is no such kind of record."))
    shape = shape_of(SHAPES[kind])
    if not name:
        target = Target("", (), {}, f"a new {kind}")
        nodes = tuple(_first(node) if kind == "lot" else node for node in _nodes(shape, {}, ()))
        return FormOf(kind, "", "", target, shape, (), True, nodes)
    target = _target(base, kind, name)
    path, adds = _path(at)
    shape = _reached(shape, path, adds=adds)
    whole = (*target.path, *path)
    tree = {} if adds else value_at(tree_of(base, target.file), whole)
    if not isinstance(tree, dict):
        if path and isinstance(path[-1], int):
            raise Refused(worded("This entry is not there any more."))
        tree = {}
    below = Target(target.file, whole, tree, _called(target.called, at), order=target.order)
    nodes = tuple(_nodes(shape, tree, (*path, NEW) if adds else path))
    return FormOf(kind, name, at, below, shape, whole, adds, nodes)


def wanted_of(form: FormOf, said: Mapping[str, str]) -> FormFilled:
    """What a sent form says, by places in the file. Raises Refused where what it was made from cannot be read."""
    try:
        was = {str(k): str(v) for k, v in json.loads(said.get("was") or "{}").items()}
    except (ValueError, AttributeError):
        raise Refused(worded("This form does not say what it was made from. Open it again.")) from None
    known = {node.at: node for node in form.inputs}
    values = {at: _unix(said[PREFIX + at]) for at in known if PREFIX + at in said}
    before = {at: was.get(at, "") for at in values}
    lists = frozenset(_whole(form, at) for at in values if known[at].shape.kind == "texts")
    entry = None
    if form.path and isinstance(form.path[-1], int) and not form.adds:
        entry = (form.path, said.get("among", ""))
    return FormFilled(
        {_whole(form, at): value for at, value in before.items()},
        {_whole(form, at): value for at, value in values.items()},
        lists,
        entry,
    )


def was_of(form: FormOf) -> str:
    """What stands in a form's record now, as the form carries it."""
    return json.dumps({node.at: node.value for node in form.inputs}, ensure_ascii=False)


def among(base: Base, form: FormOf) -> int:
    """How many entries the list has that the form's entry stands in; 0 where it is in none."""
    if not form.path or not isinstance(form.path[-1], int):
        return 0
    return len(listed(value_at(tree_of(base, form.target.file), form.path[:-1])))


def field_of(form: FormOf, path: Path) -> str:
    """The place of an input by a path in the file; the nearest one above where there is none; empty where none is near."""
    inputs = {node.at for node in form.inputs}
    start = len(form.path) - len(_path(form.at)[0])
    below = path[start:] if path[: len(form.path)] == form.path else ()
    while below:
        if (at := dotted(below)) in inputs:
            return at
        below = below[:-1]
    return ""


def _unix(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


def _whole(form: FormOf, at: str) -> Path:
    """The path in the file of a place below the record."""
    own = _path(form.at)[0]
    start = form.path[: len(form.path) - len(own)]
    steps = tuple(int(step) - 1 if step.isdecimal() else step for step in at.split(".") if step != NEW)
    return (*start, *steps)


def _target(base: Base, kind: str, name: str) -> Target:
    parts = name.split("/")
    if not all(SLUG.fullmatch(part) for part in parts) or len(parts) > 2:
        raise Refused(worded("There is no such record."))
    if kind == "workshop":
        return workshop(base)
    if kind in ("player", "frame"):
        file = f"players/{name}/player.yaml" if kind == "player" else f"players/{name}.yaml"
        if (kind == "frame") != (len(parts) == 2) or base.text(file) is None:
            raise Refused(worded("There is no record '{name}'.", name=name))
        order = tuple((Player if kind == "player" else Frame).model_fields)
        return Target(file, (), tree_of(base, file), f"the {kind} {_name(base, kind, name)}", False, order)
    return kept(base, kind, name)  # type: ignore[arg-type]


def _name(base: Base, kind: str, name: str) -> str:
    if kind == "player":
        return base.records.players[name].record.name if name in base.records.players else name
    entry = base.records.frames.get(name)
    return f"{entry.record.number or name} {entry.record.label}" if entry else name


def _called(called: str, at: str) -> str:
    return f"{at} of {called}" if at else called


def _path(at: str) -> tuple[Path, bool]:
    """A place as a path, and whether it is that of an entry that is not there yet."""
    steps = [step for step in at.split(".") if step]
    adds = steps[-1:] == [NEW]
    path = tuple(int(step) - 1 if step.isdecimal() else step for step in (steps[:-1] if adds else steps))
    if any(isinstance(step, int) and step < 0 for step in path):
        raise Refused(worded("There is no such place in a record."))
    return path, adds


def _reached(shape: FieldShape, path: Path, *, adds: bool) -> FieldShape:
    for step in path:
        below = shape if isinstance(step, int) and shape.kind == "records" else shape.field(str(step))
        if below is None or (isinstance(step, str) and below.name in _UNSEEN | _LOCKED):
            raise Refused(worded("There is no such place in a record."))
        shape = below
    ends_in_entry = bool(path) and isinstance(path[-1], int)
    if shape.kind not in ("record", "records") or (shape.kind == "records" and not (adds or ends_in_entry)):
        raise Refused(worded("There is no such place in a record."))
    return shape


def _nodes(shape: FieldShape, tree: Mapping[str, Any], path: tuple[str | int, ...]) -> Iterator[Node]:
    for one in shape.inner:
        if one.name in _UNSEEN or (one.name == "rack" and not tree.get("rack")):
            continue
        yield _node(one, tree.get(one.name), (*path, one.name))


def _first(node: Node) -> Node:
    """A list of a record that is not there yet, as a group with the fields of its first entry."""
    if node.how != "list":
        return node
    return Node(node.shape, node.at, "group", inner=tuple(_nodes(node.shape, {}, (node.shape.name, 0))))


def _node(one: FieldShape, value: Any, path: tuple[str | int, ...]) -> Node:
    at = dotted(path)
    if len(path) == 1 and one.name in _LOCKED:
        return Node(one, at, "locked", _brief(value))
    if one.kind == "records":
        there = listed(value)
        entries = tuple((f"{at}.{n}", _brief(entry)) for n, entry in enumerate(there, 1))
        return Node(one, at, "list", entries=entries)
    if one.kind == "record" and not isinstance(value, str) and not (value is None and one.brief):
        known = value if isinstance(value, dict) else {}
        if _size(one) <= _SMALL:
            return Node(one, at, "group", inner=tuple(_nodes(one, known, path)))
        return Node(one, at, "way", _brief(value))
    return Node(one, at, "input", text_at({one.name: value}, (one.name,)))


def _size(shape: FieldShape) -> int:
    """How many inputs a record has; a great many where it holds lists of records."""
    return sum(_size(one) if one.kind == "record" else 100 if one.kind == "records" else 1 for one in shape.inner)


def _brief(value: Any) -> str:
    """What stands somewhere, on one line."""
    if isinstance(value, dict):
        text = flow_map(value)[1:-1]
        return text if len(text) <= 160 else f"{text[:160]} …"
    return "" if value is None else str(value)


def _inputs(nodes: tuple[Node, ...]) -> Iterator[Node]:
    for node in nodes:
        if node.how == "input":
            yield node
        yield from _inputs(node.inner)
