"""``passport blank``: a frame comes into stock, or one in stock is measured."""

from functools import partial
from pathlib import Path

import click

from passport.acts.adding.additions import Additions, FreshKeys
from passport.acts.adding.stock import measured, stocked
from passport.acts.amending import targets
from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.drafts import Draft
from passport.acts.frames.log import units_of
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal
from passport.cli.talks.meeting import SaidBefore, model_met
from passport.cli.talks.values import day_read, led, readable, said_of
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.balance import parse_balance
from passport.records.schema.quantities import INERTIA, MASS, parse
from passport.records.schema.workshop import Units
from passport.workshop.entry.bare import SPOKEN, USUAL_UNITS, lent, unit_of
from passport.workshop.entry.newcomers import NewModel
from passport.workshop.entry.phrases import NOTHING, Unclear, day_of, pendulum_of

_MEASURED = (
    ("mass", "Mass", lambda text: parse(text, MASS)),
    ("balance", "Balance", parse_balance),
    ("swingweight", "Swingweight", lambda text: parse(text, INERTIA)),
    ("twistweight", "Twistweight", lambda text: parse(text, INERTIA)),
)


@click.command(
    name="blank",
    epilog='Example: passport blank content_demo --frame haldric-fallowgate-100 --serial HW-F100-50001 --mass "291.2 g" --dry-run\n\n'
    'Example of one in stock that is measured: passport blank content_demo fallowgate-b --mass "292.0 g" --dry-run',
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("name", metavar="[BLANK]", default="")
@click.option("--frame", metavar="TEXT", help="The model of a new one, or 'maker, model, sport, head size'.")
@click.option("--serial", metavar="TEXT", help="Its serial.")
@click.option("--grip", metavar="SIZE", help="Its grip size.")
@click.option("--received", metavar="DATE", help="When it came; today unless said.")
@click.option("--location", metavar="TEXT", help="Where it hangs; private.")
@click.option("--price", metavar="TEXT", help="What it cost; private.")
@click.option("--state", metavar="bare|strung", help="How it was measured; bare unless said.")
@click.option("--mass", metavar="MASS", help="Mass: '290.1 g'.")
@click.option("--balance", metavar="BALANCE", help="Balance: '316.5 mm' or '4 pt HL'.")
@click.option("--swingweight", metavar="INERTIA", help="Swingweight: '278.5 kgcm2'.")
@click.option("--pendulum", metavar="TIMING", help="Swingweight timed: '240 mm 14.3 s 10 swings 8 deg'.")
@click.option("--twistweight", metavar="INERTIA", help="Twistweight: '12.2 kgcm2'.")
@click.option("--new", "is_new", is_flag=True, help="A model that is near one that is there is new all the same.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
@click.option("--sure", is_flag=True, help="It is no slip: a value far from what is usual, which the record notes.")
def command(content: Path, name: str, is_new: bool, dry_run: bool, yes: bool, sure: bool, **said: str | None) -> None:
    """Put an untouched frame into stock, or add a reading to BLANK.

    A new one is named after its model by the program. What was not measured stays out. Without options it asks. A blank
    that is used leaves the stock: 'passport issue PLAYER/FRAME --blank NAME'.
    """
    base = base_of(content, ())
    given = said_of(said)
    asks = not given and at_terminal()
    told = SaidBefore(given, is_new, whole=not asks)
    if not told.said and not asks:
        raise click.UsageError(worded("Say what it is: --frame …, --mass …; --help shows them all."))

    def written() -> Content | None:
        make = _measured(base, name, told) if name else _stocked(base, told)
        question = worded("Write this?") if asks and not dry_run else ""
        return carry_out(content, "passport blank", make, Options(yes, question, dry_run, sure), base)

    again = f"passport blank {content} {name}".rstrip()
    done = led(written, Draft(content, f"blank-{name}"), again, asks=asks and not dry_run, takes=False)
    if done is not None:
        fresh = [one for one in done.blanks if one not in base.records.blanks]
        click.echo(worded("Written to {content}.yaml.", content=content / "blanks" / (fresh[0] if fresh else name)))


def _stocked(base: Base, told: SaidBefore) -> partial[Change]:
    model: str | NewModel = model_met(base.records, told)
    values = {
        "serial": told.ask("serial", worded("Serial")),
        "grip": told.ask("grip", worded("Grip size")),
        "received": day_of(
            told.ask("received", worded("Received"), today().isoformat(), read=day_read), today()
        ).isoformat(),
        "location": told.ask("location", worded("Where it hangs, private")),
        "price": told.ask("price", worded("Price, private")),
    }
    reading = _reading(told, units_of(base.records))
    return partial(_make_stocked, keys=FreshKeys(), model=model, values=values, reading=reading)


def _make_stocked(
    base: Base, *, keys: FreshKeys, model: str | NewModel, values: dict[str, str], reading: dict[str, object]
) -> Change:
    return stocked(Additions(base, keys), model, values, reading)


def _measured(base: Base, name: str, told: SaidBefore) -> partial[Change]:
    target = targets.kept(base, "blank", name)
    return partial(measured, target=target, reading=_reading(told, units_of(base.records)))


def _reading(told: SaidBefore, units: Units) -> dict[str, object]:
    """What was measured, in which state."""
    found: dict[str, object] = {"state": told.ask("state", worded("Measured bare or strung"), "bare", read=_state)}
    for name, question, read in _MEASURED:
        unit = unit_of(name, units) or (USUAL_UNITS[name] if at_terminal() and name not in told.said else "")
        text = told.ask(name, f"{question} ({SPOKEN.get(unit, unit)})", read=readable(read, unit))
        if text and text != NOTHING:
            found[name] = lent(text, unit)
        if name == "swingweight" and name not in found:
            timed = told.ask(
                "pendulum", worded("Or timed as a pendulum ('240 mm 14.3 s 10 swings 8 deg')"), read=pendulum_of
            )
            found |= {"pendulum": pendulum_of(timed)} if timed and timed != NOTHING else {}
    return found


def _state(text: str) -> None:
    if text not in ("bare", "strung"):
        raise Unclear(worded("Write bare or strung."))
