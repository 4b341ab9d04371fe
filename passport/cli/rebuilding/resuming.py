"""``rebuild --resume``: what was read beside each step goes into the blank's record, and the rest is worked out anew."""

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from rich.console import Console

from passport.acts.rebuilding.resumed import Heard, abandoned, noted, work_in_hand
from passport.cli.shared.benchsheet import SheetOptions, write_sheet
from passport.cli.shared.change import Options, base_of, carry_out
from passport.records.language.worded import worded
from passport.records.load import Content

if TYPE_CHECKING:
    from passport.workshop.rebuild.subject import Workbench


@dataclass(frozen=True, slots=True)
class Resuming:
    """What was said of a rebuild under way, as the options of `resume_options`."""

    resume: bool
    heard: Heard
    abandon: bool
    dry_run: bool


def resume_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of a rebuild under way; the command gets them as ``resuming``."""
    command = _gathered(command)
    for option in (
        click.option("--dry-run", is_flag=True, help="Show what would be noted, and stop."),
        click.option("--abandon", is_flag=True, help="Forget all that was noted of the work on this blank."),
        click.option(
            "--weighed",
            metavar="STEP: MASS",
            multiple=True,
            help="What the part of a step weighs, before it is fitted: '9: 24.6 g'.",
        ),
        click.option(
            "--did",
            metavar="STEP: PART",
            multiple=True,
            help="What a step put on instead: '6: tungsten-tape @ 3 and 9 = 2.2 g [55 mm]'.",
        ),
        click.option(
            "--done",
            "upto",
            metavar="STEP",
            type=click.IntRange(1, 999),
            help="Steps up to this one were done as planned.",
        ),
        click.option(
            "--read",
            metavar="STEP: FIGURES",
            multiple=True,
            help="What was read after a step, in the columns of the sheet: '4: 306.1 318.5 290', '-' where nothing was.",
        ),
        click.option(
            "--resume",
            is_flag=True,
            help="Go on with a rebuild: note what was read, and have the rest worked out anew.",
        ),
    ):
        command = option(command)
    return command


def _gathered(command: Callable[..., Any]) -> Callable[..., Any]:
    def called(
        *,
        resume: bool,
        read: tuple[str, ...],
        upto: int | None,
        did: tuple[str, ...],
        weighed: tuple[str, ...],
        abandon: bool,
        dry_run: bool,
        **rest: Any,
    ) -> None:
        heard = Heard(read, did, weighed, upto or 0)
        if not resume and (heard or abandon or dry_run):
            raise click.UsageError(
                worded("--read, --done, --did, --weighed, --abandon and --dry-run go with --resume.")
            )
        command(**rest, resuming=Resuming(resume, heard, abandon, dry_run))

    called.__doc__ = command.__doc__
    return called


def go_on(
    content: Path,
    frames: list[str],
    blanks: list[str],
    bench_of: "Callable[[Content], Workbench]",
    as_json: bool,
    paper: SheetOptions,
    said: Resuming,
) -> None:
    """Note what was said, show the state of the work, and end the command: code 0 where all is inside or can be brought
    there, else 1. ``bench_of`` gives the workbench of some records, with what limits a plan."""
    if len(frames) != 1 or len(blanks) != 1:
        raise click.UsageError(worded("--resume goes on with one frame on one blank: name one of each."))
    if as_json and (said.heard or said.abandon):
        raise click.UsageError(worded("--json shows the state of the work: note what was read first, without it."))
    (frame,), (blank,) = frames, blanks
    base = base_of(content)
    if said.abandon:
        make = partial(abandoned, frame=frame, blank=blank)
        carry_out(content, "passport rebuild", make, Options(dry_run=said.dry_run), base)
        return
    records: Content | None = base.records
    if said.heard:
        make = partial(noted, frame=frame, blank=blank, heard=said.heard, bench_of=bench_of)
        records = carry_out(content, "passport rebuild", make, Options(dry_run=said.dry_run), base)
        if records is None:
            return
    _show(content, bench_of(records or base.records), frame, blank, as_json, paper)


def _show(content: Path, bench: "Workbench", frame: str, blank: str, as_json: bool, paper: SheetOptions) -> None:
    from passport.cli.rebuilding.worktext import show_work
    from passport.workshop.measuring.states import Missing

    hand = work_in_hand(bench, frame, blank)
    try:
        if as_json:
            click.echo(json.dumps(hand.data(), ensure_ascii=False, indent=2))
        else:
            show_work(Console(highlight=False, soft_wrap=not sys.stdout.isatty()), hand)
    except Missing as missing:
        raise click.ClickException(f"{missing.what}\n  {missing.do}") from None
    if paper.asked_for(as_json) and hand.ahead:
        from passport.render.sheets.sheet import rebuild_pdf

        make = partial(rebuild_pdf, [hand.found], bench.gatherer.shop)
        write_sheet(content, "rebuild", [hand.found.frame], paper, make, aside=as_json)
    sys.exit(0 if hand.way is not None else 1)
