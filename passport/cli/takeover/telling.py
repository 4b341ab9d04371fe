"""What became of a table, in figures and sentences."""

from pathlib import Path

import click

from passport.acts.count import counted
from passport.acts.takeover.importing import TakenOver
from passport.cli.shared.folder import build_command
from passport.records.language.worded import worded
from passport.workshop.takeover.decisions import ASKS, ImportDecisions
from passport.workshop.takeover.taking import Takeover

_SHOWN = 10


def sum_up(
    table: Path, review: Path, outcome: TakenOver, content: Path, *, written: bool, write: bool, numbered: bool
) -> None:
    """Say how many rows were taken, what is there already, what is open and where to decide it."""
    found = outcome.takeover
    if found is None:
        return
    _rows_open(table, found)
    verb = worded("written") if written else worded("to be written")
    names = sum(len(found.questions.get(kind, ())) for kind in ASKS)
    click.echo(
        worded(
            "{counted}: {counted2} of {counted3} {verb}, {there} there already, {waiting} waiting for "
            "{counted4}, {open_rows} not plain, {left_out} left out.",
            counted=counted(found.rows, "row"),
            counted2=counted(len(outcome.written), "job"),
            counted3=counted(outcome.frames, "frame"),
            verb=verb,
            there=len(outcome.there),
            waiting=len(found.waiting),
            counted4=counted(names, "answer"),
            open_rows=len(found.open_rows),
            left_out=len(found.left_out),
        )
    )
    if names or found.open_rows or found.left_out:
        click.echo(worded("The review list is {review}: decide there, and run the same command again.", review=review))
    if outcome.made.get("players"):
        click.echo(worded("Pages will show new players by first name and initial; the full names stay private."))
    if outcome.method and outcome.written:
        click.echo(
            worded(
                "'method' in workshop.yaml counts for these jobs, too: give it a 'since' if strings were "
                "pulled otherwise then."
            )
        )
    if outcome.untaken:
        some = ", ".join(list(outcome.untaken)[:5])
        more = worded(" and {untaken} more", untaken=len(outcome.untaken) - 5) if len(outcome.untaken) > 5 else ""
        click.echo(
            worded(
                "Not taken, since a record is there and says otherwise: {some}{more}. 'passport correct' writes it.",
                some=some,
                more=more,
            )
        )
    if outcome.written and not write:
        click.echo(worded("Nothing was written to the records yet. If it is right: the same with --write."))
    if written:
        if not numbered and outcome.made.get("frames"):
            click.echo(
                worded(
                    "New frames have no number and no page yet: 'passport issue' gives both when a racquet comes "
                    "in again."
                )
            )
        click.echo(
            worded("'passport undo' takes all of it back. Next: {build_command}", build_command=build_command(content))
        )


def _rows_open(table: Path, found: Takeover) -> None:
    for row in found.open_rows[:_SHOWN]:
        sheet = worded(", sheet '{sheet}'", sheet=row.sheet) if found.several else ""
        for trouble in row.troubles:
            what = trouble.removeprefix(f"row {row.number}: ")
            click.echo(
                worded("{table}{sheet}, row {number}: {what}", table=table, sheet=sheet, number=row.number, what=what),
                err=True,
            )
    if len(found.open_rows) > _SHOWN:
        click.echo(
            worded(
                "… and {counted} that are not plain, in the review list.",
                counted=counted(len(found.open_rows) - _SHOWN, "more row"),
            ),
            err=True,
        )


def unread(found: Takeover, decisions: ImportDecisions) -> str:
    """What is lacking where no job can be read at all; empty where some can."""
    if found.readable or not found.guesses:
        return "" if found.guesses else worded("The table is empty.")
    words = {"date": worded("the day of the stringing"), "customer": worded("whose racquet it is")}
    lacking = " and ".join(words[name] for name in found.guesses[0].lacking)
    cards = any(guess.at("number") for guess in found.guesses)
    more = worded(" A table of passport numbers alone is read with '--map'; see '--example-map'.") if cards else ""
    return worded(
        "No column tells {lacking}. Say which does, under 'columns' in the review list.{more}",
        lacking=lacking,
        more=more,
    )
