"""``passport undo``: take the last change of the records back."""

from pathlib import Path

import click

from passport.acts.amending.undo import changes, title, undone
from passport.cli.shared.change import Options, asking_of
from passport.cli.shared.common import FOLDER
from passport.cli.shared.folder import build_command
from passport.records.language.worded import worded

_LISTED = 20


@click.command(name="undo", epilog="Example: passport undo content_demo --list")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option(
    "--list", "listing", is_flag=True, help="List the changes that can be taken back, newest first, and stop."
)
@click.option("--change", "number", type=int, metavar="NUMBER", help="Not the last change but this one of the list.")
@click.option("--redo", is_flag=True, help="Bring back what was taken back last, unless that withdrew an address.")
@click.option("--dry-run", is_flag=True, help="Show what would be taken back, and stop.")
@click.option("--yes", is_flag=True, help="Do not ask before taking it back.")
def command(content: Path, listing: bool, number: int | None, redo: bool, dry_run: bool, yes: bool) -> None:
    """Take the last change of the records back: it shows what was changed, when and in which files, and asks.

    Run again it goes one change further back, on another day too. It refuses where a file of the change was edited since.
    A number that was given out by mistake is withdrawn: it is never given again, and its address says that it is closed.
    What was erased does not come back.
    """
    if listing:
        _list(content)
        return
    if redo and number is not None:
        raise click.UsageError(worded("Choose one: --redo or --change."))
    question = worded("Bring this back?") if redo else worded("Take this back?")
    options = Options(yes, question, dry_run, sure=True, errors_too=True)
    done = undone(content, asking_of(options), number, redo=redo, dry_run=dry_run)
    if done:
        click.echo(
            worded("Brought back. Next: {build_command}", build_command=build_command(content))
            if redo
            else worded("Taken back. Next: {build_command}", build_command=build_command(content))
        )


def _list(content: Path) -> None:
    found = changes(content)
    for entry in found[:_LISTED]:
        click.echo(title(entry) + ("" if entry.kept else worded("  (nothing of it is kept)")))
    if len(found) > _LISTED:
        click.echo(worded("… and {found} earlier ones", found=len(found) - _LISTED))
    if not found:
        click.echo(worded("Nothing is remembered that could be taken back."))
