"""Somebody comes in: player, frame and string as far as they are new, and the job that was done, in one change."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from passport.acts.adding.additions import Additions, FreshKeys
from passport.acts.change import Base, Change
from passport.acts.frames.log import logged, names_of, path_of
from passport.acts.orders.take import taken
from passport.acts.refused import Refused
from passport.records.language.worded import worded
from passport.records.load import records_of
from passport.records.schema.catalogue import StringType
from passport.records.schema.frame import Frame
from passport.records.yaml import yamltext
from passport.records.yaml.edit import block_of, job_text, with_block, with_jobs
from passport.workshop.entry.job_from_text import STRING_FIELDS, Names, Past, Said, job_of
from passport.workshop.entry.newcomers import NewFrame, NewModel, NewPlayer, NewString
from passport.workshop.entry.order_from_text import order_of
from passport.workshop.entry.phrases import Unclear
from passport.workshop.entry.told_new import told_new


@dataclass(frozen=True, slots=True)
class WalkIn:
    """What was said: ``player`` and ``model`` by their names where they are there, or what is new of them.

    ``words`` is what is said of the work, under the names that a job has; ``strings`` are those in it that are new, by
    the field that names them. ``last`` is what the next job goes by on a frame like this one.
    """

    player: str | NewPlayer
    model: str | NewModel
    label: str
    grip: str = ""
    serial: str = ""
    words: Said = field(default_factory=dict)
    strings: Mapping[str, NewString] = field(default_factory=dict)
    frame: str = ""
    """The frame, ``player/frame``, where it is there."""


def walked_in(new: Additions, said: WalkIn, day: date, *, done: bool) -> tuple[str, Change]:
    """The name of the frame, and the change with all that is new and what is wanted of it since that ``day``: as its
    order, or as the job, where the work is ``done``.

    Raises Refused and CannotEdit.
    """
    words = with_strings(new, said.words, said.strings)
    if said.frame:
        return said.frame, joined(new, _of_known(new, said.frame, words, day, done=done))
    player = said.player if isinstance(said.player, str) else new.player(said.player)
    model = said.model if isinstance(said.model, str) else new.model(said.model)
    name = new.frame(NewFrame(player, model, said.label, said.grip, said.serial))
    shown = [_worked(new, name, words, day, done=done)] if words else []
    return name, new.change(
        worded("A new frame {name}, passport {number_of}", name=name, number_of=new.number_of(name)), shown
    )


def _of_known(new: Additions, name: str, words: Said, day: date, *, done: bool) -> Change:
    """What is said of a frame that is there; where no string is said the last stringing is meant, or what was ordered."""
    frame = new.base.records.frames[name].record
    again = not any(words.get(key) for key in STRING_FIELDS)
    if done:
        again = again and frame.waiting is None
        return logged(new.base, name=name, words=words, day=day, again=again, off_rack=True)
    again = again and not words.get("asked") and frame.waiting is None
    return taken(new.base, name=name, words=words, day=day, again=again)


def adding_strings(base: Base, *, act: Callable[..., Change], words: Said, **rest: Any) -> Change:
    """The change of an act that takes ``words``, with the strings among them that are new added to the catalogue.

    A string is new where it is said as ``maker, name, gauge, material`` and none is called so.
    """
    told = told_new(words, records_of(base.records.strings))
    new = Additions(base, FreshKeys())
    return joined(new, act(base, words=with_strings(new, told.words, told.strings), **rest))


def with_strings(new: Additions, words: Said, strings: Mapping[str, NewString]) -> Said:
    """What is said of a job, with its new strings added to the catalogue and named as they are called there."""
    named: dict[NewString, str] = {}
    for string in strings.values():
        if string not in named:
            named[string] = new.string(string)
    return {**words, **{key: named[string] for key, string in strings.items()}}


def joined(new: Additions, change: Change) -> Change:
    """A change of other records with what is added for it before it."""
    if not new.files:
        return change
    shown = "\n".join([*new.said, change.shown])
    return replace(
        change, files={**new.files, **change.files}, shown=shown, issued=(*new.ledger_lines(), *change.issued)
    )


def names_with(new: Additions) -> Names:
    """The catalogue's strings and parts, the new ones among them, by their names there."""
    known = names_of(new.base.records)
    added, _, _ = yamltext.read(new.text("catalogue/strings.yaml").removeprefix("\ufeff"), "catalogue")
    fresh = {name: tree for name, tree in (added or {}).items() if name not in known.strings}
    strings = {name: StringType.model_validate(tree) for name, tree in fresh.items()}
    return replace(known, strings={**known.strings, **strings})


def _worked(new: Additions, name: str, words: Said, day: date, *, done: bool) -> str:
    """Put the job or the order into the new frame's record; how it stands there."""
    path = path_of(name)
    text, known = new.text(path), names_with(new)
    try:
        if done:
            job = job_of(words, day, Past(), known)
            new.put(path, with_jobs(text, [(0, job)]))
            return job_text(text, job)
        order = order_of(words, day, Past(), known)
    except Unclear as unclear:
        raise Refused(worded("{unclear}\n  Nothing was written.", unclear=unclear)) from None
    if set(order) <= {"taken", "promised", "price"}:
        raise Refused(worded("Nothing is said of what is wanted: a string and a tension, or what was asked."))
    new.put(path, with_block(text, "order", order, Frame.model_fields))
    return block_of(new.text(path), "order").rstrip()
