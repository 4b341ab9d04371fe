"""``passport rebuild``: what to fit to a blank so that it plays like a lost frame."""

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
from passport.cli.talks.wishtext import NAMES, wish_options, wishes_of
from passport.records.load import Content
from passport.records.yaml.validation_messages import closest


class WithMany(click.Command):
    """A command whose ``--with`` takes every name that follows it, up to the next option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Write ``--with a b`` as ``--with a --with b`` before click reads it."""
        spelled: list[str] = []
        following = False
        for i, word in enumerate(args):
            if word == "--with":
                following = True
                if i + 1 < len(args) and not args[i + 1].startswith("-"):
                    continue
            elif word.startswith("-"):
                following = False
            elif following:
                spelled.append("--with")
            spelled.append(word)
        return super().parse_args(ctx, spelled)


@click.command(
    name="rebuild",
    cls=WithMany,
    epilog="Example: passport rebuild content_demo 0871-6 --with fallowgate-a fallowgate-b",
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frames", metavar="FRAME …", nargs=-1, required=True)
@click.option("--with", "blanks", metavar="BLANK …", multiple=True, required=True, help="The blanks to choose from.")
@cut_option
@wish_options
@click.option("--json", "as_json", is_flag=True, help="Print the plans as data.")
@sheet_options
def command(
    content: Path, frames: tuple[str, ...], blanks: tuple[str, ...], cut: float, as_json: bool, **options: Any
) -> None:
    """Work out what to fit where so that a blank from CONTENT plays like FRAME.

    FRAME is a number or player/frame; several frames get the best blanks among them. The best plan and up to two
    others are shown, or why there is none, and the best plan is written as a bench sheet to work from: a private PDF
    outside the site. Exit code 0 when every frame is matched, else 1.

    How the best plan is chosen: first, as little as possible is taken off; then, as few places as possible get
    something. Of the plans that are equal so far, and at most 2 g heavier than the lightest of them, the one with the
    largest chance that all quantities are inside their tolerances together is best; if two have the same chance, the
    lighter one. The output begins with the chance, and names the cheapest measurement that would raise it.
    """
    from passport.workshop.measuring.states import Missing
    from passport.workshop.rebuild.assign import choose  # numpy and the solver, which other commands need not wait for
    from passport.workshop.rebuild.subject import Workbench

    wished = {name: options.pop(name) for name in NAMES}
    on_paper = SheetOptions(**options)
    refuse_sheet(on_paper, content)
    records = sound(content)
    wanted = list(dict.fromkeys(pick(records, frame).name for frame in frames))
    bench = Workbench(records, today(), cut, wishes_of(records, wished))
    try:
        found = choose(bench, wanted, _known(records, blanks))
    except Missing as missing:
        raise click.ClickException(f"{missing.what}\n  {missing.do}") from None
    if as_json:
        click.echo(json.dumps(found.data(), ensure_ascii=False, indent=2))
    else:
        from passport.cli.shared.plantext import show_candidates, show_rebuild, show_unjudged

        console = Console(highlight=False, soft_wrap=not sys.stdout.isatty())
        if len(found.candidates) > 1:
            show_candidates(console, found.candidates)
        for rebuild in found.rebuilds:
            show_rebuild(console, rebuild)
        for frame in found.left_out:
            console.print(f"\nNo blank is left for {frame}.")
        show_unjudged(console, found.unjudged)
    if on_paper.asked_for(as_json):
        from passport.render.sheets.sheet import rebuild_pdf

        facts = [rebuild.frame for rebuild in found.rebuilds]
        shop = bench.gatherer.shop
        make = partial(rebuild_pdf, found.rebuilds, shop)
        write_sheet(content, "rebuild", facts, on_paper, make, aside=as_json)
    sys.exit(0 if found.status == "matched" else 1)


def _known(records: Content, blanks: tuple[str, ...]) -> list[str]:
    """The blanks by name, each once; ends the command where there is no such blank."""
    for blank in blanks:
        if blank not in records.blanks:
            hint = closest(blank, list(records.blanks)) or f"In stock: {', '.join(records.blanks) or 'none'}."
            raise click.ClickException(f"There is no blank '{blank}'. {hint}")
    return list(dict.fromkeys(blanks))
