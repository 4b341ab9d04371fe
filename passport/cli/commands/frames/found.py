"""``passport found``: a lost frame is back."""

from functools import partial
from pathlib import Path

import click

from passport.cli.shared.state import Turn, arguments, turn
from passport.records.load import Entry
from passport.records.schema.frame import Frame


@click.command(name="found", epilog="Example: passport found content_demo tremorel/trois --yes")
@arguments
@click.option("--back-in-play", is_flag=True, help="Put it back into play though another frame has taken over from it.")
def command(content: Path, frame: str, yes: bool, back_in_play: bool) -> None:
    """Mark a lost frame as found: it is in play again, and its page shows its passport.

    A frame that was replaced meanwhile is retired instead, and still leads to its successor, unless --back-in-play is
    given. Look it over before it is strung: a frame that lay in heat or damp may have suffered.
    """
    turn(content, frame, "passport found", partial(_found, back=back_in_play), yes=yes)


def _found(entry: Entry[Frame], *, back: bool) -> Turn:
    frame = entry.record
    if frame.status != "lost":
        wrong = "If that is wrong, correct 'status' in its record." if frame.status != "active" else "Nothing to do."
        raise click.ClickException(f"'{entry.name}' is not marked lost but {frame.status}. {wrong}")
    if frame.replaced_by and not back:
        question = f"It was replaced by {frame.replaced_by}. Retire it?"
        return Turn("retired", question, "To have it back in play instead: the same with --back-in-play.")
    look = "Look it over for cracks before it is strung."
    return Turn("active", "Mark it found and put it back into play?", look, unlink=bool(frame.replaced_by))
