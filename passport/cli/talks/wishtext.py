"""The options that limit a plan: what is on hand, how strips are cut, how many places, what is not to be on the hoop."""

from collections.abc import Callable
from typing import Any

import click

from passport.cli.shared.benchsheet import Millimetres

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
