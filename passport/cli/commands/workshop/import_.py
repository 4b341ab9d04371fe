"""``passport import``: a past spreadsheet taken over, as real shops keep them."""

from dataclasses import replace
from functools import partial
from pathlib import Path

import click

from passport.acts.adding.additions import FreshKeys
from passport.acts.change import Base
from passport.acts.count import counted
from passport.acts.frames.import_jobs import Outcome, imported, mapping, table_bytes
from passport.acts.refused import Refused, writing
from passport.acts.takeover.importing import TakenOver, looked_at, taken
from passport.acts.takeover.reviewfile import keep_review, review_at, review_beside
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER, refuse_records
from passport.cli.shared.dialogue import at_terminal, confirmed
from passport.cli.shared.folder import build_command
from passport.cli.takeover.columntalk import columns_agreed, said_once, show_columns
from passport.cli.takeover.questiontalk import answered, open_questions
from passport.cli.takeover.telling import sum_up, unread
from passport.records.language.worded import numbered, worded
from passport.records.tables.cells import Spreadsheet, Unusable
from passport.records.tables.packed import LARGEST
from passport.records.tables.reading import read_spreadsheet
from passport.workshop.entry.csv_jobs import read_table
from passport.workshop.entry.phrases import Unclear
from passport.workshop.takeover.decisions import ASKS, ImportDecisions

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


@click.command(name="import", epilog="Example: passport import content_demo past.csv --yes --write")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("table", metavar="TABLE", type=FOLDER)
@click.option("--review", type=FOLDER, help="The review list; beside the table, TABLE.review.yaml, unless named.")
@click.option("--yes", "agreed", is_flag=True, help="The columns hold what the review list says; do not ask.")
@click.option("--write", is_flag=True, help="Write it; without this, only what would be written is shown.")
@click.option("--numbers", "numbered", is_flag=True,
              help="Give new frames their numbers, and so pages, at once.")  # fmt: skip
@click.option("--map", "columns", type=FOLDER,
              help="A mapping of the columns of a table of frames that all have a record.")  # fmt: skip
@click.option("--sure", is_flag=True, help="With --map: values far from what is usual are right all the same.")
@click.option("--all", "everything", is_flag=True, help="With --map: show all jobs that would be written.")
@click.option("--example-map", is_flag=True, is_eager=True, expose_value=False, callback=_example,
              help="Print a mapping to begin with, and stop.")  # fmt: skip
def command(
    content: Path, table: Path, review: Path | None, agreed: bool, write: bool, numbered: bool, columns: Path | None,
    sure: bool, everything: bool,
) -> None:  # fmt: skip
    """Take over a past table (.csv, .xlsx, .ods): jobs, and the players, frames, models and strings that are not there.

    It shows how it understands the columns and asks whether that is right. What is certain is taken; whatever is not,
    a name in two spellings, a day that may be two, a figure with words in it, stands in one review list: answer it here,
    or edit the file and run the same command again. A row without a customer is never guessed.

    \b
    passport import past.xlsx            shows what would be written
    passport import past.xlsx --write    writes it, all or nothing; 'passport undo' takes it back

    Nothing is added twice, so you can run it as often as you like. Exit code 1 while something is open.
    """
    if columns:
        _by_mapping(content, table, columns, write=write, sure=sure, everything=everything)
        return
    place = review or review_beside(table)
    refuse_records(place.parent, "--review", content)
    book = _book(table)
    base = base_of(content)
    decisions = _understood(base, book, review_at(place), place, table, agreed=agreed)
    if write and not decisions.agreed:
        do = worded("Where they are right, add --yes; where not, correct them in the review list.")
        raise Refused(worded("Nothing was written: nobody has agreed to how the columns are read.\n{do}", do=do))
    last = [TakenOver()]
    make = partial(taken, book=book, decisions=decisions, keys=FreshKeys(), last=last, numbered=numbered)
    # What is far from usual stands in the review list, so a person has agreed to whatever of it is left.
    written = carry_out(content, "passport import", make, Options(yes=True, dry_run=not write, sure=True), base)
    outcome = last[0] if written else replace(last[0], made={})
    with writing(f"'{place}'"):
        keep_review(place, table.name, outcome, decisions)
    sum_up(table, place, last[0], content, written=written is not None, write=write, numbered=numbered)
    found = outcome.takeover
    if found and (found.open_rows or found.waiting or any(found.questions.get(kind) for kind in ASKS)):
        raise SystemExit(1)


