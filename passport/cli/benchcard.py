"""The card of one frame, made at once and put into the private bench folder, so that it can go into the bag."""

from pathlib import Path

import click

from passport.bench.gather import Gatherer, public
from passport.cli.common import checked
from passport.cli.dialogue import patience
from passport.publish import atomic
from passport.records.faults import has_errors
from passport.records.load import Content

FOLDER_NAME = "bench"


def bench_folder(content: Path) -> Path:
    """The private folder beside the content, where cards and sheets for the bench are put; no part of the site."""
    return content.resolve().parent / FOLDER_NAME


def make_card(records: Content, name: str) -> None:
    """Make a frame's card and say where it is and what comes next; or why there is none."""
    entry = records.frames[name]
    number = entry.record.number
    if not number or not entry.record.key:
        click.echo(f"No card yet: it has no number. Next: passport issue {records.root} {name}")
        return
    from passport.render import pdf  # WeasyPrint takes a second to import

    problem = pdf.available()
    if problem or records.unread or has_errors(checked(records)):
        why = problem or "The card was not made: there are errors in the records, which 'passport check' shows."
        click.echo(why, err=True)
        return
    path = bench_folder(records.root) / f"card-{number}.pdf"
    try:
        with patience(f"Making the card of {number} …"):
            data = _card(records, name)
        path.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(path, data)
    except OSError as error:
        click.echo(f"The card could not be written: {error}.", err=True)
        return
    click.echo(f"Card to print: {_shown(path)}")
    click.echo(f"For its page: passport build {records.root} --out site")


def _card(records: Content, name: str) -> bytes:
    from passport.render.card import card_pdf  # as above

    gatherer = Gatherer(public(records))
    return card_pdf(gatherer.frame(name), gatherer.shop)


def _shown(path: Path) -> Path:
    """A path as short as it can be typed from here."""
    try:
        return path.relative_to(Path.cwd())
    except ValueError:
        return path
