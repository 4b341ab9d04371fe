"""The options that limit a plan: what is on hand, how strips are cut, how many places, what is not to be on the hoop."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import click

from passport.cli.shared.benchsheet import Millimetres
from passport.records.load import Content
from passport.records.schema.catalogue import Part
from passport.records.schema.quantities import LENGTH, MASS, parse
from passport.records.yaml.validation_messages import closest

if TYPE_CHECKING:
    from passport.workshop.rebuild.lacking.wishes import Wishes

NAMES = ("only", "on_hand", "shortest", "strip", "symmetrical", "bare_hoop", "places")


def wish_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options to a command, which gets them under `NAMES`."""
    for option in (
        click.option("--places", type=click.IntRange(1, 20), metavar="N", help="Something goes to at most N places."),
        click.option(
            "--bare-hoop", is_flag=True, help="Nothing on the hoop; as 'passport player --hoop bare' for good."
        ),
        click.option("--symmetrical", is_flag=True, help="Nothing that lies on one side of the hoop only."),
        click.option("--strip", type=Millimetres(5, 500), help="Tape comes in strips of so many mm, used whole."),
        click.option("--shortest", type=Millimetres(1, 500), help="No strip of tape is shorter than so many mm."),
        click.option("--on-hand", is_flag=True, help="Of nothing more than the book of the stock has."),
        click.option(
            "--only",
            multiple=True,
            metavar="PART[=AMOUNT]",
            help="Only this material, 'tungsten-tape' or as much as there is, 'tungsten-tape=1.5 m'. Several times.",
        ),
    ):
        command = option(command)
    return command


def wishes_of(records: Content, said: Mapping[str, Any]) -> "Wishes":
    """What was said by the options; ends the command where a material is not known."""
    from passport.workshop.rebuild.lacking.wishes import Wishes  # numpy, which other commands need not wait for

    return Wishes(
        only=dict(_material(records, text) for text in said["only"]),
        on_hand=said["on_hand"],
        shortest=said["shortest"] or 0.0,
        strip=said["strip"] or 0.0,
        symmetrical=said["symmetrical"],
        bare_hoop=said["bare_hoop"],
        places=said["places"],
    )


def _material(records: Content, text: str) -> tuple[str, float | None]:
    name, _, amount = (each.strip() for each in text.partition("="))
    tuning = [key for key, e in records.parts.items() if e.record.kind in ("tape", "silicone")]
    if name not in tuning:
        hint = closest(name, tuning) or f"There are: {', '.join(tuning) or 'none'}."
        raise click.ClickException(f"There is no tape and no silicone '{name}' in the catalogue. {hint}")
    return name, _grams(records.parts[name].record, amount) if amount else None


def _grams(part: Part, amount: str) -> float:
    try:
        return parse(amount, MASS).value
    except ValueError:
        if part.per_length is None:
            raise click.ClickException(f"'{amount}' is no mass. Write '--only PART=12 g'.") from None
    try:
        return parse(amount, LENGTH).value / 1000 * part.per_length.value
    except ValueError:
        raise click.ClickException(f"'{amount}' is no length and no mass. Write '--only PART=1.5 m'.") from None
