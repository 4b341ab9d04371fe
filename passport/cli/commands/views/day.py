"""``passport day``: the rack in the order of promises, one private A4 page for the bench."""

import json
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click

from passport.acts.frames.due import due_in
from passport.acts.picking import pick
from passport.acts.reading import SoundPart
from passport.acts.stock import who_took
from passport.cli.commands.views.due import why
from passport.cli.shared.bench_folder import bench_folder, write_pdf
from passport.cli.shared.common import FOLDER, refuse_place, sound_part, today
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import Order, Stringing
from passport.render.sheets.day import MOST_DUE, DueLine, Racked, day_pdf, metres
from passport.render.theme.formats import KEEP, BenchFormats
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.needs import StringNeed, string_needs, with_stock
from passport.workshop.orders.rack import Done, Waiting, as_wanted, rack, to_collect
from passport.workshop.orders.wanted import Catalogue, findings, recipe_words, work_wanted
from passport.workshop.stockroom.supply import StockSupply
from passport.workshop.strings.due import DueRow


@click.command(
    name="day",
    epilog="Example: passport day content_demo 1042-9 1107-7 --within 14\n\nExample of data: passport day content_demo --json",
)
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
@click.option("--json", "as_json", is_flag=True, help="Print the rack as data, and write no page.")
def command(content: Path, frames: tuple[str, ...], within: int, out: Path | None, as_json: bool) -> None:
    """Print the day on one A4 page: the rack in the order of promises, late ones first, with the recipes that are wanted;
    what string all of it takes; what is done and waits to be collected; and who is due, with private contact.

    On the rack are the frames that were taken in ('passport take'), and those named here. The page is written outside
    the public site.
    """
    part, now = sound_part(content, frames, unfinished=True), today()
    records = part.records
    waiting = rack(records, now)
    there = {one.entry.name for one in waiting}
    named = {e.name: e for e in (pick(records, text) for text in frames) if e.name not in there}
    chosen = [*waiting, *(Waiting(entry, Order(), 0) for entry in named.values())]
    gatherer = Gatherer(as_wanted(records, now), part.priors)
    needs = string_needs(gatherer.recipe(one.entry.name) for one in chosen if one.restrung)
    if records.lots and needs:
        took = who_took(records, {need.of for need in needs}) if part.known else records
        needs = with_stock(needs, StockSupply(took))
    done = to_collect(records)
    if as_json:
        click.echo(json.dumps(_data(records, chosen, needs, done), ensure_ascii=False, indent=2))
        return
    target = out or bench_folder(content) / f"day-{now.isoformat()}.pdf"
    refuse_place(target, "--out", content)
    racked = [_racked(records, gatherer, one) for one in chosen]
    (due, in_all), collect = _due(part, content, now, within), list(_collect(records, done))
    write_pdf(target, lambda: day_pdf(gatherer.shop, now, racked, due, needs, collect, in_all))
    for one in chosen:
        click.echo(click.style(_line(one, records.catalogue), bold=bool(one.late)))
    for need in needs:
        click.echo(
            f"{need.string}{f', {need.supply}' if need.supply else ''}: {metres(need, BenchFormats(gatherer.shop.language))}".replace(
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
    when = f"{order.promised:%a} {order.promised.isoformat()}" if order.promised else worded("no promise")
    late = worded(" LATE {late} d", late=one.late) if one.late else ""
    wanted = "; ".join(work_wanted(order, names)) or order.asked or worded("as before")
    return f"{when}{late}  {frame.number or one.entry.name} {frame.label}  {wanted}"


def _racked(records: Content, gatherer: Gatherer, one: Waiting) -> Racked:
    entry, order, names = one.entry, one.order, records.catalogue
    player = records.players[entry.name.partition("/")[0]].record
    seen = findings(order.condition)
    know = " ".join(
        filter(
            None, (f"{', '.join(seen)}." if seen else "", order.note, player.private_note, entry.record.private_note)
        )
    )
    work = work_wanted(order.model_copy(update={"strings": None}), names)
    wants = "; ".join(filter(None, (order.asked, *work))) or worded("as before")
    last = next((job.strings for job in reversed(entry.record.jobs) if job.strings), None)
    return Racked(
        gatherer.recipe(entry.name),
        player.full_name or player.name,
        wants,
        know,
        order.promised,
        one.late,
        one.restrung,
        _before(order.strings, last, names) if one.restrung else recipe_words(last, names) if last else "",
        worded("Crack found: do not string.") if order.condition.crack == "found" else "",
    )


def _before(wanted: Stringing | None, last: Stringing | None, names: Catalogue) -> str:
    """The tensions that are in the frame, or the whole recipe, where another one is wanted."""
    if wanted is None or last is None:
        return ""
    old, new = recipe_words(last, names), recipe_words(wanted, names)
    if old == new:
        return ""
    if [s.string for s in last.both] == [s.string for s in wanted.both]:
        return " / ".join(dict.fromkeys(s.tension.text for s in last.both))
    return old


def _collect(records: Content, done: Sequence[Done]) -> Iterator[str]:
    """The frames that wait to be collected, each in a few words."""
    for one in done:
        player = records.players[one.entry.name.partition("/")[0]].record
        frame = one.entry.record
        yield worded(
            "{frame} {label}, {player}, done {date}",
            frame=frame.number or one.entry.name,
            label=frame.label,
            player=player.full_name or player.name,
            date=one.job.date,
        )


def _due(part: SoundPart, content: Path, now: date, within: int) -> tuple[list[DueLine], int]:
    """The most urgent of who is due, as many as a page holds, and how many there are in all."""

    def wanted(row: DueRow) -> bool:
        here = part.records.frames.get(row.frame)  # all that wait were read
        return bool(row.due and (row.due.day - now).days <= within) and not (here and here.record.waiting)

    found = due_in(content, now, wanted, MOST_DUE, part)
    lines = [
        DueLine(
            e.due.day, e.number, e.label, e.full_name or e.player, e.contact.phone or e.contact.email, why(e.due.first)
        )
        for e in found.entries
        if e.due
    ]
    return lines, found.wanted


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
