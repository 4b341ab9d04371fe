"""``passport stock``: what is in stock, how long it lasts, what to order; bought, counted and taken."""

import json
import math
from datetime import timedelta
from functools import partial
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from passport.acts.clock import today
from passport.acts.count import counted
from passport.acts.stock import Kind, entered
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER, day_said, sound_part
from passport.records.language.worded import worded
from passport.records.load import STOCK
from passport.records.stockroom.amount import told
from passport.workshop.stockroom.shelf import StockLine, shelves
from passport.workshop.stockroom.use import CountGap, Remainder

_ENTRIES: dict[str, Kind] = {"buy": "bought", "count": "counted", "take": "taken"}


@click.command(
    name="stock",
    epilog='Example: passport stock content_demo --buy deep-petrol-125 --batch BP26-31 --amount "200 m" --dry-run',
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--buy", metavar="NAME", help="A string or part that was bought, by its name in the catalogue.")
@click.option("--count", metavar="NAME", help="A string or part that was counted or measured on the shelf.")
@click.option("--take", metavar="NAME", help="A string or part of which some went for what is no job: waste, a sample.")
@click.option("--batch", default="", metavar="TEXT", help="The batch of a string, as the jobs name it.")
@click.option("--amount", metavar="AMOUNT", help="How much: '200 m', '300 g', '12 pieces', '3 sets'.")
@click.option("--date", "day", metavar="DATE", help="The day of it; today unless said.")
@click.option("--note", default="", metavar="TEXT", help="For the bench alone.")
@click.option(
    "--ahead",
    type=click.IntRange(1, 365),
    default=28,
    show_default=True,
    metavar="DAYS",
    help="Order what may last less than so long.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the list as data.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Ask nothing: write it.")
def command(
    content: Path,
    batch: str,
    amount: str | None,
    day: str | None,
    note: str,
    ahead: int,
    as_json: bool,
    dry_run: bool,
    yes: bool,
    **named: str | None,
) -> None:
    """Show what is left of each reel, set, roll and grip in catalogue/stock.yaml, how long it lasts, what to order.

    What jobs took is worked out from them: string by what the program says to cut, tape and silicone by what was fitted,
    everything else by the piece. --buy, --count and --take write to the book; a count sets right what was cut otherwise
    than worked out. Private: nothing of it is on any page.
    """
    said = {name: value for name, value in named.items() if value}
    if len(said) > 1:
        raise click.UsageError(worded("One of --buy, --count and --take at a time."))
    if said:
        _enter(content, *next(iter(said.items())), batch, amount, day, note, Options(yes, "", dry_run))
        return
    if amount or batch or note or day:
        raise click.UsageError(worded("Say what it is of: --buy, --count or --take NAME."))
    part = sound_part(content)
    found = shelves(part.records, today(), part.book)
    if as_json:
        click.echo(json.dumps([_data(shelf, ahead) for shelf in found], ensure_ascii=False, indent=2))
        return
    if not found:
        click.echo(
            worded(
                "Nothing is in the book of the stock. Begin it: passport stock {content} --buy NAME --amount '200 m'.",
                content=content,
            )
        )
        return
    Console().print(_table(found))
    for line in _words(found, ahead):
        click.echo(line)


def _enter(
    content: Path,
    option: str,
    what: str,
    batch: str,
    amount: str | None,
    day: str | None,
    note: str,
    options: Options,
) -> None:
    if not amount:
        raise click.UsageError(worded("--amount: say how much, as in '200 m', '300 g' or '12 pieces'."))
    when = day_said("--date", day)
    make = partial(entered, kind=_ENTRIES[option], what=what, batch=batch, amount=amount, day=when, note=note)
    if carry_out(content, "passport stock", make, options, base_of(content, ())) is not None:
        click.echo(worded("Written to {content}.", content=content / STOCK))


def _table(found: tuple[StockLine, ...]) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    for name in (worded("Stock"), worded("Left"), worded("Since"), worded("A week"), worded("Lasts")):
        table.add_column(name, no_wrap=name != "Stock")
    for shelf in found:
        for i, (_, left) in enumerate(shelf.lots):
            name = f"{shelf.name} {left.lot.batch}".strip()
            pace, lasts = (_pace(shelf, left), _lasts(shelf)) if i == 0 else ("", "")
            style = "bold" if left.amount.value <= 0 else ""
            table.add_row(name, _left(left), left.since.isoformat(), pace, lasts, style=style)
    return table


def _left(left: Remainder) -> str:
    measure, amount = left.measure, left.amount
    within = f" ± {2 * amount.u:.1f}" if measure != "pieces" and amount.u >= 0.05 else ""
    if amount.value < 0:
        return worded("none ({told} over)", told=told(-amount.value, measure))
    return f"{told(amount.value, measure)}{within}"


def _pace(shelf: StockLine, left: Remainder) -> str:
    return (
        told(shelf.pace.a_week.value, left.measure)
        if shelf.pace and left.measure != "pieces"
        else (f"{shelf.pace.a_week.value:.1f}" if shelf.pace else "–")
    )


def _lasts(shelf: StockLine) -> str:
    if shelf.lasts is None:
        return "–"
    likely, least, most = shelf.lasts
    if likely <= 0:
        return worded("gone")
    return (
        worded("{likely:.0f} weeks ({least:.0f} to {most:.0f})", likely=likely, least=least, most=most)
        if math.isfinite(most)
        else worded("{likely:.0f} weeks ({least:.0f} or more)", likely=likely, least=least)
    )


def _words(found: tuple[StockLine, ...], ahead: int) -> list[str]:
    lines = [""]
    for shelf in found:
        if shelf.loose:
            named = sorted({use.batch for use in shelf.loose if use.batch})
            of = f" ({', '.join(named[:4])}{' …' if len(named) > 4 else ''})" if named else ""
            jobs = counted(len({(use.frame, use.day) for use in shelf.loose}), "job")
            lines.append(
                worded(
                    "{shelf}: {jobs} since the first of these lots took from a batch that is not in the "
                    "book{of}, or named none.",
                    shelf=shelf.name,
                    jobs=jobs,
                    of=of,
                )
            )
        for _, left in shelf.lots:
            if left.gap and left.gap.tells:
                lines.append(_gap(shelf, left, left.gap))
        untold = sum(left.untold for _, left in shelf.lots)
        if untold:
            lines.append(
                worded(
                    "{shelf}: what {counted} took cannot be told, so less may be left.",
                    shelf=shelf.name,
                    counted=counted(untold, "job"),
                )
            )
    order = [shelf.name for shelf in found if shelf.short(timedelta(days=ahead))]
    if order:
        lines.append(
            worded("To order, it may last less than {ahead} days: {order}.", ahead=ahead, order="; ".join(order))
        )
    lines.append(
        worded("Left by the book, ± two standard uncertainties; count what was cut otherwise than worked out.")
    )
    return lines


def _gap(shelf: StockLine, left: Remainder, gap: CountGap) -> str:
    """What a count found otherwise than the book had it."""
    name = f"{shelf.name} {left.lot.batch}".strip()
    amount, within = told(abs(gap.less.value), left.measure), f" (± {2 * gap.less.u:.1f})" if gap.less.u >= 0.05 else ""
    if gap.less.value > 0:
        why = worded("cut longer than worked out, or not written down")
        return worded(
            "{name}: the count of {day} found {amount}{within} less than the book had: {why}.",
            name=name,
            day=gap.day,
            amount=amount,
            within=within,
            why=why,
        )
    return worded(
        "{name}: the count of {day} found {amount}{within} more than the book had: cut shorter, or "
        "bought and not written down.",
        name=name,
        day=gap.day,
        amount=amount,
        within=within,
    )


def _data(shelf: StockLine, ahead: int) -> dict[str, Any]:
    def rounded(value: float) -> float | None:
        return round(value, 2) if math.isfinite(value) else None

    measure = shelf.lots[0][1].measure
    return {
        "of": shelf.of,
        "name": shelf.name,
        "measure": measure,
        "left": rounded(shelf.whole.value),
        "left_u": rounded(shelf.whole.u),
        "lots": [
            {
                "lot": name,
                "batch": left.lot.batch,
                "left": rounded(left.amount.value),
                "left_u": rounded(left.amount.u),
                "since": left.since.isoformat(),
                "jobs": len(left.uses),
                "untold": left.untold,
                "count_less": rounded(left.gap.less.value) if left.gap else None,
            }
            for name, left in shelf.lots
        ],
        "a_week": rounded(shelf.pace.a_week.value) if shelf.pace else None,
        "a_week_u": rounded(shelf.pace.a_week.u) if shelf.pace else None,
        "lasts_weeks": [rounded(weeks) for weeks in shelf.lasts] if shelf.lasts else None,
        "order": shelf.short(timedelta(days=ahead)),
    }
