"""``passport build``: write the public site and the cards."""

import sys
import time
from pathlib import Path

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from passport.bench.facts import SiteFacts
from passport.bench.gather import site_facts
from passport.cli.addresses import closed_addresses, write_down
from passport.cli.common import FOLDER, sound
from passport.publish.site import Built, Card, build
from passport.publish.swap import NotOurs, refuse_foreign


@click.command(name="build", epilog="Example: passport build content_demo --out site")
@click.argument("content", type=FOLDER)
@click.option("--out", type=FOLDER, default=Path("site"), show_default=True, help="The folder to write.")
@click.option("--no-cards", is_flag=True, help="Write the pages only, without the PDF cards.")
@click.option("--from-disk", is_flag=True, help="Make links that also work when the pages are opened without a server.")
def command(content: Path, out: Path, no_cards: bool, from_disk: bool) -> None:
    """Build the public site of CONTENT: a page for each frame and player, cards, reminders, data.

    The new site is made beside the old one and takes its place when it is whole.
    """
    records = sound(content)
    closed = closed_addresses(records, out)
    card, problem = (None, "") if no_cards else _card_maker()
    start = time.monotonic()
    try:
        refuse_foreign(out)
        write_down(records)
        built = _run(site_facts(records), out, card, "index.html" if from_disk else "", closed)
    except NotOurs as error:
        do = "Name another folder with --out, or empty this one yourself."
        raise click.ClickException(f"{error}\n  It is left as it is. {do}") from None
    except OSError as error:
        raise click.ClickException(f"The site could not be written: {error}.\n  '{out}' is as it was.") from None
    _summary(built, out, time.monotonic() - start)
    if problem:
        click.echo(f"\n{problem}", err=True)
        sys.exit(1)


def _card_maker() -> tuple[Card | None, str]:
    """The maker of cards, or what to install where cards cannot be made."""
    from passport.render import pdf  # WeasyPrint takes a second to import, pages alone do not need it

    problem = pdf.available()
    if problem:
        return None, problem
    from passport.render.card import card_pdf  # as above

    return card_pdf, ""


def _run(site: SiteFacts, out: Path, card: Card | None, index: str, closed: tuple[str, ...]) -> Built:
    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("", total=None)

        def progress(name: str, done: int, total: int) -> None:
            bar.update(task, description=name, completed=done, total=total)

        return build(site, out, card=card, index=index, progress=progress, closed=closed)


def _summary(built: Built, out: Path, seconds: float) -> None:
    click.echo(
        f"{built.frames} passports and {built.players} player pages, {built.cards} cards: {built.files} files, "
        f"{built.size / 1e6:.1f} MB in {seconds:.1f} s.\nOpen {out / 'index.html'} in a browser."
    )
