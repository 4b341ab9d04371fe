"""``passport retention``: a yearly look at what nobody needs any more."""

from pathlib import Path

import click

from passport.acts.count import counted
from passport.acts.safekeeping.retention import Unneeded, clear, keep, unneeded
from passport.cli.shared.change import base_of, reading, said
from passport.cli.shared.common import FOLDER, today
from passport.cli.shared.dialogue import at_terminal, confirmed
from passport.records.language.worded import worded
from passport.records.yaml.yamlplace import CannotEdit


@click.command(name="retention", epilog="Example: passport retention content_demo --years 3")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option(
    "--years",
    type=click.FloatRange(0.5, 50),
    default=3.0,
    show_default=True,
    help="After how many years without a job.",
)
@click.option("--clear", "wanted", multiple=True, metavar="NAME", help="Clear this one, by the name that is shown.")
@click.option("--keep", "kept", multiple=True, metavar="NAME", help="Keep this one, and do not ask for a year.")
def command(content: Path, years: float, wanted: tuple[str, ...], kept: tuple[str, ...]) -> None:
    """Look once a year at contacts and photos that are perhaps not needed any more; you keep or clear each of them.

    It shows contacts of players without a job for --years years, photos that no frame names, and photos of frames that
    have been out of play for as long. What you clear is gone and cannot be brought back. How long a shop may keep such
    data, or must, is set by the law of its country; --years is only where to look.
    """
    with reading():
        found = {one.name: one for one in unneeded(content, years, today())}
    strange = [name for name in (*wanted, *kept) if name not in found]
    if strange:
        raise click.UsageError(
            worded(
                "'{strange}' is not among what is shown: {value}.",
                strange=strange[0],
                value=", ".join(found) or "nothing",
            )
        )
    cleared = 0
    for one in found.values():
        click.echo(f"{one.name}  {one.what}: {one.why}")
        if one.name in kept:
            keep(content, one)
        elif one.name in wanted or (at_terminal() and confirmed(worded("Clear it?"), yes=False, default=False)):
            _cleared(content, one)
            cleared += 1
        elif at_terminal():
            keep(content, one)
    click.echo(
        worded(
            "{counted} that perhaps nobody needs, {cleared} cleared.",
            counted=counted(len(found), "thing"),
            cleared=cleared,
        )
    )
    if found and not at_terminal() and not (wanted or kept):
        click.echo(worded("To clear one: the same with --clear NAME."))


def _cleared(content: Path, one: Unneeded) -> None:
    """Clear one thing, from the records as they are now."""
    try:
        clear(base_of(content), one, said)
    except CannotEdit as error:
        raise click.ClickException(worded("Nothing was written. {error}", error=error)) from None
