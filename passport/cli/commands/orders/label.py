"""``passport label``: the label that hangs on a racquet while it waits."""

from collections.abc import Sequence
from pathlib import Path

import click

from passport.acts.picking import pick
from passport.acts.printing import roll_of
from passport.cli.shared.bench_folder import bench_folder, shown, write_pdf
from passport.cli.shared.common import FOLDER, refuse_place, sound_part
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.render.sheets.label import Roll, label_pdf
from passport.workshop.orders.label import intake_label


@click.command(
    name="label",
    epilog="Example: passport label content_demo 0967-1 --roll 29\n\n"
    "Example of all that wait: passport label content_demo --rack",
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frames", nargs=-1, metavar="[NUMBER-OR-NAME] …")
@click.option("--rack", is_flag=True, help="Of every frame that waits.")
@click.option(
    "--roll",
    type=click.Choice(["62", "29"]),
    help="The roll's width in mm; that of workshop.yaml ('label_roll'), or 62, unless said.",
)
@click.option("--out", type=FOLDER, help="The file to write; by default bench/label-NUMBER.pdf beside CONTENT.")
def command(content: Path, frames: tuple[str, ...], rack: bool, roll: Roll | None, out: Path | None) -> None:
    """Print the label that hangs on a racquet while it waits: number, player, promised day, recipe, code.

    One label a page, 62 × 62 mm across a roll of 62 mm, or 90 × 29 mm along one of 29 mm. A hand scanner that reads the
    code types the number. The file is private and written outside the public site.
    """
    records = sound_part(content, frames, unfinished=rack).records
    waiting = [entry for entry in records.frames.values() if entry.record.waiting]
    chosen = list({e.name: e for e in (*(pick(records, text) for text in frames), *(waiting if rack else ()))}.values())
    if not chosen:
        none = worded("No frame waits at the bench.") if rack else worded("Name a frame, or --rack for all that wait.")
        raise click.ClickException(none) if rack else click.UsageError(none)
    target = out or label_file(content, chosen, rack=rack)
    refuse_place(target, "--out", content)
    write_labels(records, chosen, roll or roll_of(records), target)


def write_labels(records: Content, entries: Sequence[Entry[Frame]], roll: Roll, target: Path) -> None:
    """Write labels to a file and say where they are. Ends the command where they cannot be made."""
    names, language = records.catalogue, records.workshop.record.language if records.workshop else "en"
    write_pdf(target, lambda: label_pdf([intake_label(records, entry, names) for entry in entries], roll, language))
    click.echo(worded("Label to print: {target}. Private: it names the player.", target=shown(target)))


def label_file(content: Path, chosen: Sequence[Entry[Frame]], *, rack: bool = False) -> Path:
    """Where labels are put unless said otherwise; erasing a player finds them by that name."""
    first = chosen[0].record.number or chosen[0].name.replace("/", "-")
    name = "rack-all" if rack else first if len(chosen) == 1 else f"{first}-and-{len(chosen) - 1}-more"
    return bench_folder(content) / f"label-{name}.pdf"
