"""The small file beside the content folder that says what is closed for good, and how far the ledger had come.

A restored copy of the content folder brings back older records and an older ledger; this file stays as it was, and
tells. It names nobody. A folder that is moved leaves it behind; it is then made anew with the next line of the ledger.
"""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from passport.records.disk import opening
from passport.records.ledger.beside import path_beside
from passport.records.ledger.ledger import Ledger

FORMAT = 1
_LARGEST = 8_000_000
_HEAD = """\
# Beside the folder '{name}': which of its addresses are closed for good, and how far its ledger had come. It stays here
# when the folder is put back from a backup, so that nobody who was erased comes back. It names nobody. (Format {format})
"""
_FORMAT = re.compile(r"#.*\(Format ([0-9]{1,9})\)\s*")
_LEDGER = re.compile(r"ledger ([0-9a-f]{16}) ([0-9a-f]{16}) ([0-9]{1,9}) ([0-9]{1,9})")
_CLOSED = re.compile(r"closed ([0-9A-Z]{20,40})")


@dataclass(frozen=True, slots=True)
class Witness:
    """What is known from outside of a content folder about its ledger.

    ``first`` and ``last`` are the links of its first and last line, ``count`` its lines, ``highest`` the highest running
    number that was given out, ``closed`` the keys that are closed for good. ``damaged`` where it cannot be believed.
    """

    first: str = ""
    last: str = ""
    count: int = 0
    highest: int = 0
    closed: frozenset[str] = frozenset()
    damaged: bool = False
    format: int = FORMAT


def witness_of(known: Ledger) -> Witness:
    """What a ledger would have its witness say."""
    return Witness(known.first, known.last, len(known.lines), known.highest, frozenset(known.closed))


def read(folder: Path) -> Witness | None:
    """What stands beside a content folder; None where nothing does, or it cannot be read."""
    path = path_beside(folder)
    try:
        # Outside of the content folder anything may have this name: a pipe would hang, a huge file fill the memory.
        if path is None or not path.is_file() or path.stat().st_size > _LARGEST:
            return None
        return parse(opening.read_text(path, errors="replace"))
    except OSError:
        return None


def parse(text: str) -> Witness:
    """What such a file says; of a damaged one what can still be read, so that no closed key is forgotten."""
    body, _, check = text.rstrip().rpartition("\n")
    damaged = check != f"sum {_sum(body)}"
    found, shape = Witness(damaged=damaged), 1
    closed = set[str]()
    for line in text.splitlines():
        if match := _FORMAT.fullmatch(line):
            shape = int(match[1])
        elif match := _LEDGER.fullmatch(line):
            found = Witness(match[1], match[2], int(match[3]), int(match[4]), damaged=damaged)
        elif match := _CLOSED.fullmatch(line):
            closed.add(match[1])
    return Witness(found.first, found.last, found.count, found.highest, frozenset(closed), damaged, shape)


def text_of(witness: Witness, name: str) -> str:
    """The file's text."""
    body = "\n".join([_HEAD.format(name=name, format=FORMAT).rstrip(), *_lines(witness)])
    return f"{body}\nsum {_sum(body)}\n"


def updated(before: Witness | None, known: Ledger) -> Witness:
    """What is to stand beside a folder now, after what stood there before.

    A closed key that stands there stays, unless the ledger opened it again. How far the ledger had come stays too where
    the ledger is behind that, until it was mended.
    """
    return _with(witness_of(known), before, known) if before else witness_of(known)


def of_another(before: Witness, known: Ledger) -> bool:
    """Whether what stands beside a folder is of another workshop, which stood in this place before."""
    return before.first not in ("", known.first) and not before.closed & known.issued.keys()


def behind(known: Ledger, witness: Witness) -> bool:
    """Whether a ledger lacks lines that its witness knows of, and was not mended from them since."""
    return bool(witness.last) and witness.last not in known.links and witness.last not in known.superseded


def _with(witness: Witness, before: Witness, known: Ledger) -> Witness:
    closed, highest = witness.closed | (before.closed - known.reopened), max(witness.highest, before.highest)
    # A restored, older ledger must not pull its witness back: then nothing would show what is missing.
    if behind(known, before):
        return Witness(before.first, before.last, before.count, highest, closed)
    return Witness(witness.first, witness.last, witness.count, highest, closed)


def _lines(witness: Witness) -> Iterator[str]:
    yield f"ledger {witness.first} {witness.last} {witness.count} {witness.highest}"
    yield from (f"closed {key}" for key in sorted(witness.closed))


def _sum(body: str) -> str:
    return hashlib.sha256(body.encode()).hexdigest()[:16]
