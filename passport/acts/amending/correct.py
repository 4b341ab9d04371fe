"""Correcting what the records say of a frame and its player: a job, a reading, the setup, the frame itself, a contact.

Values are named as in the record, ``strings.mains.tension``, with entries of a list counted from 1, or by as much of the
end of that as only one value has: ``ring``.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any

from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.picking import matching, pick
from passport.acts.refused import Misused, Refused
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.records.schema.player import Player
from passport.records.yaml import yamltext
from passport.records.yaml.difference import difference
from passport.records.yaml.nested import Path, moved, value_at, with_at, without_at
from passport.workshop.entry.phrases import Unclear, day_of

Tree = Any
LAST = "last"
_ELSEWHERE = {
    "number": "'passport issue' gives it, and 'passport undo' takes that back.",
    "key": "Cards lead to it; 'passport issue' gives it, and 'passport undo' takes that back.",
    "sealed": "'passport seal' puts the seal on and takes it off.",
    "secret": "'passport seal --renew' gives a new one.",
}
"""What is not corrected here, and what does it instead."""


@dataclass(frozen=True, slots=True)
class Target:
    """What is corrected: a part of one file, by its path there; ``tree`` is what it says, ``called`` names it to a
    person. What is not ``removable`` has a command of its own for that."""

    file: str
    path: Path
    tree: Tree
    called: str
    removable: bool = True


@dataclass(frozen=True, slots=True)
class Corrections:
    """What becomes of a target: new values by name, an empty one takes the value out; or all of it is taken out."""

    values: Mapping[str, str]
    remove: bool = False


def job(base: Base, entry: Entry[Frame], which: str) -> Target:
    """The job that is meant: ``last``, its place in the record from 1, or its day; ``2026-04-15/2`` is the second job of
    a day. Raises Refused and Misused."""
    file, jobs = _file(entry), _listed(_tree(base, _file(entry)).get("jobs"))
    if not jobs:
        raise Refused(f"'{entry.name}' has no job to correct.")
    place = _place([str(one.get("date")) for one in jobs], which)
    return Target(file, ("jobs", place), jobs[place], f"the job of {jobs[place].get('date')} on {_frame(entry)}")


def reading(of: Target, which: str) -> Target:
    """One reading of a job: ``last``, or its place in the job from 1. Raises Misused and Refused."""
    readings = _listed(of.tree.get("readings"))
    if not readings:
        raise Refused(f"There is no reading in {of.called}.")
    place = _counted(which, len(readings), "reading")
    return Target(of.file, (*of.path, "readings", place), readings[place], f"reading {place + 1} in {of.called}")


def setup(base: Base, entry: Entry[Frame]) -> Target:
    """The setup of a frame."""
    tree = _tree(base, _file(entry)).get("setup") or {}
    return Target(_file(entry), ("setup",), tree, f"the setup of {_frame(entry)}", removable=bool(tree))


def frame(base: Base, entry: Entry[Frame]) -> Target:
    """What a frame's record says besides its setup and jobs."""
    tree = {name: value for name, value in _tree(base, _file(entry)).items() if name not in ("setup", "jobs")}
    return Target(_file(entry), (), tree, _frame(entry), removable=False)


def player(base: Base, who: str) -> Target:
    """The record of a player: named by folder or public name, or by a frame. Raises Refused."""
    folder = _folder(base.records, who)
    file = f"players/{folder}/player.yaml"
    return Target(file, (), _tree(base, file), base.records.players[folder].record.name, removable=False)


def corrected(base: Base, *, target: Target, wanted: Corrections) -> Change:
    """The change of a record in which all else stays as it is. Raises Refused, Misused and CannotEdit."""
    if value_at(_tree(base, target.file), target.path) != target.tree and target.path and target.tree:
        raise Refused(f"Another command changed {target.called} meanwhile, so nothing was written. Try again.")
    before = base.text(target.file) or ""
    after = _removed(before, target) if wanted.remove else _changed(before, target, wanted.values)
    if after == before:
        raise Refused("Nothing to change: the record says that already.")
    head = f"{target.called[0].upper()}{target.called[1:]}, in {target.file}:"
    shown = "\n".join([head, *(f"  {line}" for line in difference(before, after))])
    done = "taken out" if wanted.remove else "corrected"
    return Change({target.file: after}, shown, (head,), summary=f"{target.called[0].upper()}{target.called[1:]} {done}")


def named(target: Target, name: str) -> Path:
    """The value of a target that is meant by name, one that is not there yet too. Raises Misused and Refused."""
    wanted = _steps(name)
    found = [path for path in _all(target.tree) if path[-len(wanted) :] == wanted]
    exact = [path for path in found if path == wanted]
    if len(exact or found) > 1:
        names = ", ".join(f"'{dotted(path)}'" for path in found)
        raise Refused(f"'{name}' may be {names}: name one of them. Nothing was written.")
    path = (exact or found or [wanted])[0]
    whole = (*target.path, *path)
    if len(whole) == 1 and whole[0] in _ELSEWHERE:
        raise Refused(f"'{whole[0]}' is not corrected here. {_ELSEWHERE[str(whole[0])]}")
    return path


