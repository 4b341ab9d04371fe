"""``passport found``: a lost frame is back."""

from functools import partial
from pathlib import Path

import click

from passport.acts.frames.status import found
from passport.cli.shared.state import arguments, turn


@click.command(name="found", epilog="Example: passport found content_demo tremorel/trois --yes")
@arguments
@click.option("--back-in-play", is_flag=True, help="Put it back into play though another frame has taken over from it.")
def command(content: Path, frame: str, yes: bool, back_in_play: bool) -> None:
    """Mark a lost frame as found: it is in play again, and its page shows its passport.

    A frame that was replaced meanwhile is retired instead, and still leads to its successor, unless --back-in-play is
    given. Look it over before it is strung: a frame that lay in heat or damp may have suffered.
    """
    turn(content, frame, "passport found", partial(found, back=back_in_play), yes=yes)
