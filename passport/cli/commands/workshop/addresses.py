"""``passport addresses``: the ledger of issued addresses, shown, and mended where it is damaged."""

from collections.abc import Sequence
from pathlib import Path

import click

from passport.acts.addresses import mended, moved, note_moved, problems, write_mended
from passport.acts.change import Base
from passport.cli.shared.change import base_of, said
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import confirmed
from passport.cli.shared.printed import warn
from passport.publish.folder.swap import MARK
from passport.records.ledger import ledger


@click.command(name="addresses", epilog="Example: passport addresses content_demo --mend --site site")
@click.argument("content", type=FOLDER)
@click.option("--site", type=FOLDER, help="The last site; 'site', where it is one of ours, unless said.")
@click.option("--mend", "mending", is_flag=True, help="Make a damaged or lost ledger anew from what is left.")
@click.option(
    "--moved", "away", is_flag=True, help="Cards with an old web address were printed anew, or it leads to the new one."
)
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
def command(content: Path, site: Path | None, mending: bool, away: bool, yes: bool) -> None:
    """Say what the ledger of issued addresses knows, and whether it is whole.

    The ledger stands in CONTENT beside the records; it keeps printed codes alive. With --mend it is made anew from its
    sound lines, the records and the last site; the old file is kept beside it, and what could not be proven is said.
    Exit code 1 where the ledger is damaged or a build would drop an address.
    """
    if mending and away:
        raise click.UsageError("Mend first, then say that cards moved.")
    base = base_of(content)
    site = site or Path("site")
    if mending:
        _mend(base, site, yes=yes)
    elif away:
        address = base.records.workshop.record.address if base.records.workshop else ""
        click.echo(f"{note_moved(base, said)} cards are now taken to lead to {address}.")
    else:
        _tell(base, site)


def _tell(base: Base, site: Path) -> None:
    records, known = base.records, base.ledger()
    open_ = [line for key, line in known.issued.items() if key not in known.closed]
    frames = sum(line.kind == "frame" for line in open_)
    click.echo(f"{frames} passports and {len(open_) - frames} players have an address, {len(known.closed)} are closed.")
    fresh = known.unlisted(records)
    if fresh:
        click.echo(f"{len(fresh)} more stand in the records; the next build writes them down.")
    warn(moved(known, records))
    stops = problems(known, records, site)
    if stops:
        raise click.ClickException("\n".join(stops))


def _mend(base: Base, site: Path, *, yes: bool) -> None:
    path = base.records.root / ledger.FILE
    made = mended(base, site)
    if made is None:
        click.echo("The ledger is whole, and nothing is missing in it. Nothing was written.")
        return
    ours = (site / MARK).is_file()
    click.echo(
        f"{made.kept} lines are sound, {len(made.from_records)} addresses come from the records, "
        f"{len({line.key for line in made.from_site})} from {f'the site at {site}' if ours else 'no site'}."
    )
    _say_unproven(made.unproven)
    if base.records.unread:
        warn("Some records cannot be read, so their addresses may be missing: run 'passport check' first.")
    if not confirmed("Write the ledger anew?", yes=yes):
        raise click.ClickException("Nothing was written. Add --yes to write it.")
    kept = write_mended(base, made, said)
    click.echo(f"Written: {path}." + (f" The old one is kept as {kept.name}." if kept else ""))


def _say_unproven(unproven: Sequence[str]) -> None:
    click.echo("Not proven:" if unproven else "All of it is proven.")
    for line in unproven:
        click.echo(f"  {line}")
