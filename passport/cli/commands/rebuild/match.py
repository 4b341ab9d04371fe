"""``passport match``: what makes frames equal."""

import json
import sys
from functools import partial
from pathlib import Path
from typing import Any

import click
from rich.console import Console

from passport.acts.picking import pick
from passport.cli.shared.benchsheet import SheetOptions, cut_option, refuse_sheet, sheet_options, write_sheet
from passport.cli.shared.common import FOLDER, sound, today


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
    from passport.workshop.measuring.states import Missing
    from passport.workshop.rebuild.match import match  # numpy and the solver, which other commands need not wait for
    from passport.workshop.rebuild.subject import Workbench

    on_paper = SheetOptions(**sheet)
    refuse_sheet(on_paper, content)
    records = sound(content)
    model = pick(records, to).name if to else ""
    wanted = [name for name in dict.fromkeys(pick(records, frame).name for frame in frames) if name != model]
    if len(wanted) + bool(model) < 2:
        raise click.UsageError("Name at least two different frames: one frame is equal to itself.")
    sports = {
        records.models[records.frames[name].record.model].record.sport for name in [*wanted, *filter(None, [model])]
    }
    if len(sports) > 1:
        raise click.UsageError(f"Frames of one sport can be made equal; these are for {' and '.join(sorted(sports))}.")
    bench = Workbench(records, today(), cut)
    try:
        found = match(bench, wanted, model)
    except Missing as missing:
        raise click.ClickException(f"{missing.what}\n  {missing.do}") from None
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
