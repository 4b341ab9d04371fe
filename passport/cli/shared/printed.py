"""Faults on the terminal."""

import click

from passport.records.faults import Fault


def printed(fault: Fault) -> str:
    """A fault for a person, its first line in the colour of its weight."""
    first, _, rest = fault.text().partition("\n")
    return click.style(first, fg="red" if fault.severity == "error" else "yellow", bold=True) + "\n" + rest
