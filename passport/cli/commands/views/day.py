"""``passport day``: the rack in the order of promises, one private A4 page for the bench."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from passport.acts.orders.day import WITHIN, DaySheet
from passport.cli.shared.bench_folder import bench_folder, write_pdf
from passport.cli.shared.common import FOLDER, refuse_place, sound_part, today
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.render.sheets.day import metres
from passport.render.theme.formats import KEEP, BenchFormats
from passport.workshop.facts.spoken_names import weekday_said
from passport.workshop.orders.needs import StringNeed
from passport.workshop.orders.rack import Done, Waiting
from passport.workshop.orders.wanted import Catalogue, work_wanted


@click.command(
    name="day",
    epilog="Example: passport day content_demo 1042-9 1107-7 --within 14\n\nExample of data: passport day content_demo --json",
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frames", nargs=-1, metavar="[NUMBER-OR-NAME] …")
@click.option(
    "--within",
    type=click.IntRange(0, 3650),
    default=WITHIN,
    show_default=True,
    metavar="DAYS",
    help="How far to look ahead for who is due.",
)
@click.option("--out", type=FOLDER, help="The file to write; by default bench/day-DATE.pdf beside CONTENT.")
@click.option("--json", "as_json", is_flag=True, help="Print the rack as data, and write no page.")
def command(content: Path, frames: tuple[str, ...], within: int, out: Path | None, as_json: bool) -> None:
    """Print the day on one A4 page: the rack in the order of promises, late ones first, with the recipes that are wanted;
    what string all of it takes; what is done and waits to be collected; and who is due, with private contact.

    On the rack are the frames that were taken in ('passport take'), and those named here. The page is written outside
    the public site.
    """
    now = today()
    sheet = DaySheet(sound_part(content, frames, unfinished=True), now, frames)
    records, chosen, needs = sheet.part.records, sheet.chosen, sheet.needs
    if as_json:
        click.echo(json.dumps(_data(records, chosen, needs, sheet.done), ensure_ascii=False, indent=2))
        return
    target = out or bench_folder(content) / f"day-{now.isoformat()}.pdf"
    refuse_place(target, "--out", content)
    language = sheet.gatherer.shop.language
    write_pdf(target, lambda: sheet.pdf(within))
    for one in chosen:
        click.echo(click.style(_line(one, records.catalogue), bold=bool(one.late)))
    for need in needs:
        click.echo(
            f"{need.string}{f', {need.supply}' if need.supply else ''}: {metres(need, BenchFormats(language))}".replace(
                KEEP, " "
            )
        )
    late = sum(bool(one.late) for one in chosen)
    said = worded(", {late} late", late=late) if late else ""
    click.echo(
        worded(
            "{target}: {chosen} on the rack{said}. Private: it holds contact data.",
            target=target,
            chosen=len(chosen),
            said=said,
        )
    )


def _line(one: Waiting, names: Catalogue) -> str:
    """A frame that waits in a line: when it is promised, which it is, what is wanted."""
    frame, order = one.entry.record, one.order
    when = f"{weekday_said(order.promised)} {order.promised.isoformat()}" if order.promised else worded("no promise")
    late = worded(" LATE {late} d", late=one.late) if one.late else ""
    wanted = "; ".join(work_wanted(order, names)) or order.asked or worded("as before")
    return f"{when}{late}  {frame.number or one.entry.name} {frame.label}  {wanted}"


def _data(
    records: Content, chosen: Sequence[Waiting], needs: Sequence[StringNeed], done: Sequence[Done]
) -> dict[str, Any]:
    names = records.catalogue
    return {
        "rack": [_waiting_data(records, one, names) for one in chosen],
        "string": [
            {
                "string": need.string,
                "supply": need.supply,
                "frames": need.frames,
                "metres": round(need.cut.value, 2) if need.frames > need.unknown else None,
                "metres_u": round(need.cut.u, 2) if need.frames > need.unknown else None,
                "frames_of_unknown_length": need.unknown,
                "sets": need.sets if need.supply == "set" else None,
                "left": need.left,
                "short": need.short,
            }
            for need in needs
        ],
        "to_collect": [
            {"frame": one.entry.name, "number": one.entry.record.number, "done": one.job.date.isoformat()}
            for one in done
        ],
    }


def _waiting_data(records: Content, one: Waiting, names: Catalogue) -> dict[str, Any]:
    order, player = one.order, records.players[one.entry.name.partition("/")[0]].record
    return {
        "frame": one.entry.name,
        "number": one.entry.record.number,
        "label": one.entry.record.label,
        "player": player.full_name or player.name,
        "taken": order.taken.isoformat() if order.taken else None,
        "promised": order.promised.isoformat() if order.promised else None,
        "days_late": one.late,
        "asked": order.asked,
        "work": work_wanted(order, names),
        "price": order.price,
    }
