"""The bench sheet of a plan: a private PDF in the bench folder beside the content, never inside the public site."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from passport.cli.shared.bench_folder import bench_folder, shown
from passport.cli.shared.common import FOLDER, refuse_place, writing
from passport.cli.shared.dialogue import patience
from passport.records.language.worded import worded
from passport.records.transaction import atomic

if TYPE_CHECKING:
    from passport.render.sheets.sheet import Paper
    from passport.workshop.facts.facts import FrameFacts

PAPERS = ("a5", "a4")


@dataclass(frozen=True, slots=True)
class SheetOptions:
    """What is wanted of a sheet: its ``file`` (None: the default), whether there is to be ``none``, and the ``paper``."""

    file: Path | None
    none: bool
    paper: "Paper"

    def asked_for(self, as_json: bool) -> bool:
        """Whether a sheet is written: always beside a plan for a person, beside data only where a file is named."""
        return not self.none and (self.file is not None or not as_json)


class Millimetres(click.FloatRange):
    """A length in mm within limits, which 'nan' is not."""

    name = "mm"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Read a number; end the command where it is none."""
        number: float = super().convert(value, param, ctx)
        if not math.isfinite(number):
            self.fail(worded("{value!r} is not a length. Write millimetres, such as 5.", value=value), param, ctx)
        return number


def cut_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--cut`` to a command: the step that tape is cut in."""
    step = Millimetres(1, 50)
    return click.option("--cut", type=step, default=5.0, show_default=True, help="Step in mm that tape is cut in.")(
        command
    )


def sheet_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--sheet``, ``--no-sheet`` and ``--paper`` to a command, which gets them as ``file``, ``none`` and ``paper``."""
    for option in (
        click.option("--no-sheet", "none", is_flag=True, help="Write no bench sheet."),
        click.option(
            "--paper",
            type=click.Choice(PAPERS),
            default="a5",
            show_default=True,
            help="Two A5 pages, or the two side by side on A4.",
        ),
        click.option(
            "--sheet",
            "file",
            type=FOLDER,
            metavar="FILE",
            help="The bench sheet; by default in 'bench' beside CONTENT.",
        ),
    ):
        command = option(command)
    return command


def refuse_sheet(wanted: SheetOptions, content: Path) -> None:
    """End the command where the sheet cannot go into the file that was named, before anything is worked out."""
    if wanted.file is not None and not wanted.none:
        refuse_place(wanted.file, "--sheet", content)


def write_sheet(
    content: Path,
    kind: str,
    frames: "Sequence[FrameFacts]",
    wanted: SheetOptions,
    make: "Callable[[Paper], bytes]",
    *,
    aside: bool,
) -> None:
    """Make a sheet, write it, and say where it is: ``aside``, on standard error, where standard output holds data.

    Where the libraries that lay out a PDF are missing, that is said instead, and the plan stands without its sheet.
    """
    from passport.render.print import pdf  # WeasyPrint takes a second to import

    problem = pdf.available()
    if problem:
        click.echo(worded("No bench sheet was made.\n{problem}", problem=problem), err=True)
        return
    target = wanted.file or bench_folder(content) / f"{kind}-{_called(frames)}.pdf"
    with patience(worded("Making the bench sheet …")):
        data = make(wanted.paper)
    with writing(f"'{target}'"):
        target.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(target, data)
    click.echo(worded("Bench sheet to print, private: {target}", target=shown(target)), err=aside)


def _called(frames: "Sequence[FrameFacts]") -> str:
    """How the file is called after its frames: the first one's number, or its name while it has none."""
    first = frames[0].number or frames[0].name.replace("/", "-")
    return first if len(frames) == 1 else f"{first}-and-{len(frames) - 1}-more"
