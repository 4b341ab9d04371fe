"""The ledger of issued addresses: one line for each key that was ever given out, kept beside the records.

A printed code outlives everything else, so what was issued is written down here and never taken out again. The file is
only ever added to. Each line carries its running number, a checksum and a link to the lines before it, so that a
damaged line, a lost one and a moved one are seen. See `passport.records.ledger.lines` for their form.
"""

import errno
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from passport.records.disk import opening
from passport.records.ledger import lines as form
from passport.records.ledger.lines import (
    CLOSED,
    ENDING,
    ISSUED,
    MENDED,
    RENUMBERED,
    REOPENED,
    WITHDRAWN,
    LedgerLine,
    checksum,
)
from passport.records.schema import numbers

if TYPE_CHECKING:
    from passport.records.load import Content

FILE = "ledger.txt"
FORMAT = 2
"""The form of the file that this program writes: 1 has no links."""
HEAD = f"""\
# Every address that was ever given out; cards with them are in players' hands. 'passport' adds lines at the end, and
# nothing is changed or taken out. Keep this file with the records and back it up with them. (Format {FORMAT})
"""
__all__ = [
    "CLOSED", "ENDING", "FILE", "FORMAT", "HEAD", "ISSUED", "MENDED", "RENUMBERED", "REOPENED", "WITHDRAWN", "Ledger",
    "LedgerLine", "added", "appended", "checksum", "data_of", "in_content", "keys_in", "parse", "path_of", "read",
]  # fmt: skip
_FORMAT = re.compile(r"#.*\(Format ([0-9]{1,9})\)\s*")


@dataclass(frozen=True)
class Ledger:
    """What the ledger says. All of ``damaged``, ``broken`` and ``forked`` are lines of the file, 1-based.

    ``damaged`` cannot be trusted; ``broken`` do not follow the line before them: one was lost, changed or moved;
    ``forked`` have a running number that another line has as well: two computers went on from one ledger. ``lost`` are
    the running numbers that are missing between others; ``links`` those of the lines, in their order.
    """

    lines: tuple[LedgerLine, ...] = ()
    damaged: tuple[int, ...] = ()
    lost: tuple[int, ...] = ()
    broken: tuple[int, ...] = ()
    forked: tuple[int, ...] = ()
    links: tuple[str, ...] = ()
    format: int = FORMAT

    @cached_property
    def issued(self) -> Mapping[str, LedgerLine]:
        """The first line of each key that was given out."""
        # Reversed, so that of several lines with one key the first one stays in the dictionary.
        return {line.key: line for line in reversed(self.lines) if line.key and line.event not in {*ENDING, REOPENED}}

    @cached_property
    def closed(self) -> Mapping[str, LedgerLine]:
        """The keys that were closed for good, in the order in which they were."""
        found: dict[str, LedgerLine] = {}
        for line in self.lines:
            if line.event in ENDING:
                found[line.key] = line
            elif line.event == REOPENED:
                found.pop(line.key, None)
        return found

    @cached_property
    def reopened(self) -> frozenset[str]:
        """The keys that were closed by mistake, and opened again."""
        return frozenset(line.key for line in self.lines if line.event == REOPENED) - self.closed.keys()

    @cached_property
    def addresses(self) -> Mapping[str, str]:
        """The web address that each key was last given out under, where that is known; closed ones are left out."""
        given = {line.key: line.address for line in self.lines if line.key and line.address}
        return {key: address for key, address in given.items() if key not in self.closed}

    @cached_property
    def numbers(self) -> Mapping[str, str]:
        """The passport number that each key has now, where it has one."""
        return {line.key: line.number for line in self.lines if line.key and line.number}

    @cached_property
    def twice(self) -> Mapping[str, tuple[str, ...]]:
        """The numbers that more than one open key has, with those keys."""
        found: dict[str, list[str]] = defaultdict(list)
        for key, number in self.numbers.items():
            if key not in self.closed:
                found[number].append(key)
        return {number: tuple(keys) for number, keys in found.items() if len(keys) > 1}

    @property
    def sound(self) -> bool:
        """Whether every line is there, in its place, and can be trusted."""
        return not (self.damaged or self.lost or self.broken or self.forked)

    @property
    def first(self) -> str:
        """The link of the first line, by which one ledger is told from another; empty where there is no line."""
        return self.links[0] if self.links else ""

    @property
    def last(self) -> str:
        """The link of the last line, which stands for all of them; empty where there is no line."""
        return self.links[-1] if self.links else ""

    @cached_property
    def superseded(self) -> frozenset[str]:
        """The links of earlier last lines from which this ledger was made anew, as the lines that say so name them."""
        return frozenset(word for line in self.lines if line.event == MENDED for word in line.address.split(","))

    def moved(self, address: str) -> tuple[LedgerLine, ...]:
        """The passports whose cards lead to another web address than this one, as they were first given out."""
        others = (key for key, given in self.addresses.items() if given != address)
        return tuple(line for key in others if (line := self.issued.get(key)) and line.kind == "frame")

    @cached_property
    def highest(self) -> int:
        """The highest running number of any passport that was ever issued, 0 where there is none."""
        return numbers.highest(line.number for line in self.lines)

    def dropped(self, content: "Content") -> tuple[LedgerLine, ...]:
        """Addresses that were given out, are not closed, and have no record any more."""
        present = keys_in(content)
        return tuple(line for key, line in self.issued.items() if key not in present and key not in self.closed)

    def unlisted(self, content: "Content") -> tuple[LedgerLine, ...]:
        """What the records have and the ledger does not know, as lines to be added: keys, and other numbers of keys."""
        return tuple(self._unlisted(content))

    def _unlisted(self, content: "Content") -> Iterator[LedgerLine]:
        for line in in_content(content):
            if line.key not in self.issued:
                yield line
            elif line.number and self.numbers.get(line.key) != line.number:
                yield LedgerLine(RENUMBERED, line.key, line.kind, line.number, self.addresses.get(line.key, ""))


