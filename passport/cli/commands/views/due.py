"""``passport due``: who is due for restringing, in order, with the private contact."""

import json
import shutil
import textwrap
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import zip_longest
from pathlib import Path
from typing import Any, Final

import click

from passport.acts.clock import today
from passport.acts.count import counted
from passport.acts.frames.due import DueList, due_in, why
from passport.cli.shared.folder import FOLDER
from passport.cli.shared.printed import in_short
from passport.records.faults import columns
from passport.records.language.worded import numbered, worded
from passport.workshop.strings.due import DueEntry

_MOST: Final = 40
"""Frames that the table lists where nobody said how many: those of some weeks, and what can be looked through."""
_NARROW: Final = 12
"""Columns that what may be wrapped has at least."""


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
@click.option(
    "--most",
    type=click.IntRange(1),
    metavar="FRAMES",
    help=f"How many to list, the most urgent first.  [default: {_MOST}; with --all or --json every one]",
)
@click.option("--json", "as_json", is_flag=True, help="Print the list as data.")
def command(content: Path, within: int, everyone: bool, most: int | None, as_json: bool) -> None:
    """List the frames of CONTENT that are due for restringing, the most urgent first, and how to reach the players.

    The day follows from how often the player plays, from the predicted loss of tension, and from the hours played, as
    far as these are known; the earliest day counts. 'passport tell --due' tells the players. The list holds private
    contact data: keep it at the bench.
    """
    now = today()
    most = most if most or everyone or as_json else _MOST
    found = due_in(content, now, lambda row: everyone or bool(row.due and (row.due.day - now).days <= within), most)
    in_short(found.faults)
    if as_json:
        click.echo(json.dumps([_data(e, now) for e in found.entries], ensure_ascii=False, indent=2))
        return
    if found.entries:
        click.echo("\n".join(_table(found.entries, now)))
    click.echo("\n".join(_rest(found, within)))


def _rest(found: DueList, within: int) -> Iterator[str]:
    """What the table does not show."""
    entries = found.rows
    if len(found.entries) < found.wanted:
        yield worded(
            "The {entries} most urgent of them are listed; --most {wanted} lists all.",
            entries=len(found.entries),
            wanted=found.wanted,
        )
    if found.wanted == len(entries):
        yield worded("{counted} in play.", counted=counted(len(entries), "strung frame"))
        return
    undated = sum(e.due is None for e in entries)
    strung, days = counted(len(entries), "strung frame"), counted(within, "day")
    yield numbered(
        found.wanted,
        "{count} of {strung} in play is due within {days}.",
        "{count} of {strung} in play are due within {days}.",
        strung=strung,
        days=days,
    )
    if undated:
        yield numbered(
            undated,
            "{count} has no due date: note how often its player plays ('plays_a_week'). --all lists them.",
            "{count} have no due date: note how often these players play ('plays_a_week'). --all lists them.",
        )


def _table(entries: Sequence[DueEntry], now: date) -> Iterator[str]:
    """Four columns that fit a terminal of 80; an address is never broken."""
    rows = [_cells(entry, now) for entry in entries]
    heads = (worded("Due"), worded("Frame"), worded("Player"), worded("Why"))
    due, frame, player, because = (
        max(map(columns, (head, *(line for row in rows for line in row[at])))) for at, head in enumerate(heads)
    )
    room = shutil.get_terminal_size().columns - due - player - 2 * (len(heads) - 1)
    because = min(because, max(_NARROW, room // 2, room - frame))
    widths = (due, min(frame, max(_NARROW, room - because)), player, because)
    yield click.style(_line(heads, widths), bold=True)
    for entry, row in zip(entries, rows, strict=True):
        late = bool(entry.due and entry.due.day <= now)
        wrapped = (_wrapped(lines, width) for lines, width in zip(row, widths, strict=True))
        yield from (click.style(_line(line, widths), bold=late) for line in zip_longest(*wrapped, fillvalue=""))
        yield ""


def _cells(e: DueEntry, now: date) -> tuple[tuple[str, ...], ...]:
    """The lines of each column of a row."""
    due = (e.due.day.isoformat(), _distance(e.due.day, now)) if e.due else ("–",)
    frame = (e.number or e.frame, e.label, worded("strung {strung}", strung=e.strung))
    player = tuple(filter(None, (e.full_name, e.contact.phone, e.contact.email, _said(e))))
    return (
        due,
        frame,
        player,
        (why(e.due.first) if e.due else worded("nothing noted"), worded("{left:.0f} % left", left=100 * e.left.value)),
    )


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    padded = (cell + " " * (width - columns(cell)) for cell, width in zip(cells, widths, strict=True))
    return "  ".join(padded).rstrip()


def _wrapped(lines: Sequence[str], width: int) -> list[str]:
    """Lines that are broken between words where they are too long."""
    broken = (textwrap.wrap(one, width, break_on_hyphens=False) if columns(one) > width else [one] for one in lines)
    return [line for parts in broken for line in parts]


def _said(entry: DueEntry) -> str:
    """Whether the player was told of it, or wants no messages."""
    if not entry.messages:
        return worded("wants no messages")
    return worded("told {told}", told=entry.told) if entry.told else ""


def _distance(day: date, now: date) -> str:
    days = (day - now).days
    return (
        worded("today")
        if days == 0
        else worded("in {days} d", days=days)
        if days > 0
        else worded("{days} d ago", days=-days)
    )


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
