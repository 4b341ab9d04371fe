"""What the commands share: reading the content, printing faults, ending with the right code."""

import sys
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import click

from passport.cli.shared.clock import today
from passport.cli.shared.printed import printed
from passport.publish.folder.swap import MARK
from passport.records import checks
from passport.records.faults import Fault, has_errors
from passport.records.load import Content, load
from passport.render import look_checks
from passport.render.theme import assets
from passport.workshop.gathering import checks as bench_checks

__all__ = ["FOLDER", "checked", "read", "refuse_place", "refuse_records", "report", "sound", "today", "writing"]

FOLDER = click.Path(path_type=Path)
_PDF = b"%PDF"


def read(folder: Path, only: Collection[str] | None = None) -> tuple[Content, list[Fault]]:
    """Read a content folder and run all checks; returns what could be read and every fault.

    With ``only`` no other players than those are read, by the names of their folders.
    """
    if not folder.exists():
        raise click.UsageError(f"There is no folder '{folder}'. Name the folder that holds workshop.yaml.")
    assets.use(folder)
    content, faults = load(folder, only)
    if content.workshop is None and any(f.rule == "no-workshop" for f in faults):
        return content, faults
    return content, sorted([*faults, *checked(content)])


def checked(content: Content) -> list[Fault]:
    """Every fault that the checks across records find today, those that take the bench's sums and those of the shop's
    own look among them."""
    now = today()
    return [*checks.run(content, now), *bench_checks.run(content, now), *look_checks.run(content)]


def sound(folder: Path) -> Content:
    """Read a content folder that must have no errors; prints the faults and ends with code 1 where it has."""
    content, faults = read(folder)
    report(faults)
    if has_errors(faults):
        count = sum(f.severity == "error" for f in faults)
        click.echo(f"\nNothing was written: {count} {'error' if count == 1 else 'errors'} in the records.", err=True)
        sys.exit(1)
    return content


@contextmanager
def writing(what: str) -> Iterator[None]:
    """What is written inside: a full disk or a file in the way ends the command with a word for a person."""
    try:
        yield
    except OSError as error:
        raise click.ClickException(f"{what} could not be written: {error}.") from None


def refuse_place(target: Path, option: str, content: Path | None = None) -> None:
    """End the command where a PDF for the bench, named by ``option``, would do harm: inside the public site, where it
    would be published, and lost at the next build; among the records; or over a file that is no PDF."""
    if target.is_dir():
        raise click.ClickException(f"'{target}' is a folder: name a file with {option}.")
    refuse_records(target.parent, option, content)
    site = next((folder for folder in target.resolve().parents if (folder / MARK).is_file()), None)
    if site:
        do = f"name a file outside it with {option}."
        raise click.ClickException(f"'{site}' is the public site, and what is for the bench is private: {do}")
    if target.exists() and not _is_pdf(target):
        do = f"name another file with {option}, or move this one away first."
        raise click.ClickException(f"'{target}' is there already and is no PDF: {do}")


def refuse_records(folder: Path, option: str, content: Path | None = None) -> None:
    """End the command where a folder to write into, named by ``option``, is one of records or lies inside one."""
    whole = folder.resolve()
    known = content.resolve() if content else None
    above = (whole, *whole.parents)
    root = next((place for place in above if place == known or (place / "workshop.yaml").is_file()), None)
    if root:
        raise click.ClickException(f"'{root}' holds the records: name a place outside it with {option}.")


def _is_pdf(path: Path) -> bool:
    try:
        if not path.is_file():  # a pipe would be waited for
            return False
        with path.open("rb") as file:
            return file.read(len(_PDF)) == _PDF
    except OSError:
        return False


def report(faults: Sequence[Fault]) -> None:
    """Print faults for a person, on standard error."""
    for fault in faults:
        click.echo(printed(fault) + "\n", err=True)
