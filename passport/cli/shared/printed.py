"""Faults on the terminal."""

from collections.abc import Sequence

import click

from passport.records.faults import Fault


def printed(fault: Fault) -> str:
    """A fault for a person, its first line in the colour of its weight."""
    first, _, rest = fault.text().partition("\n")
    return click.style(first, fg="red" if fault.severity == "error" else "yellow", bold=True) + "\n" + rest


def report(faults: Sequence[Fault]) -> None:
    """Print faults for a person, on standard error."""
    for fault in faults:
        click.echo(printed(fault) + "\n", err=True)


def warn(text: str) -> None:
    """A warning on standard error; nothing for an empty text."""
    if text:
        click.echo(f"{click.style('warning:', fg='yellow', bold=True)} {text}\n", err=True)
