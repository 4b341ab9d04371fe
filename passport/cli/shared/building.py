"""A site made from the terminal, and what is said meanwhile."""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from passport.acts.clock import today
from passport.acts.count import counted
from passport.acts.site import Means, NoCards, from_disk, up_to_date_site, without_cards
from passport.cli.shared.printed import in_short, warn
from passport.publish.cache.up_to_date import BuildOrder, Report
from passport.records.language.worded import worded

if TYPE_CHECKING:
    from passport.publish.build.run import Progress


class OnTerminal:
    """A person at a terminal: words on standard error, and a bar where a terminal is."""

    def say(self, words: str) -> None:
        """A word on what is waited for."""
        click.echo(words, err=True)

    def warn(self, words: str) -> None:
        """Something that a person should look at; nothing for an empty text."""
        warn(words)

    @contextmanager
    def progress(self) -> Iterator["Progress"]:
        """One progress bar with what is being made and how long is left; nothing where no terminal is."""
        if not sys.stderr.isatty():
            yield lambda said, done, total: None
            return
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

        columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
        with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
            task = bar.add_task("", total=None)
            yield lambda said, done, total: bar.update(task, description=said, completed=done, total=total)


def build_site(content: Path, out: Path, *, cards: bool, from_disk: bool, means: Means | None = None) -> bool:
    """Bring a site up to date and say what was done; False where the cards could not be made. Raises Refused."""
    start = time.monotonic()
    if not os.path.isfile(content / "workshop.yaml"):  # noqa: PTH113 - False in a closed folder, where Path raises
        from passport.acts.reading import sound

        sound(content)
    order = BuildOrder(content, out, today(), cards, "index.html" if from_disk else "")
    means, problem = means or Means(), ""
    try:
        report = up_to_date_site(order, means, OnTerminal())
    except NoCards as error:
        problem = str(error)
        report = up_to_date_site(replace(order, cards=False), means, OnTerminal())
    _tell(report)
    _summary(report, time.monotonic() - start)
    click.echo(
        worded("Open {out} in a browser.", out=out / "index.html")
        if from_disk
        else worded("Look at it with: passport preview {content}", content=content)
    )
    if problem:
        click.echo(f"\n{problem}", err=True)
    return not problem


def build_as_before(content: Path, out: Path) -> bool:
    """Bring a site up to date as it was built before, with cards where there is none; as `build_site`."""
    cards = not out.exists() or not without_cards(out)
    return build_site(content, out, cards=cards, from_disk=from_disk(out))


def _tell(report: Report) -> None:
    """Say what was noticed in the records."""
    in_short(report.faults)


def _summary(report: Report, seconds: float) -> None:
    made = (
        worded("nothing changed")
        if not report.made
        else worded("{made} made anew", made=report.made)
        if report.made < report.files
        else ""
    )
    sums = {
        "counted": counted(report.frames, "passport"),
        "counted2": counted(report.players, "player page"),
        "counted3": counted(report.cards, "card"),
        "counted4": counted(report.files, "file"),
        "size": report.size / 1e6,
        "seconds": seconds,
    }
    click.echo(
        worded(
            "{counted} and {counted2}, {counted3}: {counted4}, {size:.1f} MB in {seconds:.1f} s, {made}.",
            **sums,
            made=made,
        )
        if made
        else worded("{counted} and {counted2}, {counted3}: {counted4}, {size:.1f} MB in {seconds:.1f} s.", **sums)
    )
