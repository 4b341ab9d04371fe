"""``passport calibrate``: a page that tells what a printer does to cards."""

from pathlib import Path

import click

from passport.acts.reading import readable
from passport.cli.shared.bench_folder import bench_folder, shown, write_pdf
from passport.cli.shared.common import FOLDER, refuse_place
from passport.records.language.worded import worded


@click.command(name="calibrate", epilog="Example: passport calibrate content_demo --paper letter")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True, help="The sheet.")
@click.option("--out", type=FOLDER, metavar="FILE", help="The PDF to write; by default in 'bench' beside CONTENT.")
def command(content: Path, paper: str, out: Path | None) -> None:
    """Make a page that tells whether a printer keeps sizes, and how far its backs are off their fronts.

    Print it at 100 %, on both sides, flipped on the long edge. Two rulers show whether 100 mm are 100 mm; two scales,
    held against the light, give the two readings that 'passport cards' takes with --shift.
    """
    target = out or bench_folder(content) / f"calibration-{paper}.pdf"
    refuse_place(target, "--out", content)
    shop = readable(content).records.workshop
    write_pdf(target, lambda: _made(paper, shop.record.language if shop else "en"))
    click.echo(
        worded(
            "Calibration page to print: {target}. Its two readings: passport cards --shift ACROSS DOWN",
            target=shown(target),
        )
    )


def _made(paper: str, language: str) -> bytes:
    from passport.render.print.imposition import PAPERS
    from passport.render.sheets.measured.calibration import calibration_pdf

    return calibration_pdf(PAPERS[paper], language)
