"""Issued addresses: what a build must know of them, and ``passport addresses``, which shows and mends the ledger."""

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

import click

from passport.cli.shared.change import Base, base_of, held, unread
from passport.cli.shared.common import FOLDER, today, writing
from passport.cli.shared.dialogue import confirmed
from passport.publish.folder.swap import MARK
from passport.records.faults import Fault, Place
from passport.records.ledger import ledger, repair
from passport.records.ledger.ledger import Ledger, LedgerLine
from passport.records.load import Content
from passport.records.transaction import atomic

MOVED = "moved"
"""What happened to an address whose card was printed anew, or whose old web address leads to the new one."""
_SHOWN = 5


# --- before a build --------------------------------------------------------------------------------------------


def closed_addresses(records: Content, site: Path) -> tuple[tuple[str, ...], bool]:
    """The keys that were closed for good, in order, and whether there was something to warn of.

    Ends the command where the ledger is damaged or cannot be read, where a closed address has a record again, and where
    the build would drop an address that was given out, by the ledger or by the site that stands at ``site``. Warns of
    cards that lead to another web address.
    """
    try:
        known = ledger.read(records.root) or Ledger()
    except OSError as error:
        raise click.ClickException(_stop_at([unread(records.root, error)])) from None
    stop = _damage(known, records, site) or _back(known, records) or _dropped(known, records, site)
    if stop:
        raise click.ClickException(stop)
    return tuple(known.closed), _warn_of_moved(known, records)


def write_down(records: Content) -> None:
    """Add to the ledger what the records have and it does not know yet; a folder that cannot be written is a warning."""
    if not (ledger.read(records.root) or Ledger()).unlisted(records):
        return
    root = records.root
    try:
        with held(root, "passport build"):
            ledger.append(root, (ledger.read(root) or Ledger()).unlisted(records), today())
    except (OSError, click.ClickException) as error:
        said = error.message if isinstance(error, click.ClickException) else str(error)
        warn(f"The addresses of this site could not be written down in {root / ledger.FILE}: {said}")


def called(line: LedgerLine) -> str:
    """An address as a person knows it."""
    if line.number:
        return f"The address of passport {line.number}"
    return f"The address {line.key} of a {'player' if line.kind == 'player' else 'frame'}"


def unnoticed(known: Ledger, records: Content, site: Path) -> tuple[str, ...]:
    """Keys that the last site has pages for, and neither ledger nor records know."""
    present = ledger.keys_in(records) | set(known.issued) | set(known.closed)
    return tuple(sorted(repair.site_keys(site) - present))


def faults_of(root: Path, site: Path = Path("site")) -> list[Fault]:
    """What is wrong with the ledger file of a content folder, as a build that writes to ``site`` would say it."""
    try:
        return _faults(ledger.read(root) or Ledger(), root, site)
    except OSError as error:
        return [unread(root, error)]


def _faults(known: Ledger, root: Path, site: Path) -> list[Fault]:
    path = str(root / ledger.FILE)
    said = [(line, "This line was changed or cut short, so it is not believed.") for line in known.damaged[:_SHOWN]]
    if len(known.damaged) > _SHOWN:
        said.append((known.damaged[_SHOWN], f"So are {len(known.damaged) - _SHOWN} more lines."))
    if known.lost:
        said.append((1, f"Line number {', '.join(map(str, known.lost[:12]))} is gone."))
    do = "Put the file back from a backup or from version control, or have it made anew from what is left:"
    return [Fault(Place(path, line), "damaged-ledger", what, f"{do} {_mending(root, site)}") for line, what in said]


def _damage(known: Ledger, records: Content, site: Path) -> str:
    return _stop_at(_faults(known, records.root, site))


def _stop_at(faults: Sequence[Fault]) -> str:
    """Faults of the ledger as one text that ends a command; what to do is the same for all of them."""
    lines = [f"{f.place.file}:{f.place.line}: {f.what[0].lower()}{f.what[1:]}" for f in faults]
    return "\n  ".join([*lines, faults[0].do]) if faults else ""


def _mending(root: Path, site: Path) -> str:
    return f"passport addresses {root} --mend --site {site}"


def _back(known: Ledger, records: Content) -> str:
    closed = known.closed
    back = [line for line in ledger.in_content(records) if line.key in closed] if closed else []
    if not back:
        return ""
    do = "Erase it again, or take its number and key out of the record and run 'passport issue' for new ones."
    return f"{called(back[0])} was closed for good, but has a record again. {do}"


def _dropped(known: Ledger, records: Content, site: Path) -> str:
    dropped, root = known.dropped(records), records.root
    lines = []
    for line in dropped[:_SHOWN]:
        when = f" on {line.day.isoformat()}" if line.day and line.event == ledger.ISSUED else ""
        what = f"{called(line)} was given out{when}, but no record has it: whoever scans its card would find nothing."
        do = f"passport retire {root} {line.number or line.key}"
        lines.append(f"{what}\n  Put the record back, or leave a page that says it is closed: {do}")
    if len(dropped) > _SHOWN:
        lines.append(f"{len(dropped) - _SHOWN} more addresses were given out and have no record.")
    lost = unnoticed(known, records, site)
    if lost:
        lines.append(_said_of(lost, records, site))
    return "\n".join([*lines, "Nothing was written."]) if lines else ""


