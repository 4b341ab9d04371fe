"""``passport addresses``: the ledger of issued addresses, shown, and mended where it is damaged."""

from collections.abc import Sequence
from pathlib import Path

import click

from passport.acts.addresses import moved, note_clock, note_moved, problems, repaired, surveyed, write_repaired
from passport.acts.change import Base, outlines_of
from passport.acts.safekeeping import reopening
from passport.cli.shared.change import base_of, reading, said
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import confirmed
from passport.cli.shared.folder import site_of
from passport.cli.shared.printed import warn
from passport.publish.folder.foreign import MARK
from passport.publish.folder.known import called
from passport.publish.folder.site_pages import site_keys
from passport.records.language.worded import worded
from passport.records.ledger import ledger


@click.command(name="addresses", epilog="Example: passport addresses content_demo --mend --site site")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--site", type=FOLDER, help="The last site; by default 'site', if this program made it.")
@click.option("--mend", "mending", is_flag=True, help="Make a damaged or lost ledger anew from what is left.")
@click.option(
    "--moved", "away", is_flag=True, help="Cards with an old web address were printed anew, or it leads to the new one."
)
@click.option("--reopen", default="", metavar="KEY", help="Open an address again that was closed by mistake.")
@click.option(
    "--key", "typed", default="", metavar="KEY", help="Put the manifest key back, as the recovery sheet has it."
)
@click.option("--forget-manifest", is_flag=True, help="Give up the site's manifest, whose key is gone for good.")
@click.option("--clock", is_flag=True, help="The clock is right now; it was ahead when the ledger was last written to.")
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
def command(
    content: Path,
    site: Path | None,
    mending: bool,
    away: bool,
    clock: bool,
    reopen: str,
    typed: str,
    forget_manifest: bool,
    yes: bool,
) -> None:
    """Say what the ledger of issued addresses knows, and whether it is whole.

    The ledger stands in CONTENT beside the records; it keeps printed codes alive. With --mend a new ledger is made from
    the sound lines of the old one, the records, the last site with its manifest, and the file beside CONTENT that lists
    closed addresses. The old file is kept beside it, and lines that could not be proven are listed. Exit code 1 where
    the ledger is damaged, a build would drop an address, or one that is closed for good has a record again.
    """
    if sum(map(bool, (mending, away, clock, reopen, typed, forget_manifest))) > 1:
        raise click.UsageError(worded("Mend first, then say what else is to be written: one after the other."))
    named, site = site is not None, site or site_of(content)
    if forget_manifest:
        _forget(site, yes=yes)
        return
    # What stands in the records besides keys and numbers matters to a ledger that is made anew, and to an erased player.
    base = base_of(content) if mending or reopen else outlines_of(content, reading)
    if typed:
        opens = reopening.put_key(content, typed, site, said)
        click.echo(
            worded("The key is kept. It opens the manifest of the site at {site}.", site=site)
            if opens
            else worded("The key is kept.")
        )
    elif reopen:
        _reopen(base, site, reopen, yes=yes)
    elif mending:
        _mend(base, site if named else _own(base, site), yes=yes)
    elif clock:
        wrong = note_clock(base, said)
        click.echo(
            worded("The clock is taken to be right.")
            if wrong
            else worded("The clock is not behind. Nothing was written.")
        )
    elif away:
        address = base.records.workshop.record.address if base.records.workshop else ""
        click.echo(
            worded(
                "{note_moved} cards are now taken to lead to {address}.",
                note_moved=note_moved(base, said),
                address=address,
            )
        )
    else:
        _tell(base, site if named else _own(base, site))


def _tell(base: Base, site: Path) -> None:
    records, known = base.records, base.ledger()
    open_ = [line for key, line in known.issued.items() if key not in known.closed]
    frames = sum(line.kind == "frame" for line in open_)
    click.echo(
        worded(
            "{frames} passports and {open} players have an address, {closed} are closed.",
            frames=frames,
            open=len(open_) - frames,
            closed=len(known.closed),
        )
    )
    fresh = known.unlisted(records)
    if fresh:
        click.echo(worded("{fresh} more stand in the records; the next build writes them down.", fresh=len(fresh)))
    warn(moved(known, records))
    stops = problems(surveyed(records, site, known), records)
    if stops:
        raise click.ClickException("\n".join(stops))


