"""``passport check-instrument``: an instrument is held against something known."""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, get_args

import click

from passport.acts.adding.stock import held_against, listed
from passport.acts.clock import today
from passport.acts.drafts import Draft
from passport.acts.refused import Refused
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal, choose
from passport.cli.talks.meeting import SaidBefore
from passport.cli.talks.values import day_read, led, readable, said_of
from passport.records.checks.instruments import SHOWS
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.quantities import Dimension, parse
from passport.records.schema.workshop import Instrument, InstrumentKind, Rod
from passport.workshop.entry.phrases import NOTHING, Unclear, day_of

_NEW = "new"
_SAME = "the same rod"
_SIDES = ("swingweight", "twistweight")


@click.command(
    name="check-instrument",
    epilog='Example: passport check-instrument content_demo scale --known "200.0 g" --reads "200.1 g" '
    '--against "class M1 weight" --dry-run',
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("which", metavar="[INSTRUMENT]", default="")
@click.option("--known", metavar="VALUE", help="What it should show: '200.0 g'; as at its last check unless said.")
@click.option("--reads", metavar="VALUE", help="What it shows: '200.1 g'.")
@click.option(
    "--against", metavar="TEXT", help="What it was held against: 'class M1 weight'; as last time unless said."
)
@click.option("--of", "of", metavar="swingweight|twistweight", help="What of a swing machine; swingweight unless said.")
@click.option("--date", "date", metavar="DATE", help="The day; today unless said.")
@click.option("--name", metavar="TEXT", help="With a kind that is not listed yet: what the instrument is called.")
@click.option("--resolution", metavar="VALUE", help="With a kind that is not listed yet: its last digit, '0.1 g'.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
@click.option("--sure", is_flag=True, help="It is no slip: a check far from what is usual.")
def command(content: Path, which: str, dry_run: bool, yes: bool, sure: bool, **said: str | None) -> None:
    """Note that INSTRUMENT (its kind or its name) was held against something known, and what it showed.

    Readings of that day and later are corrected by it. Without options it asks, with what it was held against last time
    offered. A scale, balance board, swing machine, tension head or ring reader that is not listed yet is listed.
    """
    base = base_of(content, ())
    given = said_of(said)
    asks = not given and at_terminal()
    told = SaidBefore(given, whole=not asks)
    if not asks and not (which and "reads" in told.said):
        raise click.UsageError(worded("Say which instrument, and what it shows: --reads …; --help shows the rest."))

    def written() -> Content | None:
        make = _made(base.records, which, told)
        question = worded("Write this?") if asks and not dry_run else ""
        return carry_out(content, "passport check-instrument", make, Options(yes, question, dry_run, sure), base)

    again = f"passport check-instrument {content} {which}".rstrip()
    done = led(written, Draft(content, "check-instrument"), again, asks=asks and not dry_run, takes=False)
    if done is not None:
        click.echo(
            worded(
                "Written to {content}. How sure the bench is: passport instruments {content2}",
                content=content / "workshop.yaml",
                content2=content,
            )
        )


def _made(records: Content, which: str, told: SaidBefore) -> partial[Any]:
    shop = records.workshop.record.instruments if records.workshop else ()
    place = _place(shop, which)
    if place is not None:
        return partial(held_against, place=place, check=_check(shop[place], told))
    kind = which if which in get_args(InstrumentKind) else _kind()
    dimension = SHOWS[kind]
    read = readable(partial(_in, replace(dimension, low=0.0)))
    name = told.ask("name", worded("What it is called"), kind)
    digit = told.ask(
        "resolution", worded("Its last digit, as in '{example}'", example=dimension.example), read=read, needed=True
    )
    check = _new_check(dimension, told, {}, twist=kind == "swing machine")
    return partial(listed, instrument={"kind": kind, "name": name, "resolution": digit, "checks": [check]})


def _place(shop: tuple[Instrument, ...], which: str) -> int | None:
    """The place of the instrument that is meant, or None for one that is not listed. Raises Refused."""
    if which:
        low = which.casefold()
        found = [n for n, one in enumerate(shop) if low in (one.kind, one.name.casefold())]
        found = found or [n for n, one in enumerate(shop) if low in f"{one.kind} {one.name}".casefold()]
        if len(found) > 1:
            raise Refused(
                worded(
                    "'{which}' fits {found}. Write enough of its name.",
                    which=which,
                    found=", ".join(shop[n].name for n in found),
                )
            )
        if not found and which not in get_args(InstrumentKind):
            known = ", ".join(dict.fromkeys([*(one.name for one in shop), *get_args(InstrumentKind)]))
            raise Refused(worded("There is no instrument '{which}'. There are: {known}.", which=which, known=known))
        return found[0] if found else None
    choices = [(str(n + 1), f"{one.kind}: {one.name}") for n, one in enumerate(shop)] + [
        (_NEW, worded("one not listed yet"))
    ]
    chosen = choose(worded("Which instrument"), choices)
    return None if chosen == _NEW else int(chosen) - 1


def _kind() -> str:
    return choose(worded("What is it"), [(kind, "") for kind in get_args(InstrumentKind)])


def _check(instrument: Instrument, told: SaidBefore) -> dict[str, Any]:
    """A check like the last one of the same quantity, in what is not said otherwise."""
    of = (
        told.ask("of", worded("Of swingweight or twistweight"), _SIDES[0], read=_side)
        if _swings(instrument)
        else _SIDES[0]
    )
    before = [check for check in instrument.checks if check.of == of]
    last: dict[str, Any] = {}
    if before:
        rod = before[-1].rod
        last = {"known": before[-1].known.text if before[-1].known else "", "against": before[-1].against}
        last |= {"rod": _written(rod)} if rod else {}
    return _new_check(SHOWS[instrument.kind], told, last, of=of)


def _new_check(
    dimension: Dimension, told: SaidBefore, last: Mapping[str, Any], *, of: str = "", twist: bool = False
) -> dict[str, Any]:
    read = readable(partial(_in, dimension))
    day = day_of(told.ask("date", worded("Date"), today().isoformat(), read=day_read), today()).isoformat()
    if not of and twist:
        of = told.ask("of", worded("Of swingweight or twistweight"), _SIDES[0], read=_side)
    check: dict[str, Any] = {"date": day, **({"of": of} if of == _SIDES[1] else {})}
    rod = last.get("rod")
    form = worded("What it should show, as in '{example}'", example=dimension.example)
    offered = _SAME if rod else str(last.get("known", ""))
    known = told.ask("known", form, offered, read=None if rod else read, needed=True)
    if rod and known == _SAME:
        check["rod"] = rod
    else:
        _in(dimension, known)
        check["known"] = known
    check["reads"] = told.ask("reads", worded("What it shows"), read=read, needed=True)
    against = told.ask("against", worded("Held against"), str(last.get("against", "")))
    return check | ({"against": against} if against and against != NOTHING else {})


def _written(rod: Rod) -> dict[str, str]:
    """A rod as it is written in a record."""
    return {name: getattr(rod, name).text for name in Rod.model_fields if getattr(rod, name) is not None}


def _swings(instrument: Instrument) -> bool:
    return instrument.kind == "swing machine"


def _in(dimension: Dimension, text: str) -> object:
    return parse(text, dimension)


def _side(text: str) -> None:
    if text not in _SIDES:
        raise Unclear(worded("Write swingweight or twistweight."))
