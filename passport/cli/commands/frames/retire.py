"""``passport retire``: a frame goes out of play for good."""

from functools import partial
from pathlib import Path

import click

from passport.acts.change import Base
from passport.acts.frames.status import retired
from passport.cli.shared.closing import close_one, own_site
from passport.cli.shared.state import arguments, turn


@click.command(name="retire", epilog="Example: passport retire content_demo 1043-7 --yes")
@arguments
def command(content: Path, frame: str, yes: bool) -> None:
    """Take a frame out of play for good: its page then says only that it is retired.

    Its record and its address stay: a person who scans the card is told so, and finds the workshop. If you give the
    number or key of a passport whose record is gone, its address is closed, and says so.
    """
    turn(content, frame, "passport retire", retired, yes=yes, otherwise=partial(_close, who=frame, yes=yes))


def _close(base: Base, who: str, *, yes: bool) -> bool:
    return close_one(base, who, own_site(base.records.root, None), yes=yes)
