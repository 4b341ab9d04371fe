"""The dialogue of ``passport correct``: what is wrong, chosen from lists, and what it should say."""

from collections.abc import Mapping, Sequence

import click

from passport.acts.amending import targets
from passport.acts.amending.correct import Corrections, dotted
from passport.acts.amending.targets import KEPT, Target, Tree
from passport.acts.change import Base
from passport.acts.picking import matching, pick
from passport.cli.shared.dialogue import ask, choose, confirmed
from passport.records.language.worded import worded
from passport.records.load import Entry
from passport.records.schema.frame import Frame
from passport.records.yaml.nested import leaves

_ALL, _OTHER = "all of it", "something else"


def talk(base: Base, named: str) -> tuple[Target, Corrections]:
    """What is to be corrected, and how: of a frame, or of the blank or entry of the catalogue that is named so. Raises
    Refused."""
    target = _named(base, named)
    values: dict[str, str] = {}
    while True:
        name = _what(target)
        if name == _ALL:
            return target, Corrections({}, remove=True)
        if name.startswith("reading "):
            return targets.reading(target, name.removeprefix("reading ")), Corrections({}, remove=True)
        old = _known(target)
        if name == _OTHER:
            name = ask(worded("Its name in the record, as in 'note' or 'readings.1.mass'"), needed=True)
        values[name] = ask(worded("What it should say ('-' takes it out)"), values.get(name, old.get(name, "")))
        if not confirmed(worded("Something else in it?"), yes=False, default=False):
            return target, Corrections(values)


def _named(base: Base, named: str) -> Target:
    if not matching(base.records, named):
        kept = [(kind, name) for kind in KEPT for name in targets.known_as(base.records, kind, named)]
        if len(kept) == 1:
            return targets.kept(base, *kept[0])
    return _chosen(base, pick(base.records, named))


def _chosen(base: Base, entry: Entry[Frame]) -> Target:
    jobs = [targets.job(base, entry, str(n + 1)) for n in range(len(entry.record.jobs))]
    choices = [(f"job {n + 1}", _in_short(jobs[n].tree)) for n in reversed(range(len(jobs)))]
    choices += [("setup", worded("what must be reproduced")), ("frame", worded("label, grip, status and the like"))]
    choices += (
        [("player", worded("name, contact, language"))] if entry.name.partition("/")[0] in base.records.players else []
    )
    name = choose(worded("What is wrong"), choices)
    if name.startswith("job "):
        return jobs[int(name.removeprefix("job ")) - 1]
    if name == "setup":
        return targets.setup(base, entry)
    return targets.frame(base, entry) if name == "frame" else targets.player(base, entry.name.partition("/")[0])


def _what(target: Target) -> str:
    choices: list[tuple[str, str]] = list(_known(target).items())
    readings = target.tree.get("readings")
    count = len(readings) if isinstance(readings, list) else bool(readings)
    choices += [(f"reading {n}", worded("take this reading out")) for n in range(1, count + 1)]
    choices += [(_ALL, worded("take {called} out", called=target.called))] if target.removable else []
    choices.append((_OTHER, worded("a value that is not there yet")))
    click.echo(click.style(target.called, bold=True))
    return choose(worded("What is to be changed"), choices)


def _known(target: Target) -> Mapping[str, str]:
    return {dotted(path): value for path, value in leaves(target.tree)}


def _in_short(job: Tree) -> str:
    """A job in a few words: its day, its strings, what else was done, what was read."""
    strings = job.get("strings") or {}
    mains, crosses = strings.get("mains") or {}, strings.get("crosses") or {}
    words = [str(job.get("date")), _side(mains), _side(crosses)]
    words += [name for name in ("fitted", "removed", "repairs") if job.get(name)]
    words += [f"{name}: {value}" for name, value in _readings(job)]
    return ", ".join(word for word in words if word)


def _side(side: Mapping[str, Tree]) -> str:
    return f"{side.get('string', '')} {side.get('tension', '')}".strip()


def _readings(job: Tree) -> Sequence[tuple[str, str]]:
    found = [(str(path[-1]), value) for path, value in leaves(job.get("readings") or {})]
    return [(name, value) for name, value in found if name in ("mass", "balance", "swingweight", "ring")][-4:]
