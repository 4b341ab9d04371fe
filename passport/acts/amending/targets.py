"""What can be corrected: a job, a reading, a setup, a frame, a player, a blank, an entry of the catalogue, the workshop."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any, Final, Literal, get_args

from passport.acts.change import Base
from passport.acts.clock import today
from passport.acts.picking import matching, pick
from passport.acts.refused import Misused, Refused
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Blank, Frame
from passport.records.schema.player import Player
from passport.records.schema.workshop import Workshop
from passport.records.yaml import yamltext
from passport.records.yaml.nested import Path
from passport.records.yaml.validation_messages import closest
from passport.workshop.entry.phrases import Unclear, day_of

Tree = Any
LAST = "last"
Kept = Literal["blank", "string", "model", "part", "lot"]
"""What is kept for all players: frames in stock and the catalogue."""
KEPT: Final[tuple[Kept, ...]] = get_args(Kept)
_FILES: Final[Mapping[Kept, str]] = {"string": "strings", "model": "frames", "part": "parts", "lot": "stock"}


@dataclass(frozen=True, slots=True)
class Target:
    """What is corrected: a part of one file, by its path there; ``tree`` is what it says, ``called`` names it to a
    person, ``order`` is that of the record's keys. What is not ``removable`` has a command of its own for that."""

    file: str
    path: Path
    tree: Tree
    called: str
    removable: bool = True
    order: tuple[str, ...] = ()


def job(base: Base, entry: Entry[Frame], which: str) -> Target:
    """The job that is meant: ``last``, its place in the record from 1, or its day; ``2026-04-15/2`` is the second job of
    a day. Raises Refused and Misused."""
    file, jobs = _file(entry), listed(tree_of(base, _file(entry)).get("jobs"))
    if not jobs:
        raise Refused(worded("'{entry}' has no job to correct.", entry=entry.name))
    place = _place([str(one.get("date")) for one in jobs], which)
    called = worded("the job of {get} on {frame}", get=jobs[place].get("date"), frame=_frame(entry))
    return Target(file, ("jobs", place), jobs[place], called, order=tuple(Frame.model_fields))


def reading(of: Target, which: str) -> Target:
    """One reading of a job or a blank: ``last``, or its place from 1. Raises Misused and Refused."""
    readings = listed(of.tree.get("readings"))
    if not readings:
        raise Refused(worded("There is no reading in {called}.", called=of.called))
    place = _counted(which, len(readings), "reading")
    called = worded("reading {place} in {called}", place=place + 1, called=of.called)
    return Target(of.file, (*of.path, "readings", place), readings[place], called, order=of.order)


def setup(base: Base, entry: Entry[Frame]) -> Target:
    """The setup of a frame."""
    tree = tree_of(base, _file(entry)).get("setup") or {}
    called = worded("the setup of {frame}", frame=_frame(entry))
    return Target(_file(entry), ("setup",), tree, called, removable=bool(tree), order=tuple(Frame.model_fields))


def frame(base: Base, entry: Entry[Frame]) -> Target:
    """What a frame's record says besides its setup and jobs."""
    tree = {name: value for name, value in tree_of(base, _file(entry)).items() if name not in ("setup", "jobs")}
    return Target(_file(entry), (), tree, _frame(entry), removable=False, order=tuple(Frame.model_fields))


def player(base: Base, who: str) -> Target:
    """The record of a player: named by folder or public name, or by a frame. Raises Refused."""
    folder = _folder(base.records, who)
    file = f"players/{folder}/player.yaml"
    called = base.records.players[folder].record.name
    return Target(file, (), tree_of(base, file), called, removable=False, order=tuple(Player.model_fields))


def kept(base: Base, kind: Kept, name: str) -> Target:
    """A blank, or an entry of the catalogue, by its name there or as it is called. Raises Refused."""
    found = known_as(base.records, kind, name)
    if len(found) != 1:
        several = worded("'{name}' fits {found}: name one of them.", name=name, found=", ".join(found))
        none = worded(
            "There is no {kind} '{name}'. {closest}",
            kind=kind,
            name=name,
            closest=closest(name, list(_table(base.records, kind))),
        ).strip()
        raise Refused(several if found else none)
    called = worded("the {kind} '{found}'", kind=kind, found=found[0])
    if kind == "blank":
        file = f"blanks/{found[0]}.yaml"
        return Target(file, (), tree_of(base, file), called, order=tuple(Blank.model_fields))
    file = f"catalogue/{_FILES[kind]}.yaml"
    return Target(file, (found[0],), tree_of(base, file)[found[0]], called)


