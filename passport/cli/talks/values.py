"""Values of a record asked one after the other, with what stands there offered; only what differs is written."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import click
from pydantic import ValidationError
from pydantic_core import PydanticCustomError

from passport.acts.amending.targets import Target
from passport.acts.clock import today
from passport.acts.drafts import Draft
from passport.cli.answers.trail import HELP, retraced
from passport.cli.shared.dialogue import Try
from passport.cli.talks.meeting import SaidBefore
from passport.records.language.worded import worded
from passport.records.schema.player import Player
from passport.records.yaml.nested import value_at
from passport.render.theme.formats import LANGUAGES
from passport.workshop.entry.bare import lent
from passport.workshop.entry.phrases import NOTHING, Unclear, day_of, in_words

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class AskedValue:
    """One value: the option that says it, the question, where it stands in the record, what reads it, and the unit that
    a bare figure has."""

    option: str
    question: str
    name: str
    read: Callable[[str], object] | None = None
    unit: str = ""


def differing(target: Target, told: SaidBefore, values: Sequence[AskedValue]) -> dict[str, str]:
    """What is to stand in a record, by name, as far as it is not there already; an empty value goes. Raises Misused."""
    found: dict[str, str] = {}
    for value in values:
        old = value_at(target.tree, tuple(value.name.split(".")))
        before = "" if old is None else str(old)
        said = told.ask(value.option, worded(value.question), before, read=readable(value.read, value.unit))
        new = "" if said == NOTHING else lent(said, value.unit)
        if new != before:
            found[value.name] = new
    return found


def readable(read: Callable[[str], object] | None, unit: str = "") -> Try | None:
    """What tries an answer, a bare figure with its unit; what is wrong is said in a sentence."""
    if read is None:
        return None

    def reading(text: str) -> object:
        try:
            return None if text == NOTHING else read(lent(text, unit))
        except PydanticCustomError as error:
            raise Unclear(in_words(error)) from None

    return reading


def said_of(options: Mapping[str, str | None]) -> dict[str, str]:
    """What was said in options, without those that were left out."""
    return {name: text for name, text in options.items() if text}


def language_of(text: str) -> None:
    """Try a language. Raises `Unclear` where the pages have no words in it."""
    if text.partition("-")[0].lower() not in LANGUAGES:
        raise Unclear(worded("The pages speak {languages}.", languages=", ".join(LANGUAGES)))


def often_of(text: str) -> None:
    """Try how often a week somebody plays. Raises `Unclear`."""
    try:
        Player.model_validate({"name": "x", "plays_a_week": text.replace(",", ".")})
    except ValidationError:
        raise Unclear(
            worded("'{text}' is not how often somebody plays a week. Write a number, as in '2'.", text=text)
        ) from None


def led(written: Callable[[], T | None], draft: Draft, again: str, *, asks: bool, takes: bool) -> T | None:
    """Write what is said, led over a trail where a person is asked: with ``takes`` the answer ``-`` takes out what stands there, ``again`` is the command
    that goes on with it later. What ``written`` returns."""
    if not asks:
        return written()
    click.echo(
        worded("Enter takes what stands in [ ], '{nothing}' takes it out, {help}\n", nothing=NOTHING, help=worded(HELP))
        if takes
        else worded(
            "Enter takes what stands in [ ], '{nothing}' leaves it out, {help}\n", nothing=NOTHING, help=worded(HELP)
        )
    )
    return retraced(written, draft, again)


def day_read(text: str) -> object:
    """Tries a day as it is said."""
    return day_of(text, today())
