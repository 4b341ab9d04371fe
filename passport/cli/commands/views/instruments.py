"""``passport instruments``: how sure the bench is, on one private A4 page."""

import json
from datetime import date
from pathlib import Path
from typing import Any

import click

from passport.acts.clock import today
from passport.cli.shared.bench_folder import bench_folder, write_pdf
from passport.cli.shared.common import FOLDER, refuse_place, sound_part
from passport.records.language.worded import spoken, worded
from passport.render.sheets.sureness import said, sureness_pdf
from passport.render.theme.formats import BenchFormats, Formats
from passport.workshop.facts.spoken_names import name_said
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.gathering.sureness import Sureness, sureness


@click.command(name="instruments", epilog="Example: passport instruments content_demo")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--json", "as_json", is_flag=True, help="Print it as data, and write no page.")
@click.option("--out", type=FOLDER, help="The file to write; by default bench/how-sure-DATE.pdf beside CONTENT.")
def command(content: Path, as_json: bool, out: Path | None) -> None:
    """Say how sure this bench is: its instruments, their checks, and which one to check next.

    Writes one private A4 page with a chart for each instrument: its corrections over time, when it was last compared
    with something known, and which verdicts are undecided because of it. Everything comes from the records.
    """
    part = sound_part(content)
    records = part.records
    found = sureness(records, today(), part.known.figures if part.known else None)
    if as_json:
        click.echo(json.dumps(data(found), ensure_ascii=False, indent=2))
        return
    target = out or bench_folder(content) / f"how-sure-{found.day.isoformat()}.pdf"
    refuse_place(target, "--out", content)
    shop = Gatherer(records).shop
    _show(found, BenchFormats(spoken()))
    write_pdf(target, lambda: sureness_pdf(shop, found))
    click.echo(worded("\n{target}: private, for the bench.", target=target))


def _show(found: Sureness, f: Formats) -> None:
    for tool in found.tools:
        kind = name_said(tool.kind)
        click.echo(f"{kind[:1].upper()}{kind[1:]}, {tool.name}")
        for text in said(tool, found, f):
            click.echo(f"  {text}")
    for close in found.close:
        click.echo(
            worded(
                "Too close to call: {frame}, {quantity}. {settled}",
                frame=close.frame,
                quantity=name_said(close.quantity),
                settled=close.settled,
            )
        )
    if found.first:
        click.echo(worded("Check next: the {kind}; {why}.", kind=name_said(found.first.kind), why=found.why))


def data(found: Sureness) -> dict[str, Any]:
    """The page as data."""
    return {
        "day": found.day.isoformat(),
        "check_next": found.first.kind if found.first else None,
        "why": found.why,
        "verdicts": found.verdicts,
        "instruments": [
            {
                "kind": tool.kind,
                "name": tool.name,
                "unit": tool.unit,
                "due": _day(tool.due),
                "figures": tool.frames,
                "undecided_because_of_it": [{"frame": u.frame, "quantity": u.quantity} for u in tool.undecided],
                "checks": [
                    {
                        "date": look.day.isoformat(),
                        "known": look.known,
                        "reads": look.reads,
                        "correction": round(look.correction, 4),
                        "u_correction": round(look.u, 4),
                    }
                    for look in tool.looks
                ],
            }
            for tool in found.tools
        ],
        "too_close_to_call": [{"frame": c.frame, "quantity": c.quantity, "settled_by": c.settled} for c in found.close],
    }


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None
