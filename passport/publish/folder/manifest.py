"""The manifest: one file on the site that lists what was built, every number and key ever given, and what is closed.

It stands where the site does, so that it is there when everything in the workshop is lost; it is encrypted as a whole
with the shop's manifest key (`passport.records.ledger.key`), as sealed pages are (`passport.render.pages.seal`). Its size is
padded to a power of two, so that a stranger learns a bound of it and no more. The same site has the same manifest.

Inside are lines of text::

    racquet-passport manifest 1
    ledger FIRST LAST COUNT
    highest 1714
    key KEY frame 1714-5 open
    file d41d8cd98f00b204e9800998ecf8427e 5120 index.html

``ledger`` has the links of the ledger's first and last line and how many there are; ``highest`` is the highest running
number that was ever given out; a ``key`` is ``open`` or ``closed``; a ``file`` has the BLAKE2b hash of its bytes
(RFC 7693, 16 bytes in hexadecimal), their number, and its path.
"""

import hashlib
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from passport.publish.folder.foreign import MANIFEST
from passport.records.disk import opening
from passport.records.ledger.ledger import Ledger, LedgerLine
from passport.records.ledger.lines import CLOSED, ISSUED
from passport.render.pages import seal

FILE = MANIFEST
FORMAT = 1
_HEAD = "racquet-passport manifest"
LEAST = 1 << 16
"""The size of the smallest manifest, bytes: some hundred frames fit."""
_LARGEST = 1 << 28


class Sealed(Exception):
    """A manifest that this key does not open, or that was changed."""


class TooNew(Exception):
    """A manifest of a newer program."""


@dataclass(frozen=True, slots=True)
class FileMark:
    """A file of the site: its path, the hash of its bytes, their number."""

    path: str
    sum: str
    size: int


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a manifest says. ``keys`` are lines as the ledger has them: the first word on each key, and those that
    close one."""

    first: str = ""
    last: str = ""
    count: int = 0
    highest: int = 0
    keys: tuple[LedgerLine, ...] = ()
    files: tuple[FileMark, ...] = field(default=(), repr=False)

    @property
    def closed(self) -> frozenset[str]:
        """The keys that are closed for good."""
        return frozenset(line.key for line in self.keys if line.event == CLOSED)


def sum_of(data: bytes) -> str:
    """The hash by which a manifest knows a file."""
    return hashlib.blake2b(data, digest_size=16).hexdigest()


def manifest_of(known: Ledger, highest: int, closed: Iterable[str]) -> Manifest:
    """What is to be said of a ledger; ``closed`` are keys that others say are closed."""
    shut = {*known.closed, *closed}
    issued = [LedgerLine(ISSUED, key, line.kind, known.numbers.get(key, "")) for key, line in known.issued.items()]
    kinds = {line.key: line.kind for line in issued}
    gone = [LedgerLine(CLOSED, key, kinds.get(key, "frame"), known.numbers.get(key, "")) for key in sorted(shut)]
    return Manifest(known.first, known.last, len(known.lines), highest, (*issued, *gone))


def encrypted(head: str, files: Iterable[FileMark], key: str) -> bytes:
    """The bytes of the manifest's file: what `head_of` says, and all files. Raises ValueError without a key."""
    listed = (f"file {one.sum} {one.size} {one.path}" for one in sorted(files, key=lambda one: one.path))
    squeezed = zlib.compress("\n".join([head, *listed]).encode(), 1)
    size = LEAST
    while size < len(squeezed) + 1:
        size *= 2
    return seal.encrypted(seal.padded(squeezed, size), key, FILE)


def head_of(manifest: Manifest) -> str:
    """What a manifest says before it comes to the files; much of a large ledger, and seldom another than last time."""
    return "\n".join(_head(manifest))


def _head(manifest: Manifest) -> Iterator[str]:
    yield f"{_HEAD} {FORMAT}"
    yield f"ledger {manifest.first or '-'} {manifest.last or '-'} {manifest.count}"
    yield f"highest {manifest.highest}"
    shut = manifest.closed
    for line in {line.key: line for line in manifest.keys}.values():
        yield f"key {line.key} {line.kind} {line.number or '-'} {'closed' if line.key in shut else 'open'}"


def opened(data: bytes, key: str) -> Manifest:
    """What the bytes of a manifest say. Raises `Sealed`, `TooNew`."""
    try:
        text = zlib.decompress(seal.unpadded(seal.decrypted(data, key, FILE))).decode()
    except (ValueError, zlib.error) as error:
        raise Sealed(str(error)) from error
    head, _, body = text.partition("\n")
    if head != f"{_HEAD} {FORMAT}":
        raise TooNew(head)
    return _parsed(body)


def _parsed(body: str) -> Manifest:
    first = last = ""
    count = highest = 0
    keys, files = list[LedgerLine](), list[FileMark]()
    for line in body.splitlines():
        what, _, rest = line.partition(" ")
        parts = rest.split(" ", 3 if what == "key" else 2)
        if what == "file":
            files.append(FileMark(parts[2], parts[0], int(parts[1])))
        elif what == "key":
            keys += _of_key(*parts)
        elif what == "ledger":
            first, last, count = (
                ("" if parts[0] == "-" else parts[0]),
                ("" if parts[1] == "-" else parts[1]),
                int(parts[2]),
            )
        elif what == "highest":
            highest = int(rest)
    return Manifest(first, last, count, highest, tuple(keys), tuple(files))


def _of_key(key: str, kind: str, number: str, state: str) -> Iterator[LedgerLine]:
    shown = "" if number == "-" else number
    yield LedgerLine(ISSUED, key, kind, shown)
    if state == "closed":
        yield LedgerLine(CLOSED, key, kind, shown)


def read(site: Path, key: str) -> Manifest | None:
    """The manifest of a site; None where there is none. Raises `Sealed`, `TooNew`, OSError."""
    path = site / FILE
    if path.is_symlink() or not path.is_file() or path.stat().st_size > _LARGEST:
        return None
    if not key:
        raise Sealed("there is no key")
    return opened(opening.read(path), key)
