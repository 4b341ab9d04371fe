"""Issued addresses: what a build must know of them, and their ledger mended where it is damaged."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from passport.acts import erase
from passport.acts.change import Base, commit, held, unread
from passport.acts.clock import today
from passport.acts.refused import Refused, writing
from passport.publish.folder.foreign import MARK
from passport.publish.folder.known import KnownAddresses, called, doubts, mending, survey
from passport.publish.folder.known import problems as unsettled
from passport.publish.folder.site_pages import site_keys, site_pages
from passport.records.disk import opening
from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.ledger import ledger, repair
from passport.records.ledger.ledger import Ledger, LedgerLine
from passport.records.ledger.repair import Others, RepairedLedger
from passport.records.load import Content
from passport.records.transaction.journal import Wanted
from passport.render.pages.closed import closed_page

MOVED = "moved"
"""What happened to an address whose card was printed anew, or whose old web address leads to the new one."""
CLOCK = "clock"
"""That the clock was ahead when the line before was written, and is right now."""
_SHOWN = 5


# --- before a build --------------------------------------------------------------------------------------------


def closed_addresses(records: Content, site: Path) -> tuple[tuple[str, ...], str]:
    """The keys that were closed for good, in order, and a warning, empty where there is none.

    Raises Refused where the ledger is damaged or cannot be read, where a closed address has a record again, and where
    the build would drop an address that was given out, by the ledger or by the site that stands at ``site``. The warning is of
    cards that lead to another web address.
    """
    known = surveyed(records, site)
    stops = problems(known, records)
    if stops:
        raise Refused("\n".join([*stops, worded("Nothing was written.")]))
    return known.closed, moved(known.ledger, records)


def surveyed(records: Content, site: Path, book: Ledger | None = None) -> KnownAddresses:
    """What is known of all addresses. Raises Refused where the ledger cannot be read."""
    try:
        return survey(records.root, site, records, book)
    except OSError as error:
        raise Refused(stop_at([unread(records.root, error)])) from None


def problems(known: KnownAddresses, records: Content) -> list[str]:
    """What stops a build, each with what to do, the gravest first; where that says it all, it alone."""
    damage = stop_at(ledger_faults(known.ledger, records.root, known.site))
    if damage:
        return [damage]
    lost = unnoticed(known, records)
    if lost and len(lost) == len(site_keys(known.site)):
        return [_said_of(lost, records, known.site)]
    return [*(one.text for one in unsettled(known, records)), *_dropped(known, records)]


def write_down(records: Content, say: Callable[[str], None]) -> str:
    """Add to the ledger what the records have and it does not know yet; a warning where the folder cannot be written."""
    if not (ledger.read(records.root) or Ledger()).unlisted(records):
        return ""
    root = records.root
    try:
        with held(root, "passport build", say):
            fresh = (ledger.read(root) or Ledger()).unlisted(records)
            commit(
                root,
                Wanted("passport build", worded("{fresh} addresses written down", fresh=len(fresh)), {}, fresh),
                say,
            )
    except (OSError, Refused) as error:
        return worded(
            "The addresses of this site could not be written down in {root}: {error}",
            root=root / ledger.FILE,
            error=error,
        )
    return ""


def unnoticed(known: KnownAddresses, records: Content) -> tuple[str, ...]:
    """Keys that the last site has pages for, and neither ledger nor records know."""
    present = ledger.keys_in(records) | set(known.ledger.issued) | set(known.closed)
    return tuple(sorted(site_keys(known.site) - present))


def faults_of(root: Path, records: Content, site: Path = Path("site")) -> list[Fault]:
    """What is wrong with the addresses of a content folder, as a build that writes to ``site`` would say it."""
    try:
        known = survey(root, site, records)
    except OSError as error:
        return [unread(root, error)]
    place = Place(str(root / ledger.FILE))
    found = [
        Fault(place, one.rule, one.what, " ".join(f"{text.removesuffix('.')}." for text in one.do))
        for one in unsettled(known, records)
    ]
    for player in erase.unfinished(root):
        what = worded(
            "The erasing of a player was stopped before its end: '{aside}{player}' is still here.",
            aside=erase.ASIDE,
            player=player,
        )
        found.append(
            Fault(
                Place(str(root)),
                "half-erased",
                what,
                worded("End it: passport erase {root} {player}", root=root, player=player),
            )
        )
    return [*ledger_faults(known.ledger, root, site), *found]


def ledger_faults(known: Ledger, root: Path, site: Path) -> list[Fault]:
    """What is wrong with the ledger's own file."""
    path = str(root / ledger.FILE)
    said = [
        (line, worded("This line was changed or cut short, so it is not believed.")) for line in known.damaged[:_SHOWN]
    ]
    if len(known.damaged) > _SHOWN:
        said.append(
            (known.damaged[_SHOWN], worded("So are {damaged} more lines.", damaged=len(known.damaged) - _SHOWN))
        )
    if known.lost:
        said.append((1, worded("Line number {map} is gone.", map=", ".join(map(str, known.lost[:12])))))
    said += [
        (line, worded("What stood before this line was lost, changed or moved.")) for line in known.broken[:_SHOWN]
    ]
    if known.forked:
        lines = ", ".join(map(str, known.forked[: 2 * _SHOWN]))
        said.append(
            (
                known.forked[0],
                worded("Two computers went on from one ledger: lines {lines} have numbers in common.", lines=lines),
            )
        )
    do = worded("Put the file back from a backup or from version control, or have it made anew from what is left:")
    return [Fault(Place(path, line), "damaged-ledger", what, f"{do} {mending(root, site)}") for line, what in said]


