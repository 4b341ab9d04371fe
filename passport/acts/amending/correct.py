"""Correcting what the records say by mistake: a value changed or taken out, or all of a job, a reading, an entry.

Values are named as in the record, ``strings.mains.tension``, with entries of a list counted from 1, or by as much of the
end of that as only one value has: ``ring``.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from passport.acts.amending.targets import Target, Tree, data_of, listed, tree_of
from passport.acts.change import Base, Change
from passport.acts.refused import Misused, Refused
from passport.acts.remark import MODELS, can_hold, stale
from passport.records.language.worded import unsaid, worded
from passport.records.yaml.difference import difference
from passport.records.yaml.nested import Path, moved, value_at, with_at, without_at

ELSEWHERE = {
    "number": unsaid("'passport issue' gives it, and 'passport undo' takes that back."),
    "key": unsaid("Cards lead to it; 'passport issue' gives it, and 'passport undo' takes that back."),
    "sealed": unsaid("'passport seal' puts the seal on and takes it off."),
    "secret": unsaid("'passport seal --renew' gives a new one."),
    "format": unsaid("'passport upgrade' brings records to the form of this version."),
}
"""What is not corrected here, and what does it instead."""


@dataclass(frozen=True, slots=True)
class Corrections:
    """What becomes of a target: new values by name, an empty one takes the value out; or all of it is taken out."""

    values: Mapping[str, str]
    remove: bool = False


def corrected(base: Base, *, target: Target, wanted: Corrections) -> Change:
    """The change of a record in which all else stays as it is. Raises Refused, Misused and CannotEdit."""
    if value_at(tree_of(base, target.file), target.path) != target.tree and target.path and target.tree:
        raise Refused(
            worded(
                "Another command changed {called} meanwhile, so nothing was written. Try again.", called=target.called
            )
        )
    before = base.text(target.file) or ""
    after = _removed(before, target) if wanted.remove else _changed(before, target, wanted.values)
    if after == before:
        raise Refused(worded("Nothing to change: the record says that already."))
    head = f"{target.called[0].upper()}{target.called[1:]}, in {target.file}:"
    shown = "\n".join([head, *(f"  {line}" for line in difference(before, after or ""))])
    done = worded("taken out") if wanted.remove else "corrected"
    return Change({target.file: after}, shown, (head,), summary=f"{target.called[0].upper()}{target.called[1:]} {done}")


def named(target: Target, name: str) -> Path:
    """The value of a target that is meant by name, one that is not there yet too. Raises Misused and Refused."""
    wanted = _steps(name)
    found = [path for path in _all(target.tree) if path[-len(wanted) :] == wanted]
    exact = [path for path in found if path == wanted]
    if len(exact or found) > 1:
        names = ", ".join(f"'{dotted(path)}'" for path in found)
        raise Refused(worded("'{name}' may be {names}: name one of them. Nothing was written.", name=name, names=names))
    path = (exact or found or [wanted])[0]
    whole = (*target.path, *path)
    if len(whole) == 1 and whole[0] in ELSEWHERE:
        raise Refused(
            worded(
                "'{whole}' is not corrected here. {elsewhere}",
                whole=whole[0],
                elsewhere=worded(ELSEWHERE[str(whole[0])]),
            )
        )
    return path


def dotted(path: Path) -> str:
    """A path as a person writes it: ``readings.2.ring``."""
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in path)


def _removed(text: str, target: Target) -> str | None:
    if not target.removable:
        do = worded("'passport retire' takes a frame out of play, 'passport erase' takes a player out of everything.")
        raise Misused(worded("{called} cannot be taken out here. {do}", called=target.called, do=do))
    if not target.path:  # all of its file
        return None
    return unsure(without_at(text, target.path), target, [target.path])


def _changed(text: str, target: Target, values: Mapping[str, str]) -> str:
    paths = {(*target.path, *named(target, name)): value for name, value in values.items()}
    for path, value in paths.items():
        text = with_at(text, path, value, target.order) if value else text
    for path in sorted((path for path, value in paths.items() if not value), key=last_first, reverse=True):
        text = without_at(text, path)
    text = unsure(text, target, paths)
    return in_order(text, target) if target.path[:1] == ("jobs",) else text


def unsure(text: str, target: Target, paths: Iterable[Path]) -> str:
    """The text without a remark that somebody was sure of what stood there before; what stands there now is asked anew."""
    if not can_hold(target.file):
        return text
    inner = 2 if target.path[:1] == ("jobs",) else 1 if target.file == MODELS else 0
    owner = target.path[:inner]
    return stale(text, owner, [str(path[len(owner)]) for path in paths if len(path) > len(owner)])


def last_first(path: Path) -> tuple[tuple[bool, int, str], ...]:
    """What paths are sorted by so that, from the end, none is moved by one taken out before it."""
    return tuple((isinstance(step, str), step if isinstance(step, int) else 0, str(step)) for step in path)


def in_order(text: str, target: Target) -> str:
    """A job whose day was corrected goes where it belongs in the list."""
    jobs = listed(data_of(text).get("jobs"))
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
        raise Misused(
            worded("'{name}' names no value. Write it as 'note', 'mains.tension' or 'readings.2.ring'.", name=name)
        )
    return tuple(int(step) - 1 if step.isdecimal() else step for step in steps)
