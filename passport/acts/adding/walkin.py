"""Somebody comes in: player, frame and string as far as they are new, and the job that was done, in one change."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from passport.acts.adding.additions import Additions
from passport.acts.change import Change
from passport.acts.frames.log import logged, names_of, path_of
from passport.acts.refused import Refused
from passport.records.schema.catalogue import StringType
from passport.records.yaml import yamltext
from passport.records.yaml.edit import job_text, with_jobs
from passport.workshop.entry.job_from_text import STRING_FIELDS, Names, Past, Said, job_of
from passport.workshop.entry.newcomers import NewFrame, NewModel, NewPlayer, NewString
from passport.workshop.entry.phrases import Unclear


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


def walked_in(new: Additions, said: WalkIn, day: date) -> tuple[str, Change]:
    """The name of the frame, and the change with all that is new and the job of that ``day``, if one was said.

    Raises Refused and CannotEdit.
    """
    words = with_strings(new, said.words, said.strings)
    if said.frame:
        again = not any(words.get(key) for key in STRING_FIELDS)
        return said.frame, joined(
            new, logged(new.base, name=said.frame, words=words, day=day, again=again, off_rack=True)
        )
    player = said.player if isinstance(said.player, str) else new.player(said.player)
    model = said.model if isinstance(said.model, str) else new.model(said.model)
    name = new.frame(NewFrame(player, model, said.label, said.grip, said.serial))
    shown = [_worked(new, name, words, day)] if words else []
    return name, new.change(f"A new frame {name}, passport {new.number_of(name)}", shown)


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


def _worked(new: Additions, name: str, words: Said, day: date) -> str:
    """Put the job into the frame's record; how it stands there."""
    path = path_of(name)
    text = new.text(path)
    try:
        job = job_of(words, day, Past(), names_with(new))
    except Unclear as unclear:
        raise Refused(f"{unclear}\n  Nothing was written.") from None
    new.put(path, with_jobs(text, [(0, job)]))
    return job_text(text, job)
