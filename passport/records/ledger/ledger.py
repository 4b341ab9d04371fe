"""The ledger of issued addresses: one line for each key that was ever given out, kept beside the records.

A printed code outlives everything else, so what was issued is written down here and never taken out again. The file is
only ever added to. Each line carries its running number and a checksum, so that a damaged line and a lost one are seen.
A line is::

    7 2026-11-25 issued YGA836F5BN4WK7S3X0KPS4MK8Y frame 1042-9 https://pass.shop.example 1f0c9a2e

running number, day, what happened, key, what the key is of, passport number or ``-``, the web address that it was given
out under or ``-``, checksum. ``closed`` ends an address for good: its page says no more than that. It names nobody.
"""

import errno
import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Literal

from passport.records.load import Content
from passport.records.schema import numbers
from passport.records.transaction import atomic

FILE = "ledger.txt"
ISSUED, CLOSED = "issued", "closed"
HEAD = """\
# Every address that was ever given out; cards with them are in players' hands. 'passport' adds lines at the end, and
# nothing is changed or taken out. Keep this file with the records and back it up with them.
"""
Kind = Literal["frame", "player"]
_LINE = re.compile(
    r"(?P<count>[1-9][0-9]{0,8}) (?P<day>\d{4}-\d{2}-\d{2}) (?P<event>[a-z]{2,20}) (?P<key>[0-9A-Z]{20,40}) "
    r"(?P<kind>frame|player) (?P<number>\S{1,20}) (?P<address>\S{1,300})"
)


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One line: what happened to a key on a day. ``number`` and ``address`` are empty where there is none."""

    event: str
    key: str
    kind: str
    number: str = ""
    address: str = ""
    day: date | None = None
    count: int = 0


@dataclass(frozen=True)
class Ledger:
    """What the ledger says. ``damaged`` are the lines of the file that cannot be trusted, 1-based; ``lost`` the running
    numbers that are missing between others.
    """

    lines: tuple[LedgerLine, ...] = ()
    damaged: tuple[int, ...] = ()
    lost: tuple[int, ...] = ()

    @cached_property
    def issued(self) -> Mapping[str, LedgerLine]:
        """The first line of each key that was given out."""
        return {line.key: line for line in reversed(self.lines) if line.event != CLOSED}

    @cached_property
    def closed(self) -> Mapping[str, LedgerLine]:
        """The keys that were closed for good, in the order in which they were."""
        return {line.key: line for line in self.lines if line.event == CLOSED}

    @cached_property
    def addresses(self) -> Mapping[str, str]:
        """The web address that each key was last given out under, where that is known; closed ones are left out."""
        told = {line.key: line.address for line in self.lines if line.address}
        return {key: address for key, address in told.items() if key not in self.closed}

    @property
    def sound(self) -> bool:
        """Whether every line is there and can be trusted."""
        return not self.damaged and not self.lost

    def moved(self, address: str) -> tuple[LedgerLine, ...]:
        """The passports whose cards lead to another web address than this one, as they were first given out."""
        others = (key for key, given in self.addresses.items() if given != address)
        return tuple(line for key in others if (line := self.issued.get(key)) and line.kind == "frame")

    @cached_property
    def highest(self) -> int:
        """The highest running number of any passport that was ever issued, 0 where there is none."""
        sound = (line.number for line in self.lines if line.number and not numbers.problem(line.number))
        return max(map(numbers.running_number, sound), default=0)

    def dropped(self, content: Content) -> tuple[LedgerLine, ...]:
        """Addresses that were given out, are not closed, and have no record any more."""
        present = keys_in(content)
        return tuple(line for key, line in self.issued.items() if key not in present and key not in self.closed)

    def unlisted(self, content: Content) -> tuple[LedgerLine, ...]:
        """The keys of the content that the ledger does not know, as lines to be added."""
        if keys_in(content) <= self.issued.keys():
            return ()
        return tuple(line for line in in_content(content) if line.key not in self.issued)


def keys_in(content: Content) -> set[str]:
    """The keys that stand in the records of the content."""
    return {e.record.key for table in (content.players, content.frames) for e in table.values() if e.record.key}


def in_content(content: Content) -> Iterator[LedgerLine]:
    """A line for each key that stands in a record of the content."""
    address = content.workshop.record.address if content.workshop else ""
    for player in content.players.values():
        if player.record.key:
            yield LedgerLine(ISSUED, player.record.key, "player", address=address)
    for frame in content.frames.values():
        if frame.record.key:
            yield LedgerLine(ISSUED, frame.record.key, "frame", frame.record.number, address)


def path_of(folder: Path) -> Path:
    """Where the ledger of a content folder is. Raises OSError where that is a link: it might lead anywhere."""
    path = folder / FILE
    if path.is_symlink():
        raise OSError(errno.ELOOP, "This is a link; put the file itself here", str(path))
    return path


def read(folder: Path) -> Ledger | None:
    """The ledger of a content folder, or None where none was begun. Raises OSError."""
    try:
        data = path_of(folder).read_bytes()
    except FileNotFoundError:
        return None
    return parse(data.decode("utf-8", errors="replace"))


@lru_cache(maxsize=2)
def parse(text: str) -> Ledger:
    """Read a ledger's text; a line that cannot be trusted is left out and counted."""
    lines, damaged = list[LedgerLine](), list[int]()
    for number, written in enumerate(text.removeprefix("\ufeff").splitlines(), start=1):
        if written.strip() and not written.startswith("#"):
            line = _line(written.rstrip())
            lines += [line] if line else []
            damaged += [] if line else [number]
    counts = {line.count for line in lines}
    lost = tuple(n for n in range(1, max(counts, default=0)) if n not in counts) if not damaged else ()
    return Ledger(tuple(lines), tuple(damaged), lost)


def added(text: str, events: Iterable[LedgerLine], day: date) -> str:
    """A ledger's text with lines for some events at its end; the text before stays as it is, damaged lines too."""
    known = parse(text)
    count = max((line.count for line in known.lines), default=0) + len(known.damaged)
    body = text if not text or text.endswith("\n") else text + "\n"
    lines = [_written(event, day, count + n) for n, event in enumerate(events, start=1)]
    return (body or HEAD) + "".join(line + "\n" for line in lines)


def append(folder: Path, events: Iterable[LedgerLine], day: date) -> None:
    """Add lines to the ledger of a content folder in one step; the folder's lock must be held. Raises OSError."""
    wanted = tuple(events)
    path = path_of(folder)
    if wanted:
        before = path.read_bytes().decode("utf-8", errors="surrogateescape") if path.exists() else ""
        atomic.write(path, added(before, wanted, day).encode("utf-8", errors="surrogateescape"))


def checksum(text: str) -> str:
    """The first eight hexadecimal digits of a line's SHA-256: enough to notice a slip, not to keep out a forger."""
    return hashlib.sha256(text.encode("utf-8", errors="surrogateescape")).hexdigest()[:8]


def _written(event: LedgerLine, day: date, count: int) -> str:
    fields = (count, event.day or day, event.event, event.key, event.kind, event.number or "-", event.address or "-")
    text = " ".join(map(str, fields))
    return f"{text} {checksum(text)}"


def _line(written: str) -> LedgerLine | None:
    text, _, check = written.rpartition(" ")
    match = _LINE.fullmatch(text)
    if match is None or checksum(text) != check:
        return None
    try:
        day = date.fromisoformat(match["day"])
    except ValueError:
        return None
    number, address = ("" if value == "-" else value for value in (match["number"], match["address"]))
    return LedgerLine(match["event"], match["key"], match["kind"], number, address, day, int(match["count"]))
