"""Questions for what may be there already or may be new: a player, a frame model, a string."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TypeVar

import click

from passport.acts.adding.everybody import Everybody
from passport.acts.refused import Misused, Refused
from passport.cli.shared.dialogue import Try, ask, at_terminal, problem_with
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content, records_of
from passport.records.schema.catalogue import FrameModel
from passport.workshop.entry.newcomers import (
    MATERIALS,
    NewModel,
    NewString,
    gauge_read,
    head_read,
    material_read,
    model_of,
    sport_of,
    string_of,
)
from passport.workshop.entry.phrases import Unclear
from passport.workshop.entry.recognising import called, recognised

N = TypeVar("N", NewString, NewModel)
Ways = Mapping[str, Sequence[str]]
"""What there is, by name, with every way in which each is called."""
LIST = "?"
"""What a person types to see what there is."""
_MOST = 30
_STRING = unsaid("Its name, or of a new one 'maker, name, gauge, material'; ' / ' between mains and crosses.")
_MODEL = unsaid("Its name, or of a new one 'maker, model, sport, head size'.")


@dataclass(frozen=True, slots=True)
class SaidBefore:
    """What was said beforehand, by the names of options; ``new`` says that a name near another one is new all the same,
    ``whole`` that no more is to be asked."""

    said: Mapping[str, str] = field(default_factory=dict)
    new: bool = False
    whole: bool = False

    def ask(self, name: str, question: str, offered: str = "", *, read: Try | None = None, needed: bool = False) -> str:
        """What was said beforehand, or the answer to a question. Raises Misused where what was said will not do, or
        where something is needed and nobody can be asked."""
        option = f"--{name.replace('_', '-')}"
        if name in self.said:
            if problem := problem_with(self.said[name], read):
                raise Misused(f"{option}: {problem}")
            return self.said[name]
        if at_terminal() and not self.whole:
            return ask(question, offered, read=read, needed=needed)
        if needed and not offered:
            raise Misused(worded("Say {option} too.", option=option))
        return offered


def strings_met(records: Content, told: SaidBefore, hint: str = "", *, needed: bool) -> tuple[str | NewString, ...]:
    """A string, or two with `` / `` between for mains and crosses: each by its name in the catalogue, or what its packet
    says where it is new; nothing where none was said."""
    table = records_of(records.strings)

    def shown(name: str) -> str:
        return f"{table[name].maker} {table[name].name}, {table[name].gauge.text}, {table[name].material}"

    ways = {name: called(name, record) for name, record in table.items()}
    name_of = partial(_named, string_of)
    said = _asked(
        told, "string", worded("String"), ways, shown, lambda text: [name_of(one) for one in _sides(text)],
        hint=f"{worded(_STRING)}{hint}", needed=needed,
    )  # fmt: skip
    found = ((one, resolved(one, ways, shown, told, name_of)) for one in _sides(said))
    return tuple(name or _whole_string(string_of(one)) for one, name in found)


def model_met(records: Content, told: SaidBefore) -> str | NewModel:
    """A frame model by its name in the catalogue, or what is printed on it where it is new."""
    table = records_of(records.models)

    def shown(name: str) -> str:
        return f"{table[name].maker} {table[name].name}, {table[name].sport}"

    ways = {name: called(name, record) for name, record in table.items()}
    name_of = partial(_named, model_of)
    said = _asked(told, "frame", worded("Frame"), ways, shown, name_of, hint=worded(_MODEL))
    return resolved(said, ways, shown, told, name_of) or _whole_model(model_of(said), _usual_sport(table))


def player_met(told: SaidBefore, known: Everybody, name_of: Callable[[str], str]) -> tuple[str, str]:
    """What was said of a player, and the folder of the one who is meant; empty for a new one."""
    hint = worded("The name as the pages show it, the full one behind a comma; a known player's telephone will do.")
    said = _asked(told, "player", worded("Player"), known.ways(""), known.shown, name_of, hint=hint)
    return said, resolved(name_of(said), known.ways(said), known.shown, told)


def _asked(
    told: SaidBefore,
    name: str,
    question: str,
    table: Ways,
    shown: Callable[[str], str],
    read: Callable[[str], object],
    *,
    hint: str,
    needed: bool = True,
) -> str:
    """What is said to a question, below a hint; before that the list of what there is, where a person wants to see it."""
    if name not in told.said and at_terminal():
        click.echo(click.style(worded("  {hint} '{list}' lists what there is.", hint=hint, list=LIST), dim=True))
    while True:
        said = told.ask(name, question, read=_but_list(read), needed=needed)
        if not said.startswith(LIST):
            return said
        if name in told.said:
            raise Misused(
                worded("--{name}: '{list}' lists what there is where somebody is asked.", name=name, list=LIST)
            )
        _list(table, shown, said.removeprefix(LIST).strip())


def resolved(
    said: str, table: Ways, shown: Callable[[str], str], told: SaidBefore, name_of: Callable[[str], str] = str
) -> str:
    """Which of a table is meant, after a word with the person where that is not sure; empty for what is new.

    ``name_of`` finds the name in a line that says more. Raises Refused where nobody can be asked which is meant.
    """
    for text in dict.fromkeys((said, name_of(said))):
        found = recognised(text, table)
        if found.sure:
            if said != found.sure and at_terminal():
                click.echo(f"  {shown(found.sure)}")
            return found.sure
        if found.near and not told.new:
            return _one_of(said, found.near, shown)
    return ""


def _one_of(said: str, near: Sequence[str], shown: Callable[[str], str]) -> str:
    """One of those that may be meant, or nothing for a new one."""
    if not at_terminal():
        names = "; ".join(f"{name} ({shown(name)})" for name in near)
        raise Refused(
            worded(
                "'{said}' is not there. Did you mean {names}? Write its name, or add --new where it is a new one.",
                said=said,
                names=names,
            )
        )
    click.echo(worded("'{said}' is not there. Did you mean one of these?", said=said))
    for n, name in enumerate(near, start=1):
        click.echo(f"  {n}  {shown(name)}")

    def counted(text: str) -> None:
        if text not in near and not (text.isdecimal() and 1 <= int(text) <= len(near)):
            raise Unclear(worded("Type its number, or Enter where it is a new one."))

    answer = ask(worded("Its number, or Enter for a new one"), read=counted)
    return near[int(answer) - 1] if answer.isdecimal() and answer not in near else answer


def _list(table: Ways, shown: Callable[[str], str], part: str) -> None:
    """Show what there is, or what of it holds some letters."""
    low = part.casefold()
    found = [name for name, ways in table.items() if any(low in way.casefold() for way in ways)]
    for name in found[:_MOST]:
        click.echo(f"  {name}  {click.style(shown(name), dim=True)}")
    if len(found) > _MOST:
        click.echo(
            worded("  … and {found} more: '{list} PART OF THE NAME' lists some.", found=len(found) - _MOST, list=LIST)
        )
    if not found:
        click.echo(worded("  There is none."))


def _sides(text: str) -> list[str]:
    """What is said of mains and crosses, or of both at once."""
    return [one.strip() for one in text.split(" / ", 1) if one.strip()]


def _but_list(read: Callable[[str], object]) -> Callable[[str], object]:
    return lambda text: None if text.startswith(LIST) else read(text)


def _named(read: Callable[[str], N], text: str) -> str:
    """The name in a line that says more than a name."""
    found = read(text)
    return f"{found.maker} {found.name}".strip() if found.name else found.maker


def _whole_string(new: NewString) -> NewString:
    """Ask for what a line did not say of a string."""
    said = {key: getattr(new, key) for key in ("maker", "name", "gauge", "material")}
    if not said["name"] and said["maker"]:
        said["maker"], said["name"] = "", said["maker"]
    for key, question, read in (
        ("maker", worded("Its maker"), str),
        ("name", worded("Its name"), str),
        ("gauge", worded("Its gauge (mm or number)"), gauge_read),
        (
            "material",
            worded("Its material ({fromkeys})", fromkeys=", ".join(dict.fromkeys(MATERIALS.values()))),
            material_read,
        ),
    ):
        said[key] = said[key] or read(_lacking(new.name or new.maker, "string", key, question, read))
    return NewString(**said)


def _whole_model(new: NewModel, sport: str) -> NewModel:
    """Ask for what a line did not say of a frame model."""
    said = {key: getattr(new, key) for key in ("maker", "name", "sport", "head")}
    if not said["name"] and said["maker"]:
        said["maker"], said["name"] = "", said["maker"]
    for key, question, offered, read in (
        ("maker", worded("Its maker"), "", str),
        ("name", worded("Its model"), "", str),
        ("sport", worded("Sport"), sport, sport_of),
        ("head", worded("Head size as printed (sq in or cm2)"), "", head_read),
    ):
        said[key] = said[key] or read(_lacking(new.name or new.maker, "frame", key, question, read, offered))
    return NewModel(**said)


def _lacking(called_: str, option: str, key: str, question: str, read: Try, offered: str = "") -> str:
    """The answer to what a line left out. Raises Misused where nobody can be asked."""
    if not at_terminal():
        form = (_STRING if option == "string" else _MODEL).partition("'")[2].partition("'")[0]
        raise Misused(
            worded(
                "--{option}: '{called}' is not in the catalogue, and its {key} is not said. Write '{form}'.",
                option=option,
                called=called_,
                key=key,
                form=form,
            )
        )
    return ask(question, offered, read=read, needed=True)


def _usual_sport(table: Mapping[str, FrameModel]) -> str:
    """The sport of most models here; nothing where there are none."""
    sports = [model.sport for model in table.values()]
    return max(dict.fromkeys(sports), key=sports.count) if sports else ""
