"""``passport day``: one private A4 page for the bench."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import click

from passport.acts.picking import pick
from passport.cli.commands.views.due import why
from passport.cli.shared.bench_folder import bench_folder
from passport.cli.shared.common import FOLDER, refuse_place, sound, today, writing
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.records.transaction import atomic
from passport.render.print.pdf import NoPango
from passport.render.sheets.day import DueLine, Racked, day_pdf
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.strings.due import due_list


@click.command(name="day", epilog="Example: passport day content_demo 1042-9 1107-7 --within 14")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frames", nargs=-1, metavar="[NUMBER-OR-NAME] …")
@click.option(
    "--within",
    type=click.IntRange(0, 3650),
    default=14,
    show_default=True,
    metavar="DAYS",
    help="How far to look ahead for who is due.",
)
@click.option("--out", type=FOLDER, help="The file to write; by default bench/day-DATE.pdf beside CONTENT.")
def command(content: Path, frames: tuple[str, ...], within: int, out: Path | None) -> None:
    """Print the day on one A4 page: what is on the rack with its recipes, and who is due, with private contact.

    On the rack are the frames whose record says 'rack: what is wanted', and those named here. The page is written
    outside the public site.
    """
    records = sound(content)
    now = today()
    racked = [e for e in records.frames.values() if e.record.waiting]
    named = [pick(records, text) for text in frames]
    chosen = [*(e for e in named if e.name not in {r.name for r in racked}), *racked]
    gatherer = Gatherer(records)
    target = out or bench_folder(content) / f"day-{now.isoformat()}.pdf"
    refuse_place(target, "--out", content)
    try:
        page = day_pdf(
            gatherer.shop, now, [_racked(records, gatherer, e) for e in chosen], list(_due(records, now, within))
        )
    except NoPango as error:
        raise click.ClickException(str(error)) from None
    with writing(f"'{target}'"):
        target.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(target, page)
    click.echo(f"{target}: {len(chosen)} on the rack. Private: it holds contact data.")


def _racked(records: Content, gatherer: Gatherer, entry: Entry[Frame]) -> Racked:
    player = records.players[entry.name.partition("/")[0]].record
    know = " ".join(filter(None, (player.private_note, entry.record.private_note)))
    return Racked(gatherer.recipe(entry.name), player.full_name or player.name, _wanted(entry.record), know)


def _wanted(frame: Frame) -> str:
    """What was asked, in a line."""
    return (frame.waiting.asked if frame.waiting else "") or "as before"


def _due(records: Content, now: date, within: int) -> Iterator[DueLine]:
    for e in due_list(records, now):
        if e.due and (e.due.day - now).days <= within:
            reach = e.contact.phone or e.contact.email
            yield DueLine(e.due.day, e.number, e.label, e.full_name or e.player, reach, why(e.due.first))
