"""What the ledger says of the addresses before a build: which are closed, and which somebody holds a card for in vain."""

from pathlib import Path

import click

from passport.publish import ledger
from passport.publish.ledger import Ledger, Line
from passport.records.load import Content

_SHOWN = 5


def closed_addresses(records: Content) -> tuple[str, ...]:
    """The keys that were closed for good, in order; warns of addresses without a record and of a damaged ledger.

    Ends the command where a closed address has a record again.
    """
    known = ledger.read(records.root) or Ledger()
    _warn_of_damage(known, records.root / ledger.FILE)
    back = [line for line in ledger.in_content(records) if line.key in known.closed]
    if back:
        do = "Erase it again, or take its number and key out of the record and run 'passport issue' for new ones."
        raise click.ClickException(f"{called(back[0])} was closed for good, but has a record again. {do}")
    dropped = known.dropped(records)
    for line in dropped[:_SHOWN]:
        when = f" on {line.day.isoformat()}" if line.day else ""
        what = f"{called(line)} was given out{when}, but no record has it: whoever scans its card finds nothing."
        name = line.number or line.key
        _warn(f"{what}\n  Put the record back, or close the address: passport erase {records.root} {name}")
    if len(dropped) > _SHOWN:
        _warn(f"{len(dropped) - _SHOWN} more addresses were given out and have no record.")
    return tuple(known.closed)


def called(line: Line) -> str:
    """An address as a person knows it."""
    if line.number:
        return f"The address of passport {line.number}"
    return f"The address {line.key} of a {'player' if line.kind == 'player' else 'frame'}"


def _warn_of_damage(known: Ledger, path: Path) -> None:
    do = "Put the file back from a backup, or from version control."
    for line in known.damaged:
        _warn(f"{path}:{line}: this line was changed or cut short, so it is not believed.\n  {do}")
    if known.lost:
        _warn(f"{path}: line number {', '.join(map(str, known.lost))} is gone.\n  {do}")


def _warn(text: str) -> None:
    click.echo(f"{click.style('warning:', fg='yellow', bold=True)} {text}\n", err=True)
