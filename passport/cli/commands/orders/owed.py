"""``passport owed``: what is owed, by whom, since when, with the private contact."""

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from passport.acts.count import counted
from passport.cli.shared.common import FOLDER, sound_part, today
from passport.records.language.worded import numbered, worded
from passport.workshop.orders.owed import Owed, owed_list, totals


@click.command(name="owed", epilog="Example: passport owed content_demo --json")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--json", "as_json", is_flag=True, help="Print the list as data, for a reminder or an invoice.")
def command(content: Path, as_json: bool) -> None:
    """List what is owed for frames that were handed back, the oldest first, and how to reach the players.

    It adds up amounts that say their currency, and no others; it is no till. The list holds private contact data: keep it
    at the bench. 'passport handover NUMBER --paid …' settles one.
    """
    now, entries = today(), owed_list(sound_part(content, unfinished=True).records)
    if as_json:
        click.echo(json.dumps([_data(entry, now) for entry in entries], ensure_ascii=False, indent=2))
        return
    if entries:
        Console().print(_table(entries, now))
    click.echo(_sum(entries))


def _sum(entries: Sequence[Owed]) -> str:
    if not entries:
        return worded("Nothing is owed.")
    sums = totals(entries)
    said = [
        f"{currency}{amount}" if len(currency) == 1 else f"{amount} {currency}" for currency, amount in sums.items()
    ]
    unread = [entry.owed for entry in entries if entry.amount is None]
    line = (
        worded("{counted} owed for: {said} in all.", counted=counted(len(entries), "job"), said=" and ".join(said))
        if said
        else worded("{counted} owed for{said} in all.", counted=counted(len(entries), "job"), said=" and ".join(said))
    )
    more = numbered(
        len(unread),
        " Not added up, since it says no amount: {unread}.",
        " Not added up, since they say no amount: {unread}.",
        unread="; ".join(unread),
    )
    return line + (more if unread else "")


def _table(entries: Sequence[Owed], now: date) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    for name in (worded("Handed back"), worded("Frame"), worded("Player"), worded("Owed")):
        table.add_column(name, no_wrap=name in ("Handed back", "Player"), overflow="fold")
    for e in entries:
        since = (e.handed.isoformat(), worded("{days} d ago", days=(now - e.handed).days)) if e.handed else ("–",)
        frame = (e.number or e.frame, e.label, f"{e.work} {e.done.isoformat()}")
        player = filter(
            None, (e.full_name, e.contact.phone, e.contact.email, worded("to {to}", to=e.to) if e.to else "")
        )
        owed = filter(
            None,
            (
                e.owed,
                worded("price {price}", price=e.price) if e.price else "",
                worded("paid {paid}", paid=e.paid) if e.paid else "",
            ),
        )
        table.add_row(*("\n".join(lines) for lines in (since, frame, player, owed)))
        table.add_row()
    return table


def _data(entry: Owed, now: date) -> dict[str, Any]:
    amount = entry.amount
    return {
        "frame": entry.frame,
        "number": entry.number,
        "label": entry.label,
        "player": entry.player,
        "full_name": entry.full_name,
        "language": entry.language.partition(":")[0],
        "email": entry.contact.email,
        "phone": entry.contact.phone,
        "address": entry.contact.address,
        "work": entry.work,
        "done": entry.done.isoformat(),
        "handed": entry.handed.isoformat() if entry.handed else None,
        "days": (now - entry.handed).days if entry.handed else None,
        "to": entry.to,
        "price": entry.price,
        "paid": entry.paid,
        "owed": entry.owed,
        "amount": str(amount[1]) if amount else None,
        "currency": amount[0] if amount else None,
    }