def workshop(base: Base) -> Target:
    """What workshop.yaml says."""
    tree = tree_of(base, "workshop.yaml")
    return Target(
        "workshop.yaml", (), tree, worded("the workshop"), removable=False, order=tuple(Workshop.model_fields)
    )


def known_as(records: Content, kind: Kept, name: str) -> list[str]:
    """The names of the blanks, or of the catalogue's strings, models or parts, that ``name`` may mean."""
    table, low = _table(records, kind), " ".join(name.split()).casefold()
    if name in table:
        return [name]
    return [key for key, entry in table.items() if low in _said(key, entry.record)]


def tree_of(base: Base, file: str) -> dict[str, Tree]:
    """What a file says, as text stands there."""
    return data_of(base.text(file) or "")


def data_of(text: str) -> dict[str, Tree]:
    """What a record's text says; nothing where it cannot be read."""
    data, _, _ = yamltext.read(text.removeprefix("\ufeff"), "record")
    return data if isinstance(data, dict) else {}


def listed(tree: Tree) -> list[Tree]:
    """The entries of a list; what is written alone is a list of one."""
    return tree if isinstance(tree, list) else [tree] if tree else []


def _table(records: Content, kind: Kept) -> Mapping[str, Entry[Any]]:
    tables: dict[Kept, Mapping[str, Entry[Any]]] = {
        "blank": records.blanks,
        "string": records.strings,
        "model": records.models,
        "part": records.parts,
        "lot": records.lots,
    }
    return tables[kind]


def _said(key: str, record: Any) -> Iterable[str]:
    maker, name = getattr(record, "maker", ""), getattr(record, "name", "")
    return {key.casefold(), name.casefold(), f"{maker} {name}".casefold(), getattr(record, "serial", "").casefold()} - {
        ""
    }


def _place(days: list[str], which: str) -> int:
    if which == LAST or which.isdecimal():
        return _counted(which, len(days), "job")
    day, _, nth = which.partition("/")
    try:
        wanted = day_of(day, today()).isoformat()
    except Unclear as unclear:
        raise Misused(worded("--job: {unclear}", unclear=unclear)) from None
    found = [n for n, one in enumerate(days) if one == wanted]
    if not found:
        raise Refused(
            worded("There is no job of {wanted}. The jobs are of {days}.", wanted=wanted, days=", ".join(days))
        )
    if len(found) > 1 and not nth:
        raise Refused(
            worded("There are {found} jobs of {wanted}: name one as '{wanted}/1'.", found=len(found), wanted=wanted)
        )
    return found[_counted(nth or "1", len(found), f"job of {wanted}")]


def _counted(which: str, count: int, what: str) -> int:
    place = count if which == LAST else int(which) if which.isdecimal() else 0
    if not 1 <= place <= count:
        raise Misused(
            worded(
                "There is no {what} '{which}': give a number from 1 to {count}, or '{last}'.",
                what=what,
                which=which,
                count=count,
                last=LAST,
            )
        )
    return place - 1


def _folder(records: Content, who: str) -> str:
    folders = [name for name, entry in records.players.items() if who == name]
    folders = folders or [n for n, e in records.players.items() if e.record.name.lower() == who.lower()]
    if len(folders) == 1 and not matching(records, who):
        return folders[0]
    folder = folders[0] if len(folders) == 1 else PurePosixPath(pick(records, who).name).parts[0]
    if folder not in records.players:
        raise Refused(
            worded("The record of the player '{folder}' cannot be read: run 'passport check' first.", folder=folder)
        )
    return folder


def _file(entry: Entry[Frame]) -> str:
    return f"players/{entry.name}.yaml"


def _frame(entry: Entry[Frame]) -> str:
    return f"{entry.record.number or entry.name} {entry.record.label}"
