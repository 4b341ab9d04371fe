"""``passport target``: what a frame must be again, strung and as it is in the hand."""

from functools import partial
from pathlib import Path

import click

from passport.acts.amending import targets
from passport.acts.amending.correct import Corrections, corrected
from passport.acts.amending.targets import Target
from passport.acts.drafts import Draft
from passport.acts.frames.log import units_of
from passport.acts.picking import owners, pick
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal
from passport.cli.talks.meeting import SaidBefore
from passport.cli.talks.values import AskedValue, differing, led, said_of
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.balance import parse_balance
from passport.records.schema.frame import Frame
from passport.records.schema.quantities import INERTIA, MASS, parse_band
from passport.records.schema.workshop import Units
from passport.workshop.entry.bare import SPOKEN, USUAL_UNITS, unit_of

_MEASURED = ("mass", "balance", "swingweight", "twistweight")


@click.command(name="target", epilog='Example: passport target content_demo 1042-9 --mass "331 ± 1 g" --dry-run')
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="NUMBER-OR-NAME")
@click.option(
    "--mass", metavar="MASS", help="'330 g ± 1 g'; without ± the workshop's tolerance holds. '-' takes one out."
)
@click.option("--balance", metavar="BALANCE", help="'319.5 mm ± 1.5 mm' or '4 pt HL'.")
@click.option("--swingweight", metavar="INERTIA", help="'318.5 ± 1.5 kgcm2'.")
@click.option("--twistweight", metavar="INERTIA", help="'13.4 ± 0.5 kgcm2'.")
@click.option("--note", metavar="TEXT", help="What else must be as it was; said on page and card.")
@click.option("--as-measured", is_flag=True, help="What was measured last, strung and as it is in the hand.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
@click.option("--sure", is_flag=True, help="It is no slip: a value far from what is usual, which the record notes.")
def command(
    content: Path, frame: str, as_measured: bool, dry_run: bool, yes: bool, sure: bool, **said: str | None
) -> None:
    """Say what NUMBER-OR-NAME must be again: the targets of its setup, strung and as it is in the hand.

    Without options it asks for each, with what stands there offered and what was measured last above. A replacement is
    built to these targets, and each job's readings are held against them.
    """
    base = base_of(content, owners(content, frame))
    entry = pick(base.records, frame)
    target = targets.setup(base, entry)
    measured = _last(entry.record)
    given = said_of(said)
    if as_measured:
        if not measured:
            raise click.ClickException(worded("Nothing was measured of it, strung and as it is in the hand."))
        given = {**measured[1], **given}
    asks = not given and at_terminal()
    if not given and not asks:
        raise click.UsageError(
            worded("Say what it must be: --mass …, --balance …, --swingweight …; --help shows them all.")
        )
    units = units_of(base.records)

    def written() -> Content | None:
        if asks and measured:
            click.echo(
                worded(
                    "Measured on {measured}: {measured2}.",
                    measured=measured[0],
                    measured2=", ".join((f"{k} {v}" for k, v in measured[1].items())),
                )
            )
        values = _values(target, SaidBefore(given), units, asks=asks)
        make = partial(corrected, target=target, wanted=Corrections(values))
        question = worded("Write this?") if asks and not dry_run else ""
        return carry_out(content, "passport target", make, Options(yes, question, dry_run, sure), base)

    again = f"passport target {content} {entry.record.number or entry.name}"
    done = led(written, Draft(content, f"target-{entry.name}"), again, asks=asks and not dry_run, takes=True)
    if done is not None:
        click.echo(worded("Written to {content}.", content=content / target.file))


def _values(target: Target, told: SaidBefore, units: Units, *, asks: bool) -> dict[str, str]:
    """The targets that differ from those that stand there. Raises Misused."""
    wanted = []
    for name in _MEASURED:
        unit = unit_of(name, units) or (USUAL_UNITS[name] if asks else "")
        read = {"mass": lambda text: parse_band(text, MASS), "balance": parse_balance}.get(name, _inertia)
        wanted.append(AskedValue(name, f"{worded(name.capitalize())} ({SPOKEN.get(unit, unit)})", name, read, unit))
    wanted.append(AskedValue("note", worded("What else must be as it was"), "note"))
    return differing(target, told, [one for one in wanted if asks or one.option in told.said])


def _inertia(text: str) -> object:
    return parse_band(text, INERTIA)


def _last(frame: Frame) -> tuple[str, dict[str, str]] | None:
    """The day and the figures of the last reading of a frame as it is in the hand; None where there is none."""
    for job in reversed(frame.jobs):
        for reading in reversed(job.readings):
            found = {name: getattr(reading, name).text for name in _MEASURED if getattr(reading, name) is not None}
            if reading.strung and not reading.without and found:
                return job.date.isoformat(), found
    return None
