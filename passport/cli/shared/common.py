"""What the commands share: reading the content, printing faults, refusing places to write to."""

from collections.abc import Collection, Sequence
from datetime import date
from pathlib import Path

import click

from passport.acts import picking, reading
from passport.acts.clock import today
from passport.acts.reading import SoundPart, checked, read
from passport.acts.refused import writing
from passport.cli.shared.folder import FOLDER
from passport.cli.shared.printed import in_short, report
from passport.publish.folder.foreign import MARK
from passport.records.disk import opening
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.workshop.entry.phrases import Unclear, day_of

__all__ = [
    "FOLDER",
    "checked",
    "day_said",
    "read",
    "refuse_place",
    "refuse_records",
    "report",
    "sound",
    "sound_part",
    "sound_part_of",
    "today",
    "writing",
]

_BEGINNINGS = {"pdf": (b"%PDF",), "png": (b"\x89PNG",), "svg": (b"<svg", b"<?xml")}


def sound(folder: Path) -> Content:
    """Read a content folder that must have no errors; counts its warnings. Raises Faulty where it has errors."""
    content, faults = reading.sound(folder)
    in_short(faults)
    return content


def sound_part(folder: Path, frames: Sequence[str] = (), *, unfinished: bool = False) -> SoundPart:
    """The records of the players of some frames, of a content folder that must have no errors; counts its warnings.

    With ``unfinished`` those of all frames besides that wait at the bench, or to be collected, or are owed for. All
    records where it is in doubt whose a frame is. Raises Faulty where any record has errors.
    """
    return sound_part_of(folder, picking.owners_of(folder, frames), unfinished=unfinished)


def sound_part_of(folder: Path, players: Collection[str] | None, *, unfinished: bool = False) -> SoundPart:
    """The records of some players by their folders, of all where None, otherwise as `sound_part` says."""
    part = reading.part(folder, players, unfinished=unfinished)
    in_short(part.faults)
    return part


def day_said(option: str, text: str | None) -> date:
    """The day that an option says, today where nobody said one. Ends the command where it cannot be read."""
    try:
        return day_of(text, today()) if text else today()
    except Unclear as unclear:
        raise click.UsageError(f"{option}: {unclear}") from None


def refuse_place(target: Path, option: str, content: Path | None = None, kind: str = "pdf") -> None:
    """End the command where a file for the bench, named by ``option``, would do harm: inside the public site, where it
    would be published, and lost at the next build; among the records; or over a file that is of another kind."""
    if target.is_dir():
        raise click.ClickException(
            worded("'{target}' is a folder: name a file with {option}.", target=target, option=option)
        )
    refuse_records(target.parent, option, content)
    site = next((folder for folder in target.resolve().parents if (folder / MARK).is_file()), None)
    if site:
        do = worded("name a file outside it with {option}.", option=option)
        raise click.ClickException(
            worded("'{site}' is the public site, and what is for the bench is private: {do}", site=site, do=do)
        )
    if target.exists() and not _is(target, kind):
        do = worded("name another file with {option}, or move this one away first.", option=option)
        raise click.ClickException(
            worded("'{target}' is there already and is no {kind}: {do}", target=target, kind=kind.upper(), do=do)
        )


def refuse_records(folder: Path, option: str, content: Path | None = None) -> None:
    """End the command where a folder to write into, named by ``option``, is one of records or lies inside one."""
    whole = folder.resolve()
    known = content.resolve() if content else None
    above = (whole, *whole.parents)
    root = next((place for place in above if place == known or (place / "workshop.yaml").is_file()), None)
    if root:
        raise click.ClickException(
            worded("'{root}' holds the records: name a place outside it with {option}.", root=root, option=option)
        )


def _is(path: Path, kind: str) -> bool:
    """Whether a file begins as one of its kind does."""
    try:
        with opening.opened(path) as file:
            return file.read(8).startswith(_BEGINNINGS[kind])
    except OSError:
        return False
