"""``passport due``: who is due for restringing, in order, with the private contact."""

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from passport.acts.count import counted
from passport.acts.frames.due import due_in
from passport.cli.shared.common import FOLDER, today
from passport.cli.shared.printed import in_short
from passport.workshop.facts.bedfacts import DueReason
from passport.workshop.strings.due import DueEntry, DueRow


@click.command(name="due", epilog="Example: passport due content_demo --within 30")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option(
    "--within",
    type=click.IntRange(0, 3650),
    default=14,
    show_default=True,
    metavar="DAYS",
    help="How far to look ahead.",
)
@click.option("--all", "everyone", is_flag=True, help="List every strung frame in play.")
@click.option("--json", "as_json", is_flag=True, help="Print the list as data.")
def command(content: Path, within: int, everyone: bool, as_json: bool) -> None:
    """List the frames of CONTENT that are due for restringing, the most urgent first, and how to reach the players.

    The day follows from how often the player plays, from the predicted loss of tension, and from the hours played, as
    far as these are known; the earliest day counts. 'passport tell --due' tells the players. The list holds private
    contact data: keep it at the bench.
    """
    now = today()
    found = due_in(content, now, lambda row: everyone or bool(row.due and (row.due.day - now).days <= within))
    in_short(found.faults)
    entries, shown = found.rows, found.entries
    if as_json:
        click.echo(json.dumps([_data(e, now) for e in shown], ensure_ascii=False, indent=2))
        return
    if shown:
        Console().print(_table(shown, now))
    click.echo(_rest(entries, shown, within))


def _rest(entries: Sequence[DueRow], shown: Sequence[DueEntry], within: int) -> str:
    """What the table does not show."""
    if len(shown) == len(entries):
        return f"{counted(len(entries), 'strung frame')} in play."
    undated = sum(e.due is None for e in entries)
    verb = "is" if len(shown) == 1 else "are"
    strung, days = counted(len(entries), "strung frame"), counted(within, "day")
    lines = [f"{len(shown)} of {strung} in play {verb} due within {days}."]
    if undated:
        one = undated == 1
        none, who = ("has no due date", "its player plays") if one else ("have no due date", "these players play")
        lines.append(f"{undated} {none}: note how often {who} ('plays_a_week'). --all lists them.")
    return "\n".join(lines)


def _table(entries: Sequence[DueEntry], now: date) -> Table:
    """Four columns that fit a terminal of 80; an address is never broken."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for name in ("Due", "Frame", "Player", "Why"):
        table.add_column(name, no_wrap=name in ("Due", "Player"), overflow="fold")
    for e in entries:
        due = (e.due.day.isoformat(), _distance(e.due.day, now)) if e.due else ("–",)
        frame = (e.number or e.frame, e.label, f"strung {e.strung.isoformat()}")
        player = filter(None, (e.full_name, e.contact.phone, e.contact.email, _said(e)))
        because = (why(e.due.first) if e.due else "nothing noted", f"{100 * e.left.value:.0f} % left")
        style = "bold" if e.due and e.due.day <= now else ""
        table.add_row(*("\n".join(lines) for lines in (due, frame, player, because)), style=style)
        table.add_row()
    return table


def _said(entry: DueEntry) -> str:
    """Whether the player was told of it, or wants no messages."""
    if not entry.messages:
        return "wants no messages"
    return f"told {entry.told.isoformat()}" if entry.told else ""


def _distance(day: date, now: date) -> str:
    days = (day - now).days
    return "today" if days == 0 else f"in {days} d" if days > 0 else f"{-days} d ago"


def why(reason: DueReason) -> str:
    """A reason in words."""
    match reason.kind:
        case "plays":
            return f"plays {reason.amount:g} a week"
        case "loss":
            return f"{100 * reason.amount:g} % of the fresh tension gone"
        case "hours":
            return f"{reason.amount / 60:g} h played, at {reason.weekly / 60:.1f} h a week"


def _data(entry: DueEntry, now: date) -> dict[str, Any]:
    reasons = entry.due.reasons if entry.due else ()
    return {
        "frame": entry.frame,
        "number": entry.number,
        "label": entry.label,
        "model": entry.model,
        "player": entry.player,
        "full_name": entry.full_name,
        "email": entry.contact.email,
        "phone": entry.contact.phone,
        "address": entry.contact.address,
        "messages": entry.messages,
        "told": entry.told.isoformat() if entry.told else None,
        "strung": entry.strung.isoformat(),
        "due": entry.due.day.isoformat() if entry.due else None,
        "days": (entry.due.day - now).days if entry.due else None,
        "reasons": [{"kind": r.kind, "day": r.day.isoformat(), "why": why(r)} for r in reasons],
        "left_percent": round(100 * entry.left.value, 1),
        "left_percent_band": [round(100 * entry.left.low, 1), round(100 * entry.left.high, 1)],
    }
