"""Issued addresses: what a build must know of them, and their ledger mended where it is damaged."""

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from passport.acts.change import Base, held, unread
from passport.acts.clock import today
from passport.acts.refused import Refused, writing
from passport.publish.folder.site_pages import site_keys, site_pages
from passport.publish.folder.swap import MARK
from passport.records.faults import Fault, Place
from passport.records.ledger import ledger, repair
from passport.records.ledger.ledger import Ledger, LedgerLine
from passport.records.ledger.repair import Mended
from passport.records.load import Content
from passport.records.transaction import atomic
from passport.render.pages.closed import closed_page

MOVED = "moved"
"""What happened to an address whose card was printed anew, or whose old web address leads to the new one."""
_SHOWN = 5


# --- before a build --------------------------------------------------------------------------------------------


def closed_addresses(records: Content, site: Path) -> tuple[tuple[str, ...], str]:
    """The keys that were closed for good, in order, and a warning, empty where there is none.

    Raises Refused where the ledger is damaged or cannot be read, where a closed address has a record again, and where
    the build would drop an address that was given out, by the ledger or by the site that stands at ``site``. The warning is of
    cards that lead to another web address.
    """
    try:
        known = ledger.read(records.root) or Ledger()
    except OSError as error:
        raise Refused(_stop_at([unread(records.root, error)])) from None
    stop = next(iter(problems(known, records, site)), "")
    if stop:
        raise Refused(stop)
    return tuple(known.closed), moved(known, records)


def problems(known: Ledger, records: Content, site: Path) -> list[str]:
    """What stops a build that writes to ``site``, each with what to do, the gravest first."""
    found = (_stop_at(_faults(known, records.root, site)), _back(known, records), _dropped(known, records, site))
    return [problem for problem in found if problem]


def write_down(records: Content, say: Callable[[str], None]) -> str:
    """Add to the ledger what the records have and it does not know yet; a warning where the folder cannot be written."""
    if not (ledger.read(records.root) or Ledger()).unlisted(records):
        return ""
    root = records.root
    try:
        with held(root, "passport build", say):
            ledger.append(root, (ledger.read(root) or Ledger()).unlisted(records), today())
    except (OSError, Refused) as error:
        return f"The addresses of this site could not be written down in {root / ledger.FILE}: {error}"
    return ""


def called(line: LedgerLine) -> str:
    """An address as a person knows it."""
    if line.number:
        return f"The address of passport {line.number}"
    return f"The address {line.key} of a {'player' if line.kind == 'player' else 'frame'}"


def unnoticed(known: Ledger, records: Content, site: Path) -> tuple[str, ...]:
    """Keys that the last site has pages for, and neither ledger nor records know."""
    present = ledger.keys_in(records) | set(known.issued) | set(known.closed)
    return tuple(sorted(site_keys(site) - present))


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
    if len(lost) < len(site_keys(site)):
        return f"{what}\n  Put the records back, or write them down: {_mending(records.root, site)}"
    return (
        f"{what}\n  They are all of its pages, so it is the site of another workshop, or records and ledger are missing.\n"
        "  Another workshop's: name another folder with --out, or empty this one yourself if nobody needs it.\n"
        f"  Missing: put players/ and {ledger.FILE} back into '{records.root}' from a backup or from version control;\n"
        f"  if there is none, keep the addresses at least: {_mending(records.root, site)}"
    )


def moved(known: Ledger, records: Content) -> str:
    """A warning of cards that lead to another web address; empty where there are none."""
    address = records.workshop.record.address if records.workshop else ""
    away = known.moved(address)
    if not away:
        return ""
    cards = "1 card that was" if len(away) == 1 else f"{len(away)} cards that were"
    old = sorted({known.addresses[line.key] for line in away})
    do = "Keep the old address leading here, or print those cards anew; then say so:"
    return (
        f"The web address is now {address}, but {cards} given out lead to {', '.join(old[:3])}.\n"
        f"  {do} passport addresses {records.root} --moved"
    )


# --- the ledger made anew --------------------------------------------------------------------------------------


def mended(base: Base, site: Path) -> Mended | None:
    """The ledger made anew from what is left; None where it is whole and nothing is missing in it."""
    records, path = base.records, base.records.root / ledger.FILE
    ours, known = (site / MARK).is_file(), base.ledger()
    closed = closed_page(records)
    pages = site_pages(site, closed()) if ours else ()
    made = repair.mended(_text(path), records, pages, today(), site=ours)
    return None if known.sound and known.lines and not (made.from_records or made.from_site) else made


def write_mended(base: Base, made: Mended, say: Callable[[str], None]) -> Path | None:
    """Write a ledger made anew; where the old file is kept, or None without one. Raises Refused."""
    path, known = base.records.root / ledger.FILE, base.ledger()
    with held(base.records.root, "passport addresses", say), writing(f"'{path}'"):
        if (ledger.read(base.records.root) or Ledger()) != known:  # what `base` read is kept, so it is read again
            raise Refused("Another command wrote to the ledger meanwhile. Nothing was written; try again.")
        kept = _keep(path, today())
        atomic.write(path, made.text.encode())
    return kept


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


def note_moved(base: Base, say: Callable[[str], None]) -> int:
    """Take all cards to lead to the web address of today; how many passports that are. Raises Refused."""
    records = base.records
    address = records.workshop.record.address if records.workshop else ""
    with held(records.root, "passport addresses", say), writing(f"'{records.root / ledger.FILE}'"):
        known = base.ledger()
        away = [line for line in known.issued.values() if known.addresses.get(line.key, address) != address]
        ledger.append(records.root, [LedgerLine(MOVED, x.key, x.kind, x.number, address) for x in away], today())
    return sum(line.kind == "frame" for line in away)
