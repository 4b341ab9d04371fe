"""The dialogue of ``passport walk-in``: who comes in with which frame, and what is wanted or was done.

What is there is found by any name it has; what is new is added where it is met, with no question about files.
"""

from collections.abc import Iterator
from functools import partial

import click

from passport.acts.adding.everybody import Everybody
from passport.acts.adding.walkin import WalkIn
from passport.acts.change import Base
from passport.acts.clock import today
from passport.acts.frames.log import units_of
from passport.acts.picking import matching
from passport.acts.refused import Refused
from passport.cli.answers.trail import HELP
from passport.cli.shared.dialogue import Try, at_terminal, choose
from passport.cli.talks.meeting import SaidBefore, model_met, player_met, strings_met
from passport.cli.talks.values import language_of, often_of
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.render.theme.formats import LANGUAGES
from passport.workshop.entry.bare import lent, unit_of
from passport.workshop.entry.job_from_text import SIDES
from passport.workshop.entry.newcomers import NewModel, NewPlayer, NewString, fields_of, reach_of
from passport.workshop.entry.phrases import NOTHING, Unclear, reader
from passport.workshop.entry.spoken import coming_day

_NEW, _OTHER = "new", "other"


def talk(known: Everybody, told: SaidBefore, *, done: bool) -> tuple[WalkIn, Base]:
    """What was said of a walk-in, beforehand or when asked, and the records that it is of; ``done`` says that the work is
    done. Raises Refused, Misused."""
    if at_terminal():
        click.echo(
            worded(
                "Enter takes what stands in [ ], '{nothing}' leaves it out, {help}\n",
                nothing=NOTHING,
                help=worded(HELP),
            )
        )
    player, frame = _player(known, told)
    base = known.base(player if isinstance(player, str) else "")
    records = base.records
    if frame:
        model: str | NewModel = records.frames[frame].record.model
        label = grip = serial = ""
    else:
        model = model_met(records, told)
        label, grip, serial = _called(records, told, player)
    strings: dict[str, NewString] = {}
    words = dict(_work(records, told, strings, first=not frame, done=done))
    words |= dict(_rest(told, done=done))
    return WalkIn(player, model, label, grip, serial, words, strings, frame), base


def _player(known: Everybody, told: SaidBefore) -> tuple[str | NewPlayer, str]:
    """The player, and which frame of a player who is there; nothing where the frame is new."""
    said, name = player_met(told, known, lambda text: (fields_of(text) or [text])[0])
    if name:
        frame = _frame(known.base(name).records, told, name)
        if frame != _OTHER:
            return name, "" if frame == _NEW else frame
    public, *full = fields_of(said) or [said]
    email, phone = reach_of(told.ask("reach", worded("E-mail or telephone"), read=reach_of))
    shop = known.base().records.workshop
    language = told.ask(
        "language",
        worded("Language ({languages})", languages=", ".join(LANGUAGES)),
        shop.record.language if shop else "en",
        read=language_of,
    )
    plays = told.ask("plays", worded("Plays how often a week"), read=often_of).replace(",", ".")
    return NewPlayer(public, ", ".join(full), language, email, phone, plays), ""


def _frame(records: Content, told: SaidBefore, player: str) -> str:
    """One of a player's frames in play, a new one, or that it is another player."""
    if not at_terminal() or "frame" in told.said:
        mine = [e.name for e in matching(records, told.said.get("frame", "")) if e.name.startswith(f"{player}/")]
        if len(mine) > 1:
            raise Refused(
                worded(
                    "--frame: '{said}' fits {mine}. Name one of them.", said=told.said["frame"], mine=", ".join(mine)
                )
            )
        return mine[0] if mine else _NEW
    active = [entry for entry in records.frames_of(player) if entry.record.status == "active"]
    choices = [(e.name, f"{e.record.number} {e.record.label} ({e.record.model})") for e in active]
    choices += [(_NEW, worded("another frame")), (_OTHER, worded("another player of that name"))]
    return choose(worded("Which frame"), choices, _NEW if not active else "")


def _called(records: Content, told: SaidBefore, player: str | NewPlayer) -> tuple[str, str, str]:
    """What a new frame is called, its grip size and its serial."""
    count = len(list(records.frames_of(player))) if isinstance(player, str) else 0
    question = worded("Called; grip size and serial behind commas")
    label, *more = fields_of(told.ask("called", question, str(count + 1), read=_at_most_three, needed=True))
    grip, serial = (*more, "", "")[:2]
    return label, grip, serial


def _work(
    records: Content, told: SaidBefore, strings: dict[str, NewString], *, first: bool, done: bool
) -> Iterator[tuple[str, str]]:
    """Strings and tension; new strings are put into ``strings`` by the field that names them."""
    unit = unit_of("tension", units_of(records))
    hint = (
        worded(" '{nothing}' where it is not to be strung.", nothing=NOTHING)
        if first and not done
        else worded(" Enter takes the last one.") * (not first)
    )
    found = strings_met(records, told, hint, needed=first and done)
    for field, string in zip(SIDES if len(found) > 1 else ("string",), found, strict=False):
        yield from _named(field, string, strings)
    if first and not found:
        return
    shown = f", {unit}" if unit else ""
    read = partial(_tension, unit)
    tension = told.ask("tension", worded("Tension (mains/crosses{shown})", shown=shown), read=read, needed=first)
    if tension:
        yield "tension", lent(tension, unit)


def _named(field: str, string: str | NewString, strings: dict[str, NewString]) -> Iterator[tuple[str, str]]:
    if isinstance(string, NewString):
        strings[field] = string
        yield field, string.name
    else:
        yield field, string


def _rest(told: SaidBefore, *, done: bool) -> Iterator[tuple[str, str]]:
    """What else is said of a job that is done, or of an order."""
    rest: tuple[tuple[str, str, Try | None], ...] = (
        ("note", worded("Note for the player"), None),
        ("price", worded("Price"), None),
    )
    if not done:
        rest = (
            ("asked", worded("What else is wanted, in their words"), None),
            (
                "promised",
                worded("Promised for (friday, in 3 days, 2026-12-04)"),
                lambda text: coming_day(text, today()),
            ),
            ("price", worded("Price"), None),
        )
    for name, question, read in rest:
        if text := told.ask(name, question, read=read):
            yield name, text


def _tension(unit: str, text: str) -> object:
    read = reader("tension")
    assert read, "tensions are read"
    return read(lent(text, unit))


def _at_most_three(text: str) -> None:
    if not 1 <= len(fields_of(text)) <= 3:
        raise Unclear(worded("Write what it is called, then grip size and serial behind commas."))