def _own(base: Base, site: Path) -> Path:
    """The site that nobody named, unless all its pages are of others: their addresses are none of this workshop's."""
    pages = site_keys(site)
    if not pages or pages & (ledger.keys_in(base.records) | base.ledger().issued.keys()):
        return site
    said(
        worded(
            "Left out: the site at '{site}' has no page of this workshop. Name it with --site to count it.", site=site
        )
    )
    return site / "none"


def _mend(base: Base, site: Path, *, yes: bool) -> None:
    path = base.records.root / ledger.FILE
    anew = repaired(base, site)
    if anew is None:
        click.echo(worded("The ledger is whole, and nothing is missing in it. Nothing was written."))
        return
    made, ours = anew.made, (site / MARK).is_file()
    sums = {
        "kept": made.kept,
        "from_records": len(made.from_records),
        "value": len({line.key for line in made.from_site}),
        "site": site,
        "from_others": len(made.from_others),
    }
    if ours and made.from_others:
        told = worded(
            "{kept} lines are sound, {from_records} addresses come from the records, {value} from the "
            "site at {site}, {from_others} lines from elsewhere.",
            **sums,
        )
    elif ours:
        told = worded(
            "{kept} lines are sound, {from_records} addresses come from the records, {value} from the site at {site}.",
            **sums,
        )
    elif made.from_others:
        told = worded(
            "{kept} lines are sound, {from_records} addresses come from the records, {value} from no "
            "site, {from_others} lines from elsewhere.",
            **sums,
        )
    else:
        told = worded(
            "{kept} lines are sound, {from_records} addresses come from the records, {value} from no site.", **sums
        )
    click.echo(told)
    if anew.known.ledger.forked:
        click.echo(worded("The lines of two computers are put together; the new last line says so."))
    _say_unproven([*made.unproven, *([anew.known.sealed.what] if anew.known.sealed else [])])
    if base.records.unread:
        warn(worded("Some records cannot be read, so their addresses may be missing: run 'passport check' first."))
    if not confirmed(worded("Write the ledger anew?"), yes=yes):
        raise click.ClickException(worded("Nothing was written. Add --yes to write it."))
    kept = write_repaired(base, anew, said)
    click.echo(
        worded("Written: {path}.", path=path)
        + (worded(" The old one is kept as {kept}.", kept=kept.name) if kept else "")
    )


def _reopen(base: Base, site: Path, who: str, *, yes: bool) -> None:
    line = reopening.closed_one(base, surveyed(base.records, site, base.ledger()), who)
    click.echo(
        worded("{called} ({key}) was closed for good, and its record is back.", called=called(line), key=line.key)
    )
    if not confirmed(worded("Was it closed by mistake? Who was erased must not come back."), yes=yes, default=False):
        raise click.ClickException(worded("Nothing was written. Add --yes to open it."))
    reopening.reopen(base, line, said)
    click.echo(worded("Opened again. Next: passport build {root} --out {site}", root=base.records.root, site=site))


def _forget(site: Path, *, yes: bool) -> None:
    what = worded("What was given out and closed since the records were last saved is then not known any more.")
    click.echo(worded("The manifest of the site at '{site}' is taken away. {what}", site=site, what=what))
    if not confirmed(worded("Give it up?"), yes=yes, default=False):
        raise click.ClickException(worded("Nothing was written. Add --yes to give it up."))
    click.echo(worded("It is gone.") if reopening.forget_manifest(site) else worded("There was none."))


def _say_unproven(unproven: Sequence[str]) -> None:
    click.echo(worded("Not proven:") if unproven else worded("All of it is proven."))
    for line in unproven:
        click.echo(f"  {line}")
