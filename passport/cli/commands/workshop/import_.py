"""``passport import``: jobs of a past spreadsheet."""

from functools import partial
from pathlib import Path

import click

from passport.acts.count import counted
from passport.acts.frames.import_jobs import Outcome, imported, mapping, table_bytes
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.folder import build_command
from passport.workshop.entry.csv_jobs import read_table
from passport.workshop.entry.phrases import Unclear

EXAMPLE = """\
# What the columns of a table hold: our words on the left, the table's own headings on the right.
date: Date
dates: day.month.year         # how dates are written: day.month.year, month/day/year, year-month-day; yy for two digits
frame: Card no.               # a passport number, or player/frame; or two columns instead:
# player: Customer
# label: Racket
columns:                      # any of the options of 'passport log', with _ for -
  string: String
  tension: Tension
  mass: Mass
  ring: Reading
  minutes: Minutes
  note: Remarks
units: {tension: kg, mass: g, ring: Hz}     # of figures that stand there bare
words:                        # what a cell says, and what is meant
  string: {DP 125: deep-petrol-125}
# delimiter: ";"              # found by itself: comma, semicolon, tab or |
# encoding: cp1252            # found by itself: UTF-8, else Windows-1252
"""


def _example(context: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted:
        click.echo(EXAMPLE, nl=False)
        context.exit()


@click.command(name="import", epilog="Example: passport import content_demo jobs.csv --map mapping.yaml --write")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("table", metavar="JOBS.CSV", type=FOLDER)
@click.option("--map", "columns", type=FOLDER, required=True, help="The YAML file that says which column holds what.")
@click.option("--write", is_flag=True, help="Write it; without this, only what would be written is shown.")
@click.option("--sure", is_flag=True, help="Values far from what is usual are right all the same.")
@click.option("--all", "everything", is_flag=True, help="Show all jobs that would be written, not the first few.")
@click.option("--example-map", is_flag=True, is_eager=True, expose_value=False, callback=_example,
              help="Print a mapping to begin with, and stop.")  # fmt: skip
def command(content: Path, table: Path, columns: Path, write: bool, sure: bool, everything: bool) -> None:
    """Add the jobs of a past spreadsheet, saved as CSV, to the records: shown first, written with --write.

    Rows that do not fit are listed with the reason; the other rows are taken. Each job goes to its place by date. A job
    that is there already is not added again, so you can run this as often as you like. Exit code 1 where rows do not
    fit.
    """
    wanted = mapping(columns)
    try:
        rows = read_table(table_bytes(table), wanted)
    except Unclear as unclear:
        raise click.ClickException(f"{table}: {unclear}") from None
    base, last = base_of(content), [Outcome()]
    make = partial(imported, rows=rows.rows, everything=everything, last=last)
    written = carry_out(content, "passport import", make, Options(yes=True, dry_run=not write, sure=sure), base)
    _sum_up(table, rows.encoding, last[0], content, written=written is not None, write=write)


def _sum_up(table: Path, encoding: str, outcome: Outcome, content: Path, *, written: bool, write: bool) -> None:
    total = sum(map(len, outcome.jobs.values()))
    if encoding != "utf-8":
        click.echo(f"The table was read as {encoding}: look whether signs such as é and ° came out right.", err=True)
    for number, problem in sorted(outcome.misfits.items()):
        click.echo(f"{table}, row {number}: {problem}", err=True)
    frames = sum(1 for jobs in outcome.jobs.values() if jobs)
    verb = "written" if written else "to be written"
    click.echo(
        f"{counted(total, 'job')} of {counted(frames, 'frame')} {verb}, {len(outcome.there)} there already, "
        f"{len(outcome.misfits)} {'row does' if len(outcome.misfits) == 1 else 'rows do'} not fit."
    )
    if total and not write:
        click.echo("Nothing was written yet. If it is right: the same with --write.")
    if written:
        click.echo(f"Next: {build_command(content)}")
    if outcome.misfits:
        raise SystemExit(1)
