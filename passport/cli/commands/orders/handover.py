"""``passport handover``: a frame is handed back."""

from functools import partial
from pathlib import Path

import click

from passport.acts.drafts import Draft
from passport.acts.orders.handover import ALL, Handed, handed_back
from passport.acts.picking import owners_of, pick
from passport.cli.answers.trail import HELP
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER, day_said
from passport.cli.shared.dialogue import ask, at_terminal
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame


@click.command(
    name="handover",
    epilog='Example: passport handover content_demo 1003-1 --to "her brother" --paid all --dry-run\n\n'
    'Example of what was owed and is paid: passport handover content_demo 1042-9 --paid "£84.00, by transfer" --dry-run',
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frames", nargs=-1, required=True, metavar="NUMBER-OR-NAME …")
@click.option("--to", metavar="WHO", help="Who collected it.")
@click.option("--paid", metavar="TEXT", help="What was paid: '£28.00, card'; 'all' is the price on record.")
@click.option("--owed", metavar="TEXT", help="What is owed: '£28.00'; 'all' is the price on record.")
@click.option("--date", "day", metavar="DATE", help="When, as in 2026-11-25; today unless said.")
@click.option("--job", metavar="DATE", help="The day of the job, where it is not the last.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Ask nothing: write what is said.")
def command(
    content: Path,
    frames: tuple[str, ...],
    to: str | None,
    paid: str | None,
    owed: str | None,
    day: str | None,
    job: str | None,
    dry_run: bool,
    yes: bool,
) -> None:
    """Hand frames back: who collected them and when, what was paid, what is owed. All of it is private.

    Several frames that go together are handed back in one go. A frame that still waits at the bench is refused: record
    the job first. Of one that was handed back already, --paid settles what is owed. 'passport owed' lists what is.
    Without an option it asks.
    """
    base = base_of(content, owners_of(content, frames))
    entries = [pick(base.records, text) for text in frames]
    said = Handed(to or "", paid or "", owed or "", day_said("--job", job) if job else None)
    when = day_said("--date", day)
    names = [entry.name for entry in entries]

    def written(said: Handed, question: str = "") -> Content | None:
        make = partial(handed_back, names=names, said=said, day=when)
        return carry_out(content, "passport handover", make, Options(yes, question, dry_run), base)

    if said == Handed() and not yes and not dry_run and at_terminal():
        from passport.cli.answers.trail import retraced  # only where a person sits

        draft, command = Draft(content, f"handover-{names[0]}"), f"passport handover {content} {' '.join(frames)}"
        after = retraced(lambda: written(_asked(base.records, entries), worded("Write this?")), draft, command)
    else:
        after = written(said)
    if after is not None:
        click.echo(worded("Written. To take it back: passport undo {content}", content=content))


def _asked(records: Content, entries: list[Entry[Frame]]) -> Handed:
    """Who collects, what is paid and what is owed; the price on record is offered."""
    player = records.players.get(entries[0].name.partition("/")[0])
    price = next((job.price for e in entries for job in reversed(e.record.jobs) if job.price and not job.handed), "")
    click.echo(worded("Enter takes what stands in [ ], '-' leaves it out, {help}\n", help=worded(HELP)))
    to = ask(worded("Collected by"), (player.record.full_name or player.record.name) if player else "")
    paid = ask(
        worded("Paid, of {price} ('{all}' for all of it)", price=price, all=ALL)
        if price
        else worded("Paid ('{all}' for all of it)", all=ALL)
    )
    owed = "" if paid == ALL else ask(worded("Owed"), "" if paid else price)
    return Handed(to, paid, owed)
