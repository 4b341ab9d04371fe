"""``passport find``: the frame that somebody remembers."""

import json
import sys
from collections.abc import Callable
from pathlib import Path

import click
from rich.cells import cell_len

from passport.acts.picking import matching, scanned
from passport.cli.shared.folder import FOLDER
from passport.publish.cache import frame_index
from passport.records.language.worded import worded
from passport.workshop.entry.search import Findable


@click.command(name="find", epilog='Example: passport find content_demo "juniper petrol"')
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("text", nargs=-1, required=True)
@click.option("--json", "as_json", is_flag=True, help="Print what was found as data.")
@click.option("--most", default=20, show_default=True, type=click.IntRange(1, 1000), help="How many to list.")
def command(content: Path, text: tuple[str, ...], as_json: bool, most: int) -> None:
    """Find frames of CONTENT by number, player, label, model, serial, string or card; a typo does no harm.

    What a hand scanner reads from a card or a recipe code finds its frame. Each word must fit. The newest strings count before older ones, frames in play before others. Exit code 1 where
    nothing fits.
    """
    if not (content / "workshop.yaml").is_file():
        raise click.UsageError(
            worded("There is no workshop.yaml in '{content}'. Name the folder that holds it.", content=content)
        )
    said = " ".join(text)
    found = frame_index.matching(content, said, most, _progress())
    if not found and scanned(said):
        from passport.records.load import load  # brings the records' types, which a search does without

        named = {entry.name for entry in matching(load(content)[0], said)}
        found = [one for one in frame_index.frames(content) if one.name in named]
    if as_json:
        click.echo(json.dumps([_data(f) for f in found], ensure_ascii=False))
    else:
        _table(found)
    if not found:
        click.echo(worded("Nothing fits '{text}'. Fewer words find more.", text=" ".join(text)), err=True)
        sys.exit(1)


def _data(found: Findable) -> dict[str, object]:
    return {
        "number": found.number,
        "frame": found.name,
        "player": found.player,
        "label": found.label,
        "model": found.model,
        "serial": found.serial,
        "status": found.status,
        "strings": list(found.strings),
    }


def _table(found: list[Findable]) -> None:
    rows = [(f.number or worded("no number"), f.name, f.label, _model(f.model), _string(f), _state(f)) for f in found]
    widths = [max((cell_len(row[i]) for row in rows), default=0) for i in range(6)]
    for row in rows:
        # by the terminal's columns: a Japanese sign takes two, a vowel sign none
        padded = (cell + " " * (width - cell_len(cell)) for cell, width in zip(row, widths, strict=True))
        click.echo("  ".join(padded).rstrip())


def _model(text: str) -> str:
    return text.rpartition(" ")[0] or text


def _string(found: Findable) -> str:
    return _model(found.strings[0]) if found.strings else ""


def _state(found: Findable) -> str:
    return "" if found.status == "active" else found.status


def _progress() -> Callable[[int, int], None] | None:
    """A line that tells how far the first reading is; nothing when piped."""
    if not sys.stderr.isatty():
        return None

    def show(done: int, total: int) -> None:
        if done % 200 == 0 and total > 200:
            click.echo(worded("\rReading records {done} of {total}", done=done, total=total), nl=False, err=True)

    return show
