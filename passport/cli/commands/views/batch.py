"""``passport batch``: every frame that a batch of string was put into."""

import json
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from passport.acts.count import counted
from passport.acts.stock import carriers, players_with
from passport.cli.shared.common import FOLDER, sound_part
from passport.records.language.worded import worded
from passport.records.load import Content


@click.command(name="batch", epilog="Example: passport batch content_demo BP26-09")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("batch")
@click.option("--now", "in_now", is_flag=True, help="Only frames that carry it now.")
@click.option("--json", "as_json", is_flag=True, help="Print the list as data.")
def command(content: Path, batch: str, in_now: bool, as_json: bool) -> None:
    """List every frame that the string of BATCH was put into, as the jobs name it: when, where, and if it is in it now.

    For when a maker calls a batch back, or one plays oddly. Whose frames these are is private: keep the list at the bench.
    """
    records = _named(content, batch)
    found: list[dict[str, Any]] = []
    for entry, days, now in carriers(records, batch):
        player = records.players.get(entry.name.partition("/")[0])
        owner = player.record if player else None
        for day, side, string in days:
            found.append(
                {
                    "frame": entry.name,
                    "number": entry.record.number,
                    "label": entry.record.label,
                    "status": entry.record.status,
                    "player": (owner.full_name or owner.name) if owner else "",
                    "date": day.isoformat(),
                    "side": side,
                    "string": string,
                    "now": now and day == days[-1][0] and entry.record.status in ("active", "lost"),
                }
            )
    shown = [row for row in sorted(found, key=lambda row: (row["date"], row["frame"])) if row["now"] or not in_now]
    if as_json:
        click.echo(json.dumps(shown, ensure_ascii=False, indent=2))
        return
    if shown:
        Console().print(_table(shown))
    frames = len({row["frame"] for row in shown})
    carry = len({row["frame"] for row in found if row["now"]})
    if not found:
        click.echo(worded("No job names the batch '{batch}'.", batch=batch))
    else:
        jobs = counted(len({(row["frame"], row["date"]) for row in shown}), "job")
        click.echo(
            worded(
                "{counted} in {jobs}; {carry} of them carry it now.",
                counted=counted(frames, "frame"),
                jobs=jobs,
                carry=carry,
            )
        )


def _named(content: Path, batch: str) -> Content:
    """The records of the players whose frames had a batch of string put in; of all where nothing is remembered."""
    part = sound_part(content)
    return part.known.read(players_with(part.known.book, batch)) if part.known else part.records


def _table(rows: list[dict[str, Any]]) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    for name in (worded("Strung"), worded("Frame"), worded("Player"), worded("String"), ""):
        table.add_column(name, no_wrap=name == "Strung", overflow="fold")
    for row in rows:
        side = "" if row["side"] == "all strings" else f", {row['side']}"
        state = (
            worded("in it now")
            if row["now"]
            else row["status"]
            if row["status"] != "active"
            else worded("cut out since")
        )
        frame = f"{row['number'] or row['frame']} {row['label']}"
        table.add_row(row["date"], frame, row["player"], f"{row['string']}{side}", state)
    return table
