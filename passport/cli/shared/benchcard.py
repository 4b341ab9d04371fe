"""What follows a job: the site brought up to date where one stands, and the card that goes into the bag."""

import re
from pathlib import Path

import click

from passport.cli.shared.common import checked
from passport.cli.shared.dialogue import patience
from passport.publish.folder.swap import MARK
from passport.records.faults import has_errors
from passport.records.load import Content, load
from passport.records.transaction import atomic
from passport.workshop.gathering.gather import Gatherer, public, secrets_of

FOLDER_NAME = "bench"


def bench_folder(content: Path) -> Path:
    """The private folder beside the content, where cards and sheets for the bench are put; no part of the site."""
    return content.resolve().parent / FOLDER_NAME


def follow_up(records: Content, name: str, site: Path | None) -> None:
    """After a job: bring the site up to date where one stands, and name the card to print; or say why there is none.

    ``records`` need hold no more than the player of the frame. Without a site the card is made into the bench folder.
    """
    frame = records.frames[name].record
    if not frame.number or not frame.key:
        click.echo(f"No card yet: it has no number. Next: passport issue {records.root} {name}")
        return
    site = site or Path("site")
    if (site / MARK).is_file():
        updated = _update(records.root, site)
        card = site / frame.key / f"card-{frame.number}.pdf"
        if updated and card.is_file():
            click.echo(f"Card to print: {_shown(card)}")
        elif updated and frame.status == "active":
            _make_card(records, name)
        elif updated:
            click.echo(f"{frame.number} has no card: it is marked {frame.status}.")
        return
    _make_card(records, name)
    click.echo(f"For its page: passport build {records.root} --out {site}")


def _update(content: Path, site: Path) -> bool:
    """Bring a site up to date as it was built before; False, with a word on it, where that cannot be done."""
    from passport.cli.commands.workshop.build import command as build  # pages and charts come with it

    context = click.get_current_context()
    try:
        context.invoke(build, content=content, out=site, from_disk=_from_disk(site), no_cards=_no_cards(site))
    except (click.ClickException, SystemExit) as error:
        if isinstance(error, click.ClickException):
            error.show()
        elif not error.code:
            return True
        click.echo(f"The job is on record, but '{site}' is not brought up to date, for the reason above.", err=True)
        return False
    return True


def _from_disk(site: Path) -> bool:
    """Whether the links of a site name index.html, so that it can be opened without a server."""
    try:
        return re.search(rb'href="[^":]*/index\.html"', (site / "index.html").read_bytes()) is not None
    except OSError:
        return False


def _no_cards(site: Path) -> bool:
    return not any(site.glob("*/card-*.pdf"))


def _make_card(records: Content, name: str) -> None:
    from passport.render.print import pdf  # WeasyPrint takes a second to import

    problem = pdf.available()
    whole, faults = load(records.root)
    if problem or has_errors([*faults, *checked(whole)]):
        why = problem or "The card was not made: there are errors in the records, which 'passport check' shows."
        click.echo(why, err=True)
        return
    path = bench_folder(records.root) / f"card-{records.frames[name].record.number}.pdf"
    try:
        with patience("Making the card …"):
            data = _card(whole, name)
        path.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(path, data)
    except OSError as error:
        click.echo(f"The card could not be written: {error}.", err=True)
        return
    click.echo(f"Card to print: {_shown(path)}")


def _card(records: Content, name: str) -> bytes:
    from passport.render.print.card import card_pdf  # as above

    gatherer = Gatherer(public(records), secrets=secrets_of(records))
    return card_pdf(gatherer.frame(name), gatherer.shop)


def _shown(path: Path) -> Path:
    """A path as short as it can be typed from here."""
    try:
        return path.resolve().relative_to(Path.cwd())
    except ValueError:
        return path
