"""``passport match``: what makes frames equal."""

import json
import sys
from functools import partial
from pathlib import Path
from typing import Any

import click
from rich.console import Console

from passport.acts.picking import pick
from passport.acts.rebuilding.planned import made_equal, workbench
from passport.cli.shared.benchsheet import SheetOptions, cut_option, refuse_sheet, sheet_options, write_sheet
from passport.cli.shared.common import FOLDER, sound_part


@click.command(name="match", epilog="Example: passport match content_demo askwell/i askwell/ii askwell/iii")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frames", metavar="FRAME FRAME …", nargs=-1, required=True)
@click.option("--to", metavar="FRAME", default="", help="Make the others equal to this one, which is left as it is.")
@cut_option
@click.option("--json", "as_json", is_flag=True, help="Print the plans as data.")
@sheet_options
def command(content: Path, frames: tuple[str, ...], to: str, cut: float, as_json: bool, **sheet: Any) -> None:
    """Work out what to add to each FRAME so that they are equal, with the least mass.

    Frames are equal when no two of them differ by more than the tolerance in any quantity. The first plans of all
    frames together add the least mass that is possible; where that is not proven, the output says so. Of the plans with
    that mass, those with the fewest places are taken, and of these the one with the largest chance that all quantities
    are inside their tolerances together.

    FRAME is a number or player/frame. The plans are shown, and written as a bench sheet for the set with one for each
    frame that something is done to: a private PDF outside the site. Exit code 0 when all of them can be matched, else 1.
    """
    on_paper = SheetOptions(**sheet)
    refuse_sheet(on_paper, content)
    part = sound_part(content, [*frames, *filter(None, [to])])
    entries = {text: pick(part.records, text) for text in (*filter(None, [to]), *frames)}
    bench = workbench(part, [entry.record for entry in entries.values()], cut=cut)
    found = made_equal(bench, [entries[frame].name for frame in frames], entries[to].name if to else "")
    if as_json:
        click.echo(json.dumps(found.data(), ensure_ascii=False, indent=2))
    else:
        from passport.cli.shared.plantext import show_match

        show_match(Console(highlight=False, soft_wrap=not sys.stdout.isatty()), found)
    if on_paper.asked_for(as_json):
        from passport.render.sheets.sheet import match_pdf

        facts = [member.frame for member in found.members]
        shop = bench.gatherer.shop
        make = partial(match_pdf, found, shop)
        write_sheet(content, "match", facts, on_paper, make, aside=as_json)
    sys.exit(0 if found.status == "matched" else 1)
