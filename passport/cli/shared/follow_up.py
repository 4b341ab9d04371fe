"""What follows a job: the site brought up to date where one stands, and the card that goes into the bag."""

from pathlib import Path

import click

from passport.acts.printing import make_card
from passport.acts.refused import Faulty, Refused
from passport.cli.shared.bench_folder import bench_folder, shown
from passport.cli.shared.building import build_as_before
from passport.cli.shared.dialogue import patience
from passport.cli.shared.folder import site_of
from passport.cli.shared.printed import in_short
from passport.publish.folder.foreign import MARK
from passport.records.language.worded import worded
from passport.records.load import Content


def follow_up(records: Content, name: str, site: Path | None) -> None:
    """After a job: bring the site up to date where one stands, and name the card to print; or say why there is none.

    ``records`` need hold no more than the player of the frame. Without a site the card is made into the bench folder.
    """
    frame = records.frames[name].record
    if not frame.number or not frame.key:
        click.echo(
            worded("No card yet: it has no number. Next: passport issue {root} {name}", root=records.root, name=name)
        )
        return
    site = site or site_of(records.root)
    if (site / MARK).is_file():
        updated = _update(records.root, site)
        card = site / frame.key / f"card-{frame.number}.pdf"
        if updated and card.is_file():
            click.echo(worded("Card to print: {card}", card=shown(card)))
        elif updated and frame.status == "active":
            _make_card(records, name)
        elif updated:
            click.echo(worded("{number} has no card: it is marked {status}.", number=frame.number, status=frame.status))
        return
    _make_card(records, name)
    click.echo(worded("For its page: passport build {root} --out {site}", root=records.root, site=site))


def _update(content: Path, site: Path) -> bool:
    """Bring a site up to date as it was built before; False, with a word on it, where that cannot be done."""
    try:
        done = build_as_before(content, site)
    except Refused as refused:
        in_short(refused.faults if isinstance(refused, Faulty) else ())
        click.echo(
            str(refused) if isinstance(refused, Faulty) else worded("Error: {refused}", refused=refused),
            err=True,
            nl=bool(str(refused)),
        )
        done = False
    if not done:
        click.echo(
            worded("The job is on record, but '{site}' is not brought up to date, for the reason above.", site=site),
            err=True,
        )
    return done


def _make_card(records: Content, name: str) -> None:
    try:
        with patience(worded("Making the card …")):
            path = make_card(records, name, bench_folder(records.root))
    except Refused as refused:
        click.echo(str(refused), err=True)
        return
    click.echo(worded("Card to print: {path}", path=shown(path)))
