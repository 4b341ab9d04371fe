"""``passport restore``: the workshop back from one file, or from its site."""

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from passport.acts.count import counted
from passport.acts.safekeeping import archive
from passport.acts.safekeeping.backup import restore
from passport.cli.shared.change import said
from passport.cli.shared.common import FOLDER
from passport.cli.shared.printed import progress_bar
from passport.cli.shared.secrets import passphrase
from passport.records.disk import opening
from passport.records.language.worded import worded

if TYPE_CHECKING:
    from passport.publish.asked.web import Web


@click.command(name="restore", epilog="Example: passport restore shop.zip restored")
@click.argument("places", metavar="[FILE] FOLDER", type=FOLDER, nargs=-1, required=True)
@click.option(
    "--site",
    default="site",
    show_default=True,
    metavar="SITE",
    help="The last site: its folder, one with its manifest.bin, or its address on the web.",
)
@click.option(
    "--from-site", metavar="SITE", help="Without a backup: the folder of the site, or its address on the web."
)
@click.option("--key", "typed", default="", metavar="KEY", help="With --from-site: the key on the recovery sheet.")
@click.option("--address", default="", help="With --from-site: where the site stands, if that is a folder here.")
def command(places: tuple[Path, ...], site: str, from_site: str | None, typed: str, address: str) -> None:
    """Bring a workshop back from the backup FILE into FOLDER, which must be new or empty.

    The backup is compared with what was not lost: the site, and the file beside FOLDER. Numbers that were given out or
    closed after the backup are listed, with what to do about them, so that none is given twice. Exit code 1
    where something must be settled before the next build.

    With --from-site there is no backup: what the site alone tells comes back. With the key from the recovery sheet, or
    the passphrase of the copy that 'passport backup --online' put there, that is
    every number and address ever given out; each open passport's setup, targets and last stringing; names of players as
    pages show them. Contacts, prices, private notes, blanks, stock, checks of instruments and earlier jobs as data do not:
    they are nowhere public. Pages and photos stay in the site's folder.
    """
    if from_site is not None:
        _regain(places, from_site, typed, address, Path(site))
        return
    if typed or address or len(places) != 2:
        raise click.UsageError(worded("Name the backup and the new folder; --key and --address go with --from-site."))
    backup, folder = places
    try:
        data = opening.read(backup, most=archive.ROOM)
    except OSError as error:
        raise click.UsageError(
            worded("'{backup}' cannot be read: {strerror}.", backup=backup, strerror=error.strerror)
        ) from None
    last = _told_online(site, folder) if re.match("https?://", site) else Path(site)
    found = restore(data, folder, passphrase() if data.startswith(archive.ENCRYPTED) else "", last)
    click.echo(
        worded("{folder}: {files} files, as they were at {made}.", folder=folder, files=found.files, made=found.made)
    )
    for line in found.newer:
        click.echo(line)
    if not found.stops:
        click.echo(
            worded(
                "Next: passport check {folder}, then passport build {folder} --out {value}",
                folder=folder,
                value="site" if last != Path(site) else site,
            )
        )
        return
    click.echo(worded("\nTo be settled before the next build:"), err=True)
    for stop in found.stops:
        click.echo(stop, err=True)
    sys.exit(1)


def _told_online(address: str, folder: Path) -> Path:
    """The folder, beside the new one, that holds the manifest of the site at an address."""
    from passport.acts.safekeeping.regained import manifest_brought
    from passport.publish.asked.web import Web

    with Web(address) as web:
        return manifest_brought(web, folder.with_name(f"{folder.name}-online"))


def _key(typed: str, source: "Path | Web") -> tuple[str, bytes]:
    """The manifest's key, and the ledger: typed, or from the copy on the site that a passphrase opens."""
    from passport.acts.safekeeping.regained import in_envelope, unwrapped

    data = b"" if typed else in_envelope(source)
    return unwrapped(data, passphrase()) if data else (typed, b"")


def _regain(places: tuple[Path, ...], told: str, typed: str, address: str, site: Path) -> None:
    """What the site alone tells, into the one folder that is named."""
    from passport.acts.safekeeping.regained import mirrored, regain
    from passport.publish.asked.web import Web

    if len(places) != 1:
        raise click.UsageError(worded("--from-site needs no backup: name the new folder alone."))
    (folder,) = places
    book = b""
    if re.match("https?://", told):
        address = told.rstrip("/")
        with Web(address) as web, progress_bar(worded("Bringing the site here")) as progress:
            typed, book = _key(typed, web)
            if not typed:
                needs = worded(
                    "From the web the key of the recovery sheet is needed, with --key: no page lists the others."
                )
                raise click.UsageError(needs)
            lies = mirrored(web, typed, site, progress)
    else:
        lies = Path(told)
        typed, book = _key(typed, lies)
    found = regain(lies, folder, typed, address, said, book)
    click.echo(
        worded(
            "{folder}: {counted} and {counted2} with their setups, {addresses} addresses in the ledger.",
            folder=folder,
            counted=counted(found.players, "player"),
            counted2=counted(len(found.frames), "frame"),
            addresses=found.addresses,
        )
    )
    for number, why in found.without:
        click.echo(worded("Only number and key of {number}: {why}.", number=number, why=why))
    if not typed:
        click.echo(
            worded(
                "Without the key, numbers that were given out and have no page are not known: do not give new ones yet."
            )
        )
    click.echo(
        worded(
            "Not regained, since it is nowhere public: contacts, prices, notes, blanks, stock, checks, "
            "earlier jobs as data."
        )
    )
    click.echo(
        worded(
            "Next: passport check {folder}, then passport build {folder} --out {site}", folder=folder, site=found.site
        )
    )
