"""How the columns of a table are understood, shown for a yes, and set right where they are not."""

from dataclasses import replace

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from passport.acts.count import counted
from passport.cli.shared.dialogue import ask, choose, confirmed
from passport.records.language.worded import unsaid, worded
from passport.workshop.takeover.columns import TableGuess, decided_ways
from passport.workshop.takeover.dates import ORDERS
from passport.workshop.takeover.decisions import ImportDecisions, SheetDecision
from passport.workshop.takeover.fields import BY_NAME, IGNORED, TENSIONS, WITH_UNITS
from passport.workshop.takeover.figures import BY_SIZE, PARTED
from passport.workshop.takeover.taking import Takeover

_SIGNS = {"/": unsaid("strokes"), "-": unsaid("hyphens"), ".": unsaid("dots")}


def show_columns(found: Takeover, decisions: ImportDecisions) -> None:
    """Print how each sheet is read: columns, days, units, and what is not read at all."""
    for guess in found.guesses:
        where = (
            worded("headings in row {heading}", heading=guess.heading) if guess.heading else worded("without headings")
        )
        click.secho(f"{guess.sheet.name}: {where}", bold=True)
        Console(highlight=False).print(_table(guess))
        decided = decisions.sheets.get(guess.sheet.name, SheetDecision())
        for sign, order, why in decided_ways(guess, dict(decided.dates)):
            click.echo(
                worded(
                    "  Days written with {signs}: {value}, {why}.",
                    signs=worded(_SIGNS[sign]),
                    value=order or worded("not told which is first"),
                    why=why,
                )
            )
        for field, unit in guess.units.items():
            if unit:
                meant = worded("kg below {parted:g}, lb from there", parted=PARTED) if unit == BY_SIZE else unit
                click.echo(worded("  Bare figures for {says}: {meant}.", says=BY_NAME[field].says, meant=meant))
        if any(guess.at(field) for field in TENSIONS):
            click.echo(worded("  Two tensions in one cell (55/53, 25-26, 24x25) are mains and crosses, in that order."))
    for sheet in found.skipped:
        click.echo(worded("Not read: the sheet '{sheet}', in which no day and customer were found.", sheet=sheet.name))


def _table(guess: TableGuess) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for name in ("", worded("heading"), worded("is taken for"), worded("such as")):
        table.add_column(name, header_style="dim", overflow="ellipsis", no_wrap=name != "such as")
    for column in guess.columns:
        taken = column.field != IGNORED
        says = (
            BY_NAME[column.field].says
            if taken
            else worded("nothing ({counted} left out)", counted=counted(column.cells, "cell"))
        )
        cells = (f"  {column.letters}", column.heading, says, ", ".join(column.samples))
        table.add_row(*(Text(cell, style="" if taken else "dim") for cell in cells))
    return table


def columns_agreed(found: Takeover, decisions: ImportDecisions) -> ImportDecisions | None:
    """Ask whether the columns are right; the decisions with a yes, or with one column set right and no yes yet.

    None where they are right.
    """
    if found.readable and confirmed(worded("Is that what the columns hold?"), yes=False):
        return None
    guess = found.guesses[0]
    if len(found.guesses) > 1:
        name = choose(worded("In which sheet"), [(each.sheet.name, "") for each in found.guesses])
        guess = next(each for each in found.guesses if each.sheet.name == name)
    letters = choose(
        worded("Which column is to be changed"), [(c.letters, f"{c.heading} ({c.field})") for c in guess.columns]
    )
    fields = [(name, field.says) for name, field in BY_NAME.items()]
    held = choose(worded("What does it hold"), [*fields, (IGNORED, worded("nothing that is taken"))])
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
            click.echo(
                worded(
                    "{says} stands there without a unit: {samples}",
                    says=BY_NAME[what].says.capitalize(),
                    samples=samples,
                )
            )
            unit = _unit(what)
            sheet = replace(before, units={**before.units, what: unit})
        else:
            order = choose(
                worded("In days with {signs}, which comes first", signs=worded(_SIGNS[what])),
                [(each, "") for each in ORDERS],
            )
            sheet = replace(
                before,
                dates={**before.dates, what: "day first" if order == "day first" else "month first"},
            )
        decisions = replace(decisions, sheets={**decisions.sheets, name: sheet})
    return decisions


def _unit(field: str) -> str:
    if field not in TENSIONS:
        return ask(worded("Its unit, as in {with_units}", with_units=WITH_UNITS[field]), needed=True)
    ways = [
        ("kg", worded("kilograms")),
        ("lb", worded("pounds")),
        (BY_SIZE, worded("kilograms below {parted:g}, pounds from there", parted=PARTED)),
    ]
    return choose(worded("Which unit is it"), ways)
