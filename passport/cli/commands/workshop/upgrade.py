"""``passport upgrade``: a workshop in the form of this version."""

from pathlib import Path

import click

from passport.acts.safekeeping.upgrade import base_for, carry_out, done, upgrade_of
from passport.cli.shared.change import reading, said
from passport.cli.shared.common import FOLDER
from passport.records.language.worded import worded
from passport.records.yaml.yamlplace import CannotEdit


@click.command(name="upgrade", epilog="Example: passport upgrade content_demo --write")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--write", is_flag=True, help="Do it; without this, only what would be done is shown.")
def command(content: Path, write: bool) -> None:
    """Bring records and ledger of an earlier version to the form of this one: shown first, done with --write.

    A backup is saved before anything is written. Records of earlier versions are read without it too; those of a later
    version are refused.
    """
    base = base_for(content, reading)
    try:
        wanted = upgrade_of(base)
    except CannotEdit as error:
        raise click.ClickException(worded("Nothing was written. {error}", error=error)) from None
    if not wanted.said:
        click.echo(done(content))
        return
    for line in wanted.said:
        click.echo(f"  {line}")
    if not write:
        click.echo(worded("Nothing was written yet. If it is right: the same with --write."))
        return
    saved = carry_out(base, wanted, said)
    click.echo(worded("Done. As it was before: {path}.", path=saved.path))
