"""``passport lost``: a frame is lost."""

from pathlib import Path

import click

from passport.acts.frames.status import lost
from passport.cli.shared.state import arguments, turn


@click.command(name="lost", epilog="Example: passport lost content_demo 1043-7 --yes")
@arguments
def command(content: Path, frame: str, yes: bool) -> None:
    """Mark a frame as lost: its page then says only that, and how a finder reaches the workshop.

    Its record stays, so that a replacement can be built to the same setup.
    """
    turn(content, frame, "passport lost", lost, yes=yes)
