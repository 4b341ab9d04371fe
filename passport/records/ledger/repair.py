"""Mending a damaged or lost ledger from what is left: its sound lines, the records, and the last site.

Nothing is guessed away. An address that may have been given out is kept, since a needless line costs nothing and a lost
one kills a printed code. What could not be proven is said, line by line, so that a person can compare it with a backup.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from difflib import SequenceMatcher

from passport.records.ledger import ledger
from passport.records.ledger.ledger import CLOSED, ENDING, MENDED, Ledger, LedgerLine
from passport.records.load import Content
from passport.records.schema import numbers

RECOVERED = "recovered"
"""What happened to an address that was written down anew: it was given out, nobody knows any more on which day."""
_KEY_IN_TEXT = re.compile(rf"(?<![0-9A-Z])[{numbers.ALPHABET}]{{{numbers.KEY_LENGTH}}}(?![0-9A-Z])")
_ALIKE = 0.8


@dataclass(frozen=True, slots=True)
class Page:
    """What the last site has at a key: the passport number where a file's name tells it, and whether it says closed."""

    key: str
    number: str = ""
    player: bool = False
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Others:
    """What is known from outside of ledger, records and pages: ``keys`` from the site's manifest, what is ``closed`` and
    the ``highest`` number by that or the file beside the folder. ``recorded`` is the name under which the old ledger is
    kept, which is written down; empty where nothing is written of the mending."""

    keys: tuple[LedgerLine, ...] = ()
    closed: frozenset[str] = frozenset()
    highest: int = 0
    recorded: str = ""


@dataclass(slots=True)
class RepairedLedger:
    """A mended ledger: its whole text, where its lines come from, and what could not be proven, for a person."""

    text: str = ""
    kept: int = 0
    from_records: list[LedgerLine] = field(default_factory=list)
    from_site: list[LedgerLine] = field(default_factory=list)
    from_others: list[LedgerLine] = field(default_factory=list)
    unproven: list[str] = field(default_factory=list)


def repaired(
    text: str, content: Content, pages: Iterable[Page], day: date, *, site: bool, others: Others | None = None
) -> RepairedLedger:
    """A sound ledger from a damaged one's ``text`` (empty where it is gone), the records and the last site's pages.

    Sound lines are kept in their order and numbered anew. ``site`` says whether a last site was looked at; ``others``
    is what manifest and the file beside the content folder tell. A last line says that, and of what, it was made anew.
    """
    others = others or Others()
    known, result = ledger.parse(text), RepairedLedger()
    result.kept = len(known.lines)
    lines = list(known.lines)
    result.from_records = [replace(line, event=RECOVERED) for line in known.unlisted(content)]
    lines += result.from_records
    # The page of a lost frame tells no number; the manifest does.
    named = {line.key: line.number for line in others.keys}
    pages = [replace(page, number=page.number or named.get(page.key, "")) for page in pages]
    # Source after source, the most trusted first: each adds only what none before it knew.
    result.from_site = list(_from_site(Ledger(tuple(lines)), content, pages, result.unproven))
    lines += result.from_site
    result.from_others = list(_from_others(Ledger(tuple(lines)), content, others))
    lines += result.from_others
    whole = Ledger(tuple(lines))
    lines += _from_damage(text, known, whole, result.unproven)
    _say_what_is_missing(text, known, result.unproven, site=site)
    if others.recorded:
        number = numbers.with_check(others.highest) if others.highest > Ledger(tuple(lines)).highest else ""
        lines.append(LedgerLine(MENDED, "", "ledger", number, others.recorded))
    result.text = ledger.added("", lines, day)
    return result


def _from_others(known: Ledger, content: Content, others: Others) -> Iterator[LedgerLine]:
    """Keys that nothing else tells of, and closings that nobody wrote down."""
    for line in others.keys:
        if line.event not in ENDING and line.key not in known.issued:
            yield replace(line, event=RECOVERED)
    kinds = {line.key: line.kind for line in (*others.keys, *known.issued.values())}
    named = {line.key: line.number for line in (*others.keys, *known.issued.values()) if line.number}
    for key in sorted(others.closed - known.closed.keys() - known.reopened):
        if key not in kinds:
            yield LedgerLine(RECOVERED, key, "frame")
        yield LedgerLine(CLOSED, key, kinds.get(key, "frame"), named.get(key, ""))


def _from_site(known: Ledger, content: Content, pages: Iterable[Page], unproven: list[str]) -> Iterator[LedgerLine]:
    recorded = {line.key for line in ledger.in_content(content)}
    for page in pages:
        kind, missing = "player" if page.player else "frame", page.key not in known.issued
        if missing:
            yield LedgerLine(RECOVERED, page.key, kind, page.number)
            if not page.closed:
                whose = f"passport {page.number}" if page.number else f"a {kind}"
                unproven.append(f"The last site has a page of {whose} at {page.key}, but no record has that key.")
            elif not page.number:
                unproven.append(f"The last site says that {page.key} is closed; of what it was, nothing tells.")
        # A record with that key says that it is in use; then the old page is simply older.
        if page.closed and page.key not in known.closed and page.key not in recorded:
            yield LedgerLine(CLOSED, page.key, kind, page.number)


def _from_damage(text: str, known: Ledger, whole: Ledger, unproven: list[str]) -> Iterator[LedgerLine]:
    """What can still be read in damaged lines: a key that nothing else tells of is kept, and said to be unproven."""
    written = text.removeprefix("\ufeff").splitlines()
    for number in known.damaged:
        said = written[number - 1]
        keys = [_meant(key, whole) for key in _KEY_IN_TEXT.findall(said)]
        fresh = [key for key in keys if key not in whole.issued]
        yield from (LedgerLine(RECOVERED, key, "player" if " player " in said else "frame") for key in fresh)
        what = ""
        if fresh:
            what = f"names the address {fresh[0]}, which nothing else tells of; it is kept"
        elif not keys:
            what = "tells of no address that can be read"
        elif any(f" {event} " in said for event in ENDING) and keys[0] not in whole.closed:
            what = f"seems to close the address {keys[0]}, which nothing else proves; it is left open"
        if what:
            unproven.append(f"Line {number} {what}: {_printable(said)}")


def _meant(key: str, whole: Ledger) -> str:
    """The known key that one with slips in it stands for, else the key itself."""
    if key in whole.issued:
        return key
    return next((other for other in whole.issued if _alike(key, other)), key)


def _alike(one: str, other: str) -> bool:
    """Whether two keys differ by no more than slips; random ones share a fifth of their places at most."""
    # Quick first: the real comparison is slow, and most pairs are not alike at all.
    same = sum(a == b for a, b in zip(one, other, strict=True))
    return same >= 10 and SequenceMatcher(None, one, other).ratio() > _ALIKE


def _say_what_is_missing(text: str, known: Ledger, unproven: list[str], *, site: bool) -> None:
    if known.lost:
        counts = ", ".join(map(str, known.lost[:12])) + (" …" if len(known.lost) > 12 else "")
        unproven.append(f"Of line number {counts} nothing is left: what it said is only known if a record has it.")
    if not text.strip():
        unproven.append("The ledger was gone altogether: addresses without a record and a page are not known any more.")
    if not site:
        unproven.append("No last site was looked at: addresses without a record are not known. Name it with --site.")


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "�" for c in text[:160])
