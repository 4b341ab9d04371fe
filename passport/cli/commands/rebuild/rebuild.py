"""``passport rebuild``: what to fit to a blank so that it plays like a lost frame."""

import json
import sys
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from rich.console import Console

from passport.acts.picking import pick
from passport.acts.reading import SoundPart
from passport.acts.rebuilding.planned import planned, wishes_of, workbench
from passport.acts.rebuilding.resumed import under_work
from passport.cli.exchange.brought import from_elsewhere
from passport.cli.rebuilding.resuming import Resuming, go_on, resume_options
from passport.cli.shared.benchsheet import SheetOptions, cut_option, refuse_sheet, sheet_options, write_sheet
from passport.cli.shared.common import FOLDER, sound_part, today
from passport.cli.talks.wishtext import NAMES, wish_options
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import Blank, Frame
from passport.records.yaml.validation_messages import closest

if TYPE_CHECKING:
    from passport.workshop.rebuild.planset import Choice


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
@click.argument("frames", metavar="FRAME …", nargs=-1)
@click.option("--with", "blanks", metavar="BLANK …", multiple=True, required=True, help="The blanks to choose from.")
@click.option("--from", "told", type=FOLDER, help="A setup of another workshop: its file, a tag's text, a saved page.")
@cut_option
@wish_options
@click.option("--json", "as_json", is_flag=True, help="Print the plans as data.")
@sheet_options
@resume_options
def command(
    content: Path,
    frames: tuple[str, ...],
    blanks: tuple[str, ...],
    told: Path | None,
    cut: float,
    as_json: bool,
    resuming: Resuming,
    **options: Any,
) -> None:
    """Work out what to fit where so that a blank from CONTENT plays like FRAME.

    FRAME is a number or player/frame; several frames get the best blanks among them. --from takes the setup of a frame that
    another workshop kept instead: its file from the passport's page, a text file with what the code on its tag or set card
    says, or the page of an open passport saved to disk. The best plan and up to two
    others are shown, or why there is none, and the best plan is written as a bench sheet to work from: a private PDF
    outside the site. Exit code 0 when every frame is matched, else 1.

    How the best plan is chosen: first, as little as possible is taken off; then, as few places as possible get
    something. Of the plans that are equal so far, and at most 2 g heavier than the lightest of them, the one with the
    largest chance that all quantities are inside their tolerances together is best; if two have the same chance, the
    lighter one. The output begins with the chance, and names the cheapest measurement that would raise it.

    With --resume the work goes on where it was left: what was read beside the steps of the sheet (--read) corrects what
    was predicted, and the rest is worked out anew. It says when to stop, what should come off again, which reading does
    not go with the others, and which is worth taking next. All of it stands in the blank's record; undo takes it back.
    """
    wished = {name: options.pop(name) for name in NAMES}
    on_paper = SheetOptions(**options)
    refuse_sheet(on_paper, content)
    part, wanted, unsure = _wanted(content, frames, told, resume=resuming.resume)
    records = part.records
    wishes = wishes_of(records, wished)
    if resuming.resume:
        from passport.workshop.rebuild.subject import Workbench  # numpy, which other commands need not wait for

        bench_of = partial(Workbench, today=today(), cut=cut, wishes=wishes)
        go_on(content, wanted, _known(records, blanks), bench_of, as_json, on_paper, resuming)
        return
    named = _known(records, blanks)
    for sentence in under_work(records, named):
        click.echo(sentence, err=True)
    subjects: list[Frame | Blank] = [
        *(records.frames[name].record for name in wanted),
        *(records.blanks[name].record for name in named),
    ]
    bench = workbench(part, subjects, cut=cut, wishes=wishes, unsure=unsure)
    found = planned(bench, wanted, named)
    if as_json:
        click.echo(json.dumps(found.data(), ensure_ascii=False, indent=2))
    else:
        _show(found)
    if on_paper.asked_for(as_json):
        from passport.render.sheets.sheet import rebuild_pdf

        facts = [rebuild.frame for rebuild in found.rebuilds]
        shop = bench.gatherer.shop
        make = partial(rebuild_pdf, found.rebuilds, shop)
        write_sheet(content, "rebuild", facts, on_paper, make, aside=as_json)
    sys.exit(0 if found.status == "matched" else 1)


def _wanted(
    content: Path, frames: tuple[str, ...], told: Path | None, *, resume: bool
) -> tuple[SoundPart, list[str], Mapping[str, Mapping[str, float]]]:
    """The records that matter, the frames that are to be built anew, and how unsure each target is that another workshop measured."""
    if bool(frames) == bool(told):
        raise click.UsageError(worded("Name one or more frames, or with --from what another workshop told of one."))
    if told and resume:
        raise click.UsageError(
            worded("--resume goes on with a frame of your own: take it over first, with 'passport adopt'.")
        )
    if told:
        records, names, unsure = from_elsewhere(content, told)
        return SoundPart(records, []), names, unsure
    part = sound_part(content, frames)
    return part, list(dict.fromkeys(pick(part.records, frame).name for frame in frames)), {}


def _show(found: "Choice") -> None:
    from passport.cli.shared.plantext import show_candidates, show_rebuild, show_unjudged

    console = Console(highlight=False, soft_wrap=not sys.stdout.isatty())
    if len(found.candidates) > 1:
        show_candidates(console, found.candidates)
    for rebuild in found.rebuilds:
        show_rebuild(console, rebuild)
    for frame in found.left_out:
        console.print(worded("\nNo blank is left for {frame}.", frame=frame))
    show_unjudged(console, found.unjudged)


def _known(records: Content, blanks: tuple[str, ...]) -> list[str]:
    """The blanks by name, each once; ends the command where there is no such blank."""
    for blank in blanks:
        if blank not in records.blanks:
            hint = closest(blank, list(records.blanks)) or worded(
                "In stock: {value}.", value=", ".join(records.blanks) or "none"
            )
            raise click.ClickException(worded("There is no blank '{blank}'. {hint}", blank=blank, hint=hint))
    return list(dict.fromkeys(blanks))
