"""What another workshop told of a frame, brought to a command as a file."""

from collections.abc import Mapping
from pathlib import Path

import click

from passport.acts.change import Base
from passport.acts.exchange.adopt import refuse_unstrung, visiting
from passport.acts.reading import sound
from passport.acts.refused import Refused
from passport.cli.shared.printed import in_short
from passport.records.exchange import trees
from passport.records.exchange.carried import Kind, NotCarried, carried
from passport.records.exchange.history import PlayerHistory, read_history
from passport.records.exchange.setup import SetupData
from passport.records.language.worded import worded
from passport.records.load import Content


def brought(file: Path) -> tuple[SetupData, Kind]:
    """The setup in a file, and how it came. Raises Refused with the place of what is wrong in it."""
    try:
        return carried(file)
    except NotCarried as error:
        raise Refused(error.fault.text()) from None
    except OSError as error:
        raise Refused(worded("'{file}' was not read: {value}.", file=file, value=error.strerror or error)) from None


def brought_history(file: Path) -> PlayerHistory:
    """The history in a folder. Raises Refused with the place of what is wrong in it."""
    try:
        return read_history(file)
    except NotCarried as error:
        raise Refused(error.fault.text()) from None
    except OSError as error:
        raise Refused(worded("'{file}' was not read: {value}.", file=file, value=error.strerror or error)) from None


def from_elsewhere(content: Path, file: Path) -> tuple[Content, list[str], Mapping[str, Mapping[str, float]]]:
    """The records with a frame from elsewhere among them, its name, and how sure what is wanted of it is. Nothing is
    written. Raises Refused."""
    setup, _ = brought(file)
    refuse_unstrung(setup)
    records, faults = sound(content)
    in_short(faults)
    after, name, said = visiting(Base(records, faults), setup)
    for line in said:
        click.echo(line, err=True)
    return after, [name], {name: trees.unsure(setup)}