def _book(table: Path) -> Spreadsheet:
    try:
        book = read_spreadsheet(table_bytes(table, most=LARGEST), table.stem)
    except Unusable as unusable:
        raise click.ClickException(f"{table}: {unusable}") from None
    if book.encoding:
        click.echo(
            worded(
                "The table was read as {encoding}: look whether signs such as é and ° came out right.",
                encoding=book.encoding,
            ),
            err=True,
        )
    return book


def _understood(
    base: Base, book: Spreadsheet, decisions: ImportDecisions, place: Path, table: Path, *, agreed: bool
) -> ImportDecisions:
    """The decisions once the columns are agreed to, and what is open was asked where a person is here. Raises Refused."""

    def keep(made: ImportDecisions) -> None:
        with writing(f"'{place}'"):
            keep_review(place, table.name, TakenOver(looked_at(base, book, made)), made)

    found = looked_at(base, book, decisions)
    asked = not (decisions.agreed or agreed)
    if not decisions.agreed or unread(found, decisions):
        show_columns(found, decisions)
    while asked and at_terminal() and found.guesses:
        corrected = columns_agreed(found, decisions)
        if corrected is None:
            agreed = True
            break
        decisions = corrected
        found = looked_at(base, book, decisions)
        show_columns(found, decisions)
    if problem := unread(found, decisions):
        keep(decisions)
        raise Refused(worded("{problem}\nIt stands in {place}.", problem=problem, place=place))
    decisions = replace(decisions, agreed=decisions.agreed or agreed)
    if not at_terminal() or not decisions.agreed:
        return decisions
    decisions = said_once(found, decisions)
    found = looked_at(base, book, decisions)
    keep(decisions)
    seen: set[str] = set()
    # An answer may bring up others: which of its frames a name's rows are about.
    while count := open_questions(found, seen):
        if not seen and not confirmed(
            worded("{counted} open. Answer now?", counted=counted(count, "question")), yes=False
        ):
            break
        decisions = answered(found, decisions, keep, seen)
        found = looked_at(base, book, decisions)
    return decisions


# --- a table of frames that all have a record, by a mapping ---------------------------------------------------------


def _by_mapping(content: Path, table: Path, columns: Path, *, write: bool, sure: bool, everything: bool) -> None:
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
        click.echo(
            worded(
                "The table was read as {encoding}: look whether signs such as é and ° came out right.",
                encoding=encoding,
            ),
            err=True,
        )
    for number, problem in sorted(outcome.misfits.items()):
        click.echo(worded("{table}, row {number}: {problem}", table=table, number=number, problem=problem), err=True)
    frames = sum(1 for jobs in outcome.jobs.values() if jobs)
    verb = worded("written") if written else worded("to be written")
    click.echo(
        numbered(
            len(outcome.misfits),
            "{counted} of {counted2} {verb}, {there} there already, {count} row does not fit.",
            "{counted} of {counted2} {verb}, {there} there already, {count} rows do not fit.",
            counted=counted(total, "job"),
            counted2=counted(frames, "frame"),
            verb=verb,
            there=len(outcome.there),
        )
    )
    if total and not write:
        click.echo(worded("Nothing was written yet. If it is right: the same with --write."))
    if written:
        click.echo(worded("Next: {build_command}", build_command=build_command(content)))
    if outcome.misfits:
        raise SystemExit(1)
