"""A record as a form fills it in: each value by its exact place, merged with what others wrote meanwhile, never over it.

A form says what stood there when it was made. Where a value is still that, it takes the new one; where somebody wrote
another one since, nothing is written, and both are told.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from passport.acts.amending.correct import ELSEWHERE, dotted, in_order, last_first, unsure
from passport.acts.amending.targets import Target, data_of
from passport.acts.change import Base, Change
from passport.acts.refused import Refused
from passport.records.language.worded import worded
from passport.records.yaml.appending import with_appended
from passport.records.yaml.difference import difference
from passport.records.yaml.nested import Path, value_at, with_at, without_at

Tree = Any


@dataclass(frozen=True, slots=True)
class Clash:
    """A value that somebody else changed meanwhile: its place, what stood there, what stands there now, what is wanted."""

    path: Path
    was: str
    now: str
    wanted: str


class Clashing(Refused):
    """Some values were changed by somebody else meanwhile; nothing was written."""

    def __init__(self, clashes: Sequence[Clash]) -> None:
        """``clashes`` are told one a line."""
        told = (f"{dotted(c.path)}: '{c.was}' became '{c.now}' meanwhile; here it is '{c.wanted}'." for c in clashes)
        super().__init__("\n".join(["Nothing was written: another hand changed the same values meanwhile.", *told]))
        self.clashes = tuple(clashes)


@dataclass(frozen=True, slots=True)
class FormFilled:
    """What a form says: by place in the file what stood there (``was``) and what is wanted (``values``; empty takes it
    out). Lists of plain texts are written one a line. ``entry`` is the entry of a list that the form is of, with
    what it held, so that it is known again where the list became another."""

    was: Mapping[Path, str]
    values: Mapping[Path, str]
    lists: frozenset[Path] = field(default_factory=frozenset)
    entry: tuple[Path, str] | None = None

    @property
    def changed(self) -> dict[Path, str]:
        """The values that are wanted otherwise than they stood there."""
        return {path: value for path, value in self.values.items() if value != self.was.get(path, "")}


def text_at(tree: Tree, path: Path) -> str:
    """What stands at a place, as a form shows it: a list of texts one a line; empty where nothing does."""
    found = value_at(tree, path)
    if isinstance(found, list):
        return "\n".join(map(str, found)).strip()
    return "" if found is None or isinstance(found, Mapping) else str(found).strip()


def amended(base: Base, *, target: Target, wanted: FormFilled) -> Change:
    """The change of a record by what a form says of it. Raises Clashing, Refused and CannotEdit."""
    before = base.text(target.file) or ""
    tree = data_of(before)
    _refuse_another_entry(tree, wanted)
    changed = wanted.changed
    _refuse_elsewhere(changed)
    clashes = [
        Clash(path, wanted.was.get(path, ""), now, value)
        for path, value in changed.items()
        if (now := text_at(tree, path)) not in (wanted.was.get(path, ""), value)
    ]
    if clashes:
        raise Clashing(clashes)
    after = before
    todo = {path: value for path, value in changed.items() if text_at(tree, path) != value}
    for path, value in todo.items():
        after = _set(after, path, value, target.order, many=path in wanted.lists)
    for path in sorted((path for path, value in todo.items() if not value), key=last_first, reverse=True):
        after = without_at(after, path)
    after = unsure(after, target, todo)
    if target.path[:1] == ("jobs",) and len(target.path) == 2:
        day = todo.get((*target.path, "date"))
        after = in_order(after, replace(target, tree={**target.tree, "date": day}) if day else target)
    if after == before:
        raise Refused(worded("Nothing to change: the record says that already."))
    return change_of(target, before, after, "corrected")


def appended(base: Base, *, target: Target, tree: Mapping[str, Tree]) -> Change:
    """The change that puts one more entry at the end of a list; ``target`` is the list. Raises Refused and CannotEdit."""
    if not tree:
        raise Refused(worded("Nothing was filled in, so nothing was written."))
    before = base.text(target.file) or ""
    after = with_appended(before, target.path, dict(tree), target.order)
    return change_of(target, before, after, "added to")


def tree_from(values: Mapping[Path, str], lists: Iterable[Path] = ()) -> dict[str, Tree]:
    """Data out of single values by their places below one entry, entries of lists by their numbers; what is empty stays
    out."""
    whole, many = dict[str, Tree](), set(lists)
    for path, value in values.items():
        if not value:
            continue
        holder: Any = whole
        for step in path[:-1]:
            holder = holder.setdefault(step, {})
        holder[path[-1]] = _lines(value) if path in many else value
    return {name: _numbered(below) for name, below in whole.items()}


def _numbered(tree: Tree) -> Tree:
    """Data with a list wherever all names are numbers."""
    if not isinstance(tree, dict):
        return tree
    below = {name: _numbered(one) for name, one in tree.items()}
    return [below[n] for n in sorted(below)] if all(isinstance(name, int) for name in below) else below


def _set(text: str, path: Path, value: str, order: Iterable[str], *, many: bool) -> str:
    if not value:
        return text
    if not many:
        return with_at(text, path, value, order)
    if value_at(data_of(text), path) is not None:
        text = without_at(text, path)
    for line in _lines(value):
        text = with_appended(text, path, line, order)
    return text


def _lines(value: str) -> list[str]:
    return [line.strip() for line in value.splitlines() if line.strip()]


def _refuse_another_entry(tree: Tree, wanted: FormFilled) -> None:
    """Raise Clashing where the entry of a list that the form is of is not the one that stands at its place now."""
    if wanted.entry is None:
        return
    path, held = wanted.entry
    now = value_at(tree, path)
    known = {str(name): value for name, value in now.items()} if isinstance(now, Mapping) else {}
    stood = {str(place[len(path)]): value for place, value in wanted.was.items() if len(place) == len(path) + 1}
    same = [name for name, value in stood.items() if str(known.get(name, "")) == value]
    if now is None or (str(len(value_at(tree, path[:-1]) or ())) != held and len(same) < len(stood)):
        raise Clashing([Clash(path, "this entry", "another", "the one that the form was made from")])


def _refuse_elsewhere(changed: Mapping[Path, str]) -> None:
    for path in changed:
        if len(path) == 1 and path[0] in ELSEWHERE:
            raise Refused(
                worded(
                    "'{path}' is not corrected here. {elsewhere}",
                    path=path[0],
                    elsewhere=worded(ELSEWHERE[str(path[0])]),
                )
            )


def change_of(target: Target, before: str, after: str, done: str) -> Change:
    """The change of one file, told by the lines that go and come; what was ``done`` stands in the history."""
    head = f"{target.called[0].upper()}{target.called[1:]}, in {target.file}:"
    shown = "\n".join([head, *(f"  {line}" for line in difference(before, after))])
    return Change({target.file: after}, shown, (head,), summary=f"{target.called[0].upper()}{target.called[1:]} {done}")