def dotted(path: Path) -> str:
    """A path as a person writes it: ``readings.2.ring``."""
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in path)


def _removed(text: str, target: Target) -> str:
    if not target.removable:
        do = "'passport retire' takes a frame out of play, 'passport erase' takes a player out of everything."
        raise Misused(f"{target.called} cannot be taken out here. {do}")
    return without_at(text, target.path)


def _changed(text: str, target: Target, values: Mapping[str, str]) -> str:
    order: Collection[str] = Player.model_fields if target.file.endswith("/player.yaml") else Frame.model_fields
    paths = {(*target.path, *named(target, name)): value for name, value in values.items()}
    for path, value in paths.items():
        text = with_at(text, path, value, order) if value else text
    for path in sorted((path for path, value in paths.items() if not value), key=_last_first, reverse=True):
        text = without_at(text, path)
    return _in_order(text, target) if target.path[:1] == ("jobs",) else text


def _last_first(path: Path) -> tuple[tuple[bool, int, str], ...]:
    return tuple((isinstance(step, str), step if isinstance(step, int) else 0, str(step)) for step in path)


def _in_order(text: str, target: Target) -> str:
    """A job whose day was corrected goes where it belongs in the list."""
    jobs = _listed(_data(text).get("jobs"))
    place = int(target.path[1])
    if place >= len(jobs):
        return text
    days = [str(one.get("date")) for one in jobs]
    if days[place] == str(target.tree.get("date")) or days == sorted(days):
        return text
    others = days[:place] + days[place + 1 :]
    return moved(text, "jobs", place, sum(day <= days[place] for day in others))


def _all(tree: Tree, above: Path = ()) -> Iterator[Path]:
    """The paths of all values and blocks of some data."""
    inner = tree.items() if isinstance(tree, Mapping) else enumerate(tree) if isinstance(tree, list) else ()
    for step, child in inner:
        yield (*above, step)
        yield from _all(child, (*above, step))


def _steps(name: str) -> Path:
    steps = [step.strip().replace("-", "_") for step in name.split(".")]
    if not all(steps) or "0" in steps:
        raise Misused(f"'{name}' names no value. Write it as 'note', 'mains.tension' or 'readings.2.ring'.")
    return tuple(int(step) - 1 if step.isdecimal() else step for step in steps)


def _place(days: list[str], which: str) -> int:
    if which == LAST or which.isdecimal():
        return _counted(which, len(days), "job")
    day, _, nth = which.partition("/")
    try:
        wanted = day_of(day, today()).isoformat()
    except Unclear as unclear:
        raise Misused(f"--job: {unclear}") from None
    found = [n for n, one in enumerate(days) if one == wanted]
    if not found:
        raise Refused(f"There is no job of {wanted}. The jobs are of {', '.join(days)}.")
    if len(found) > 1 and not nth:
        raise Refused(f"There are {len(found)} jobs of {wanted}: name one as '{wanted}/1'.")
    return found[_counted(nth or "1", len(found), f"job of {wanted}")]


def _counted(which: str, count: int, what: str) -> int:
    place = count if which == LAST else int(which) if which.isdecimal() else 0
    if not 1 <= place <= count:
        raise Misused(f"There is no {what} '{which}': give a number from 1 to {count}, or '{LAST}'.")
    return place - 1


def _folder(records: Content, who: str) -> str:
    folders = [name for name, entry in records.players.items() if who == name]
    folders = folders or [n for n, e in records.players.items() if e.record.name.lower() == who.lower()]
    if len(folders) == 1 and not matching(records, who):
        return folders[0]
    folder = folders[0] if len(folders) == 1 else PurePosixPath(pick(records, who).name).parts[0]
    if folder not in records.players:
        raise Refused(f"The record of the player '{folder}' cannot be read: run 'passport check' first.")
    return folder


def _listed(tree: Tree) -> list[Tree]:
    return tree if isinstance(tree, list) else [tree] if tree else []


def _tree(base: Base, file: str) -> dict[str, Tree]:
    return _data(base.text(file) or "")


def _data(text: str) -> dict[str, Tree]:
    data, _, _ = yamltext.read(text.removeprefix("\ufeff"), "record")
    return data if isinstance(data, dict) else {}


def _file(entry: Entry[Frame]) -> str:
    return f"players/{entry.name}.yaml"


def _frame(entry: Entry[Frame]) -> str:
    return f"{entry.record.number or entry.name} {entry.record.label}"