def _said_of(lost: Sequence[str], records: Content, site: Path) -> str:
    """What is said of pages that nobody knows. Where that is all of them, the records are gone or the site is another
    workshop's: nothing tells which, and either site is worth keeping."""
    count = "1 address" if len(lost) == 1 else f"{len(lost)} addresses"
    what = (
        f"The site at '{site}' has pages at {count} that neither the records nor the ledger know, {lost[0]} among them."
    )
    if len(lost) < len(repair.site_keys(site)):
        return f"{what}\n  Put the records back, or write them down: {_mending(records.root, site)}"
    return (
        f"{what}\n  They are all of its pages, so it is the site of another workshop, or records and ledger are missing.\n"
        "  Another workshop's: name another folder with --out, or empty this one yourself if nobody needs it.\n"
        f"  Missing: put players/ and {ledger.FILE} back into '{records.root}' from a backup or from version control;\n"
        f"  if there is none, keep the addresses at least: {_mending(records.root, site)}"
    )


def _warn_of_moved(known: Ledger, records: Content) -> bool:
    """Warn of cards that lead to another web address; whether there are any."""
    address = records.workshop.record.address if records.workshop else ""
    moved = known.moved(address)
    if moved:
        cards = "1 card that was" if len(moved) == 1 else f"{len(moved)} cards that were"
        old = sorted({known.addresses[line.key] for line in moved})
        do = "Keep the old address leading here, or print those cards anew; then say so:"
        warn(
            f"The web address is now {address}, but {cards} given out lead to {', '.join(old[:3])}.\n"
            f"  {do} passport addresses {records.root} --moved"
        )
    return bool(moved)


def warn(text: str) -> None:
    """A warning, on standard error."""
    click.echo(f"{click.style('warning:', fg='yellow', bold=True)} {text}\n", err=True)


# --- the command -----------------------------------------------------------------------------------------------


@click.command(name="addresses", epilog="Example: passport addresses content_demo --mend --site site")
@click.argument("content", type=FOLDER)
@click.option("--site", type=FOLDER, help="The last site; 'site', where it is one of ours, unless said.")
@click.option("--mend", "mending", is_flag=True, help="Make a damaged or lost ledger anew from what is left.")
@click.option(
    "--moved", is_flag=True, help="Cards with an old web address were printed anew, or it leads to the new one."
)
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
def command(content: Path, site: Path | None, mending: bool, moved: bool, yes: bool) -> None:
    """Say what the ledger of issued addresses knows, and whether it is whole.

    The ledger stands in CONTENT beside the records; it keeps printed codes alive. With --mend it is made anew from its
    sound lines, the records and the last site; the old file is kept beside it, and what could not be proven is said.
    Exit code 1 where the ledger is damaged or a build would drop an address.
    """
    if mending and moved:
        raise click.UsageError("Mend first, then say that cards moved.")
    base = base_of(content)
    site = site or Path("site")
    if mending:
        _mend(base, site, yes=yes)
    elif moved:
        _note_moved(base)
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
    _warn_of_moved(known, records)
    problems = [p for p in (_damage(known, records, site), _back(known, records), _dropped(known, records, site)) if p]
    if problems:
        raise click.ClickException("\n".join(problems))


def _mend(base: Base, site: Path, *, yes: bool) -> None:
    records, path = base.records, base.records.root / ledger.FILE
    ours = (site / MARK).is_file()
    closed = _closed_page(records)
    made = repair.mended(_text(path), records, repair.site_pages(site, closed()) if ours else (), today(), site=ours)
    known = base.ledger()
    if known.sound and known.lines and not (made.from_records or made.from_site):
        click.echo("The ledger is whole, and nothing is missing in it. Nothing was written.")
        return
    click.echo(
        f"{made.kept} lines are sound, {len(made.from_records)} addresses come from the records, "
        f"{len({line.key for line in made.from_site})} from {f'the site at {site}' if ours else 'no site'}."
    )
    _say_unproven(made.unproven)
    if records.unread:
        warn("Some records cannot be read, so their addresses may be missing: run 'passport check' first.")
    if not confirmed("Write the ledger anew?", yes=yes):
        raise click.ClickException("Nothing was written. Add --yes to write it.")
    with held(records.root, "passport addresses"), writing(f"'{path}'"):
        if base.ledger() != known:
            raise click.ClickException("Another command wrote to the ledger meanwhile. Nothing was written; try again.")
        kept = _keep(path, today())
        atomic.write(path, made.text.encode())
    click.echo(f"Written: {path}." + (f" The old one is kept as {kept.name}." if kept else ""))


def _say_unproven(unproven: Sequence[str]) -> None:
    click.echo("Not proven:" if unproven else "All of it is proven.")
    for line in unproven:
        click.echo(f"  {line}")


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8", errors="replace") if path.exists() else ""


def _keep(path: Path, day: date) -> Path | None:
    """The damaged file under a name of its own: nothing that was ever written down is thrown away."""
    if not path.exists():
        return None
    names = (
        path.with_name(f"{path.stem}-damaged-{day.isoformat()}{n}.txt") for n in ("", *(f"-{i}" for i in range(2, 100)))
    )
    kept = next(name for name in names if not name.exists())
    atomic.write(kept, path.read_bytes())
    return kept


def _note_moved(base: Base) -> None:
    records = base.records
    address = records.workshop.record.address if records.workshop else ""
    with held(records.root, "passport addresses"), writing(f"'{records.root / ledger.FILE}'"):
        known = base.ledger()
        moved = [line for line in known.issued.values() if known.addresses.get(line.key, address) != address]
        ledger.append(records.root, [LedgerLine(MOVED, x.key, x.kind, x.number, address) for x in moved], today())
    frames = sum(line.kind == "frame" for line in moved)
    click.echo(f"{frames} cards are now taken to lead to {address}.")


def _closed_page(records: Content) -> Callable[[], bytes]:
    from passport.cli.commands.frames.erase import closed_page  # the page that an erased player leaves

    return closed_page(records)
