"""``passport issue``: give a record its number and its key."""

from pathlib import Path

import click

from passport.cli.common import FOLDER, read, report, writing
from passport.publish import atomic
from passport.records import numbers
from passport.records.edit import with_first_lines
from passport.records.explain import closest
from passport.records.load import Content

FIRST = 1001
"""The first running number of a workshop that has issued none."""


@click.command(name="issue", epilog="Example: passport issue content_demo ines/spare")
@click.argument("content", type=FOLDER)
@click.argument("frame", metavar="PLAYER/FRAME")
def command(content: Path, frame: str) -> None:
    """Give the record PLAYER/FRAME its passport number and the key of its page.

    The number is the next free one with its check character; the key is 130 random bits. What the record already has
    is kept, and no other line of it is touched. The player gets a key too where there is none.
    """
    records, faults = read(content)
    entry = records.frames.get(frame)
    if entry is None:
        about = [f for f in faults if f"players/{frame}.yaml" in f.place.file.replace("\\", "/")]
        report(about)
        hint = closest(frame, list(records.frames)) or "Frames are named by folder and file, as in 'ines/spare'."
        why = "cannot be read" if about else "does not exist"
        raise click.ClickException(
            f"The record '{frame}' {why}, so nothing was written. {'' if about else hint}".strip()
        )
    record, player = entry.record, frame.partition("/")[0]
    fresh = {"number": record.number or next_number(records), "key": record.key or numbers.new_key()}
    _add(content / "players" / f"{frame}.yaml", {k: v for k, v in fresh.items() if not getattr(record, k)})
    owner = records.players.get(player)
    if owner and not owner.record.key:
        _add(content / "players" / player / "player.yaml", {"key": numbers.new_key()})
    kept = " (it had them already)" if record.number and record.key else ""
    click.echo(f"{frame}: passport {fresh['number']}{kept}")
    if records.workshop:
        click.echo(f"Its page: {records.workshop.record.address}/{fresh['key']}/")
    click.echo(f"Next: passport build {content} --out site")


def next_number(records: Content) -> str:
    """The number after the highest one in use."""
    used = [numbers.running_number(e.record.number) for e in records.frames.values() if e.record.number]
    return numbers.with_check(max(used, default=FIRST - 1) + 1)


def _add(path: Path, values: dict[str, str]) -> None:
    if values:
        text = path.read_bytes().decode("utf-8-sig")
        with writing(f"'{path}'"):
            atomic.write(path, with_first_lines(text, values).encode())