def keys_in(content: "Content") -> set[str]:
    """The keys that stand in the records of the content."""
    return {e.record.key for table in (content.players, content.frames) for e in table.values() if e.record.key}


def in_content(content: "Content") -> Iterator[LedgerLine]:
    """A line for each key that stands in a record of the content."""
    address = content.workshop.record.address if content.workshop else ""
    for player in content.players.values():
        if player.record.key:
            yield LedgerLine(ISSUED, player.record.key, "player", address=address)
    for frame in content.frames.values():
        if frame.record.key:
            yield LedgerLine(ISSUED, frame.record.key, "frame", frame.record.number, address)


@lru_cache(maxsize=2)
def parse(text: str) -> Ledger:
    """Read a ledger's text; a line that cannot be trusted is left out and counted."""
    found, damaged, broken, links = list[tuple[int, LedgerLine]](), list[int](), list[int](), list[str]()
    shape, before, trusted = 1, "", True
    for place, raw in enumerate(text.removeprefix("\ufeff").splitlines(), start=1):
        if not raw.strip() or raw.startswith("#"):
            match = _FORMAT.fullmatch(raw)
            shape = int(match[1]) if match else shape
            continue
        one = form.read(raw.rstrip(), before)
        if one.line is None:
            damaged.append(place)
        else:
            found.append((place, one.line))
            links.append(one.link)
            # After a damaged line no link can fit; that is one fault and is said once.
            if one.linked is False and trusted:
                broken.append(place)
        before, trusted = one.link, one.line is not None
    counts = Counter(line.count for _, line in found)
    # A damaged line has a number that cannot be read, so a gap would be counted twice.
    lost = tuple(n for n in range(1, max(counts, default=0)) if n not in counts) if not damaged else ()
    forked = tuple(place for place, line in found if counts[line.count] > 1)
    known = tuple(line for _, line in found)
    return Ledger(known, tuple(damaged), lost, tuple(broken), forked, tuple(links), shape)


def added(text: str, events: Iterable[LedgerLine], day: date) -> str:
    """A ledger's text with lines for some events at its end; the text before stays as it is, damaged lines too."""
    known = parse(text)
    # Damaged lines count, too: theirs may be the highest numbers, and no number is given twice.
    count = max((line.count for line in known.lines), default=0) + len(known.damaged)
    body = text if not text or text.endswith("\n") else text + "\n"
    before, fresh = _last_link(text), ""
    for n, event in enumerate(events, start=1):
        line, before = form.written(event, day, count + n, before)
        fresh += line + "\n"
    return (body or HEAD) + fresh


def _last_link(text: str) -> str:
    """The link that the next line goes on from, that of a damaged line too."""
    before = ""
    for raw in text.removeprefix("\ufeff").splitlines():
        if raw.strip() and not raw.startswith("#"):
            before = form.read(raw.rstrip(), before).link
    return before


# --- the file -----------------------------------------------------------------------------------------------


def path_of(folder: Path) -> Path:
    """Where the ledger of a content folder is. Raises OSError where that is a link: it might lead anywhere."""
    path = folder / FILE
    if path.is_symlink():
        raise OSError(errno.ELOOP, "This is a link; put the file itself here", str(path))
    return path


def read(folder: Path) -> Ledger | None:
    """The ledger of a content folder, or None where none was begun. Raises OSError."""
    try:
        data = opening.read(path_of(folder))
    except FileNotFoundError:
        return None
    # A byte that is no text damages its own line only; the others must still be read.
    return parse(data.decode("utf-8", errors="replace"))


def data_of(folder: Path) -> bytes:
    """The bytes of the ledger's file; none where there is no file. Raises OSError."""
    try:
        return opening.read(path_of(folder))
    except FileNotFoundError:
        return b""


def appended(data: bytes, events: Iterable[LedgerLine], day: date) -> bytes:
    """The bytes of a ledger with lines for some events at its end, whatever the bytes before are."""
    # Not 'replace': the bytes before must come out as they went in, even damaged ones.
    return added(data.decode("utf-8", errors="surrogateescape"), events, day).encode("utf-8", errors="surrogateescape")