def stop_at(faults: Sequence[Fault]) -> str:
    """Faults of the ledger as one text that ends a command; what to do is the same for all of them."""
    lines = [f"{f.place.file}:{f.place.line}: {f.what[0].lower()}{f.what[1:]}" for f in faults]
    return "\n  ".join([*lines, faults[0].do]) if faults else ""


def _dropped(known: KnownAddresses, records: Content) -> list[str]:
    """Addresses that were given out and have no record, those of the ledger and those of the site alone."""
    dropped, root = [line for line in known.ledger.dropped(records) if line.key not in known.closed], records.root
    lines = []
    for line in dropped[:_SHOWN]:
        when = worded(" on {day}", day=line.day) if line.day and line.event == ledger.ISSUED else ""
        what = worded(
            "{called} was given out{when}, but no record has it: a person who scans its card would find nothing.",
            called=called(line),
            when=when,
        )
        do = f"passport retire {root} {line.key}"
        lines.append(
            worded("{what}\n  Put the record back, or leave a page that says it is closed: {do}", what=what, do=do)
        )
    if len(dropped) > _SHOWN:
        lines.append(
            worded("{dropped} more addresses were given out and have no record.", dropped=len(dropped) - _SHOWN)
        )
    lost = unnoticed(known, records)
    return [*lines, *([_said_of(lost, records, known.site)] if lost else [])]


def _said_of(lost: Sequence[str], records: Content, site: Path) -> str:
    """What is said of pages that nobody knows. Where that is all of them, the records are gone or the site is another
    workshop's: nothing tells which, and either site is worth keeping."""
    count = "1 address" if len(lost) == 1 else f"{len(lost)} addresses"
    what = worded(
        "The site at '{site}' has pages at {count} that neither the records nor the ledger know, {lost} among them.",
        site=site,
        count=count,
        lost=lost[0],
    )
    if len(lost) < len(site_keys(site)):
        return worded(
            "{what}\n  Put the records back, or write them down: {mending}",
            what=what,
            mending=mending(records.root, site),
        )
    return worded(
        "{what}\n  They are all of its pages, so it is the site of another workshop, or records and "
        "ledger are missing.\n  Another workshop's: name another folder with --out, or empty this one "
        "yourself if nobody needs it.\n  Missing: put players/ and {file} back into '{root}' from a "
        "backup or from version control;\n  if there is none, keep the addresses at least: {mending}",
        what=what,
        file=ledger.FILE,
        root=records.root,
        mending=mending(records.root, site),
    )


def moved(known: Ledger, records: Content) -> str:
    """A warning of cards that lead to another web address; empty where there are none."""
    address = records.workshop.record.address if records.workshop else ""
    away = known.moved(address)
    if not away:
        return ""
    cards = worded("1 card that was") if len(away) == 1 else worded("{away} cards that were", away=len(away))
    old = sorted({known.addresses[line.key] for line in away})
    do = worded("Keep the old address leading here, or print those cards anew; then say so:")
    return worded(
        "The web address is now {address}, but {cards} given out lead to {old}.\n  {do} passport "
        "addresses {root} --moved",
        address=address,
        cards=cards,
        old=", ".join(old[:3]),
        do=do,
        root=records.root,
    )


