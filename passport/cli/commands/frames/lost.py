"""``passport lost``: a frame is lost."""

from pathlib import Path

import click

from passport.cli.shared.state import Turn, arguments, turn
from passport.records.load import Entry
from passport.records.schema.frame import Frame


@click.command(name="lost", epilog="Example: passport lost content_demo 1043-7 --yes")
@arguments
def command(content: Path, frame: str, yes: bool) -> None:
    """Mark a frame as lost: its page then says only that, and how a finder reaches the workshop.

    Its record stays, so that a replacement can be built to the same setup.
    """
    turn(content, frame, "passport lost", _lost, yes=yes)


def _lost(entry: Entry[Frame]) -> Turn:
    if entry.record.status == "retired":
        raise click.ClickException(f"'{entry.name}' is retired. If that is wrong, correct 'status' in its record.")
    heir = f"passport issue CONTENT {entry.name.partition('/')[0]}/NEW --replaces {entry.record.number or entry.name}"
    then = f"When it is replaced: {heir}."
    return Turn("lost", "Mark it lost? Its page will then show no figures any more.", then)
