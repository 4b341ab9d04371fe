"""``passport restore``: the workshop back from one file."""

import sys
from pathlib import Path

import click

from passport.acts.safekeeping import archive
from passport.acts.safekeeping.backup import restore
from passport.cli.shared.common import FOLDER
from passport.cli.shared.secrets import passphrase
from passport.records.disk import opening


@click.command(name="restore", epilog="Example: passport restore shop.zip restored")
@click.argument("backup", metavar="FILE", type=FOLDER)
@click.argument("folder", type=FOLDER)
@click.option(
    "--site",
    type=FOLDER,
    default=Path("site"),
    show_default=True,
    help="The last site, or a folder with its manifest.bin.",
)
def command(backup: Path, folder: Path, site: Path) -> None:
    """Bring a workshop back from the backup FILE into FOLDER, which must be new or empty.

    The backup is compared with what was not lost: the site, and the file beside FOLDER. Numbers that were given out or
    closed after the backup are listed, with what to do about them. Exit code 1 where something must be settled before
    the next build.
    """
    try:
        data = opening.read(backup, most=archive.ROOM)
    except OSError as error:
        raise click.UsageError(f"'{backup}' cannot be read: {error.strerror}.") from None
    found = restore(data, folder, passphrase() if data.startswith(archive.ENCRYPTED) else "", site)
    click.echo(f"{folder}: {found.files} files, as they were at {found.made}.")
    for line in found.newer:
        click.echo(line)
    if not found.stops:
        click.echo(f"Next: passport check {folder}, then passport build {folder} --out {site}")
        return
    click.echo("\nTo be settled before the next build:", err=True)
    for stop in found.stops:
        click.echo(stop, err=True)
    sys.exit(1)