# --- the ledger made anew --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Anew:
    """A ledger made anew, what was known when it was, and where the old file is to be kept."""

    made: RepairedLedger
    known: KnownAddresses
    kept: str


def repaired(base: Base, site: Path) -> Anew | None:
    """The ledger made anew from what is left; None where it is whole and nothing is missing in it."""
    records, path = base.records, base.records.root / ledger.FILE
    ours, found = (site / MARK).is_file(), surveyed(base.records, site, base.ledger())
    pages = site_pages(site, closed_page(records)()) if ours else ()
    kept = _kept_as(path, today()).name
    made = repair.repaired(_text(path), records, pages, today(), site=ours, others=_others(found, kept))
    missing = made.from_records or made.from_site or made.from_others or doubts(found)
    return Anew(made, found, kept) if missing or not found.ledger.sound or not found.ledger.lines else None


def _others(found: KnownAddresses, kept: str) -> Others:
    """What the site's manifest and the file beside the folder tell, and under which name the mending is recorded."""
    before = (kept, found.witness.last, found.manifest.last)
    closed = found.witness.closed | found.manifest.closed
    return Others(found.manifest.keys, closed, found.highest, ",".join(word for word in before if word))


def write_repaired(base: Base, anew: Anew, say: Callable[[str], None]) -> Path | None:
    """Write a ledger made anew; where the old file is kept, or None without one. Raises Refused."""
    path, root = base.records.root / ledger.FILE, base.records.root
    with held(root, "passport addresses", say), writing(f"'{path}'"):
        if (
            ledger.parse(ledger.data_of(root).decode("utf-8", errors="replace")) != anew.known.ledger
        ):  # what `base` read is kept, so it is read again
            raise Refused(worded("Another command wrote to the ledger meanwhile. Nothing was written; try again."))
        kept = {anew.kept: opening.read(path)} if path.exists() else {}
        files = {**kept, ledger.FILE: anew.made.text.encode()}
        commit(root, Wanted("passport addresses", worded("The ledger made anew from what was left"), files), say)
    return path.with_name(anew.kept) if kept else None


def _text(path: Path) -> str:
    return opening.read(path).decode("utf-8", errors="replace") if path.exists() else ""


def _kept_as(path: Path, day: date) -> Path:
    """A name of its own for the damaged file: nothing that was ever written down is thrown away."""
    names = (
        path.with_name(f"{path.stem}-damaged-{day.isoformat()}{n}.txt") for n in ("", *(f"-{i}" for i in range(2, 100)))
    )
    return next(name for name in names if not name.exists())


def note_clock(base: Base, say: Callable[[str], None]) -> bool:
    """Take the clock to be right, though the ledger's last line has a later day; whether it has. Raises Refused.

    A line with today's date is added that says again what the last one said.
    """
    root = base.records.root
    with held(root, "passport addresses", say, clock=False), writing(f"'{root / ledger.FILE}'"):
        lines = base.ledger().lines
        if not lines or (lines[-1].day or today()) <= today():
            return False
        last = lines[-1]
        again = LedgerLine(CLOCK, last.key, last.kind, last.number, last.address)
        commit(root, Wanted("passport addresses", worded("The clock is right now"), {}, (again,)), say)
    return True


def note_moved(base: Base, say: Callable[[str], None]) -> int:
    """Take all cards to lead to the web address of today; how many passports that are. Raises Refused."""
    records = base.records
    address = records.workshop.record.address if records.workshop else ""
    with held(records.root, "passport addresses", say), writing(f"'{records.root / ledger.FILE}'"):
        known = base.ledger()
        away = [line for line in known.issued.values() if known.addresses.get(line.key, address) != address]
        lines = tuple(LedgerLine(MOVED, x.key, x.kind, x.number, address) for x in away)
        commit(
            records.root,
            Wanted("passport addresses", worded("Cards lead to {address} now", address=address), {}, lines),
            say,
        )
    return sum(line.kind == "frame" for line in away)
