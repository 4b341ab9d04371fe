"""The private folder beside the content for cards and sheets, what is written there, and how a path is shown."""

from collections.abc import Callable
from pathlib import Path

import click

from passport.acts.refused import writing
from passport.records.transaction import atomic

FOLDER_NAME = "bench"


def bench_folder(content: Path) -> Path:
    """The private folder beside the content, where cards and sheets for the bench are put; no part of the site."""
    return content.resolve().parent / FOLDER_NAME


def shown(path: Path) -> Path:
    """A path as short as it can be typed from here."""
    full = path.resolve()
    return full.relative_to(Path.cwd()) if full.is_relative_to(Path.cwd()) else path


def write_pdf(target: Path, make: Callable[[], bytes]) -> None:
    """Make a private PDF and write it. Ends the command where it cannot be made, and raises Refused where not written."""
    from passport.render.print.pdf import NoPango  # WeasyPrint takes a second to import

    try:
        page = make()
    except NoPango as error:
        raise click.ClickException(str(error)) from None
    with writing(f"'{target}'"):
        target.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(target, page)
