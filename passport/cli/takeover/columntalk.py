"""How the columns of a table are understood, shown for a yes, and set right where they are not."""

from dataclasses import replace

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from passport.acts.count import counted
from passport.cli.shared.dialogue import ask, choose, confirmed
from passport.workshop.takeover.columns import TableGuess, decided_ways
from passport.workshop.takeover.dates import ORDERS
from passport.workshop.takeover.decisions import ImportDecisions, SheetDecision
from passport.workshop.takeover.fields import BY_NAME, IGNORED, TENSIONS, WITH_UNITS
from passport.workshop.takeover.figures import BY_SIZE, PARTED
from passport.workshop.takeover.taking import Takeover

_SIGNS = {"/": "strokes", "-": "hyphens", ".": "dots"}


def show_columns(found: Takeover, decisions: ImportDecisions) -> None:
    """Print how each sheet is read: columns, days, units, and what is not read at all."""
    for guess in found.guesses:
        where = f"headings in row {guess.heading}" if guess.heading else "without headings"
        click.secho(f"{guess.sheet.name}: {where}", bold=True)
        Console(highlight=False).print(_table(guess))
        decided = decisions.sheets.get(guess.sheet.name, SheetDecision())
        for sign, order, why in decided_ways(guess, dict(decided.dates)):
            click.echo(f"  Days written with {_SIGNS[sign]}: {order or 'not told which is first'}, {why}.")
        for field, unit in guess.units.items():
            if unit:
                meant = f"kg below {PARTED:g}, lb from there" if unit == BY_SIZE else unit
                click.echo(f"  Bare figures for {BY_NAME[field].says}: {meant}.")
        if any(guess.at(field) for field in TENSIONS):
            click.echo("  Two tensions in one cell (55/53, 25-26, 24x25) are mains and crosses, in that order.")
    for sheet in found.skipped:
        click.echo(f"Not read: the sheet '{sheet.name}', in which no day and customer were found.")


def _table(guess: TableGuess) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for name in ("", "heading", "is taken for", "such as"):
        table.add_column(name, header_style="dim", overflow="ellipsis", no_wrap=name != "such as")
    for column in guess.columns:
        taken = column.field != IGNORED
        says = BY_NAME[column.field].says if taken else f"nothing ({counted(column.cells, 'cell')} left out)"
        cells = (f"  {column.letters}", column.heading, says, ", ".join(column.samples))
        table.add_row(*(Text(cell, style="" if taken else "dim") for cell in cells))
    return table


def columns_agreed(found: Takeover, decisions: ImportDecisions) -> ImportDecisions | None:
    """Ask whether the columns are right; the decisions with a yes, or with one column set right and no yes yet.

    None where they are right.
    """
    if found.readable and confirmed("Is that what the columns hold?", yes=False):
        return None
    guess = found.guesses[0]
    if len(found.guesses) > 1:
        name = choose("In which sheet", [(each.sheet.name, "") for each in found.guesses])
        guess = next(each for each in found.guesses if each.sheet.name == name)
    letters = choose("Which column is to be changed", [(c.letters, f"{c.heading} ({c.field})") for c in guess.columns])
    fields = [(name, field.says) for name, field in BY_NAME.items()]
    held = choose("What does it hold", [*fields, (IGNORED, "nothing that is taken")])
    before = decisions.sheets.get(guess.sheet.name, SheetDecision())
    sheet = replace(before, columns={**before.columns, letters: held})
    return replace(decisions, sheets={**decisions.sheets, guess.sheet.name: sheet})


def said_once(found: Takeover, decisions: ImportDecisions) -> ImportDecisions:
    """Ask what counts for a whole column and nothing in it tells: the unit of bare figures, which of day and month is first."""
    for name, what, _ in found.unsaid:
        before = decisions.sheets.get(name, SheetDecision())
        if what in BY_NAME:
            samples = next(
                (", ".join(c.samples) for g in found.guesses if g.sheet.name == name for c in g.at(what)), ""
            )
            click.echo(f"{BY_NAME[what].says.capitalize()} stands there without a unit: {samples}")
            unit = _unit(what)
            sheet = replace(before, units={**before.units, what: unit})
        else:
            order = choose(f"In days with {_SIGNS[what]}, which comes first", [(each, "") for each in ORDERS])
            sheet = replace(
                before, dates={**before.dates, what: "day first" if order == "day first" else "month first"}
            )
        decisions = replace(decisions, sheets={**decisions.sheets, name: sheet})
    return decisions


def _unit(field: str) -> str:
    if field not in TENSIONS:
        return ask(f"Its unit, as in {WITH_UNITS[field]}", needed=True)
    ways = [("kg", "kilograms"), ("lb", "pounds"), (BY_SIZE, f"kilograms below {PARTED:g}, pounds from there")]
    return choose("Which unit is it", ways)
