"""Faults on the terminal, and how far something is."""

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

import click

from passport.acts.count import counted
from passport.records.faults import Fault
from passport.records.language.worded import worded

_ALWAYS = frozenset({"placeholder-address"})


def printed(fault: Fault) -> str:
    """A fault for a person, its first line in the colour of its weight."""
    first, _, rest = fault.text().partition("\n")
    return click.style(first, fg="red" if fault.severity == "error" else "yellow", bold=True) + "\n" + rest


def report(faults: Sequence[Fault]) -> None:
    """Print faults for a person, on standard error."""
    for fault in faults:
        click.echo(printed(fault) + "\n", err=True)


def in_short(faults: Sequence[Fault]) -> None:
    """The errors for a person, and of warnings that nobody asked for no more than how many there are.

    One of an address that printed codes would lead to is told whole, whatever was asked.
    """
    told = [fault for fault in faults if fault.severity == "error" or fault.rule in _ALWAYS]
    report(told)
    rest = len(faults) - len(told)
    if rest:
        shows = worded("'passport check' shows it") if rest == 1 else worded("'passport check' shows them")
        click.echo(click.style(f"{counted(rest, 'warning')}: {shows}.", fg="yellow"), err=True)


def warn(text: str) -> None:
    """A warning on standard error; nothing for an empty text."""
    if text:
        head = click.style(worded("warning:"), fg="yellow", bold=True)
        click.echo(f"{head} {text}\n", err=True)


@contextmanager
def progress_bar(doing: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on a terminal; nothing when piped."""
    if not sys.stderr.isatty():
        yield lambda done, all_: None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(doing)
        yield lambda done, all_: bar.update(task, completed=done, total=all_)
