"""One change of several files, ledger included, that is whole or not at all.

What is to be done is first written into the journal, in one step and on to the disk; then it is done, file by file;
then the journal is filed in the history, in one step. A command that is stopped in between leaves a journal, and the
next one does what is left of it: every byte that is wanted stands in it. A write that is refused takes everything back.
"""

import errno
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path, PurePosixPath

from passport.records.disk import opening
from passport.records.ledger import ledger
from passport.records.ledger.ledger import LedgerLine
from passport.records.transaction import atomic, history, ledger_file, private
from passport.records.transaction.entries import FileChange, FileState, Transaction, Unreadable, dumped, loaded

PENDING = "pending.json"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a transaction is to do: the new bytes of files by their path below the content folder, in the order in
    which they are written; None takes a file away. ``moves`` are folders that change their names, before that.
    ``lines`` go to the ledger, last. ``work`` names the command, ``summary`` says to a person what was changed.

    Without ``keep`` the bytes of the files are remembered nowhere, neither before nor after: what was erased is gone.
    """

    work: str
    summary: str
    files: Mapping[str, bytes | None]
    lines: tuple[LedgerLine, ...] = ()
    moves: tuple[tuple[str, str], ...] = ()
    keep: bool = True
    reverts: str = ""


@dataclass(frozen=True, slots=True)
class Settled:
    """What was left of a command that was stopped, and is done now; ``edited`` are files that a person changed since,
    and that were left as they are. ``problem`` says why it could not be done."""

    entry: Transaction | None
    edited: tuple[str, ...] = ()
    problem: str = ""


def interrupted(root: Path) -> bool:
    """Whether a command was stopped in the middle of a transaction, or one is at it now; quick."""
    return (root / private.NAME / PENDING).is_file()


def commit(root: Path, wanted: Wanted, day: date, now: datetime | None = None) -> Transaction:
    """Carry a transaction out; the content folder's lock must be held, and nothing be left by another command.

    Raises OSError; then everything is as it was, unless the disk refuses even that: then the next command ends it.
    """
    folder = private.made(root)
    steps = tuple(
        FileChange(path, FileState.of(bytes_of(root, path), keep=wanted.keep), FileState.of(data))
        for path, data in wanted.files.items()
    )
    moment = (now or datetime.now(UTC)).isoformat(timespec="seconds")
    entry = Transaction(
        history.next_name(root), wanted.work, wanted.summary, moment, day, steps, wanted.moves, wanted.lines,
        _book(root, wanted.lines, day), wanted.keep, wanted.reverts,
    )  # fmt: skip
    # Before the journal is written: a transaction that must be refused leaves nothing that the next command would do.
    for path in (path for move in wanted.moves for path in move):
        _inside(root, path)
    atomic.write(folder / PENDING, dumped(entry), mode=0o600)
    try:
        _forward(root, entry)
    except BaseException:
        # An erasure keeps no bytes to go back to; its journal stays, and the next command ends it forwards.
        if entry.kept:
            _back(root, entry)
            (folder / PENDING).unlink(missing_ok=True)
        raise
    with suppress(OSError):  # all of it is done, and the next command files it
        _filed(root, entry)
    return entry


def settle(root: Path) -> Settled | None:
    """Do what is left of a command that was stopped; None where there is none. The lock must be held. Raises OSError."""
    path = private.folder_of(root) / PENDING
    try:
        entry = loaded(opening.read(path))
    except FileNotFoundError:
        return None
    except Unreadable as error:
        # Moved out of the way, not removed: it may be all that tells what a stopped command was doing.
        aside = path.with_name(f"unreadable-{history.next_name(root)}.json")
        path.replace(aside)
        return Settled(None, problem=f"{error}; it is kept as {aside}")
    edited = _forward(root, entry)
    _filed(root, entry)
    return Settled(entry, tuple(edited))


def _forward(root: Path, entry: Transaction) -> list[str]:
    """Do everything that is not done yet; the files that somebody changed since are left alone, and named."""
    for old, new in entry.moves:
        if (root / old).exists() and not (root / new).exists():
            _inside(root, new).parent.mkdir(parents=True, exist_ok=True)
            _inside(root, old).rename(root / new)
    edited = []
    for step in entry.steps:
        now = bytes_of(root, step.path)
        # Done before the stop: the same transaction can be carried out any number of times.
        if step.after.same(now):
            continue
        # A person edited the file between the stop and now. Their text is newer than the journal, so it wins.
        if not step.before.same(now):
            edited.append(step.path)
            continue
        _put(root, step.path, step.after.data)
    # The ledger last: an address is only written down for good when the record that has it is on the disk.
    _append(root, entry)
    return edited


def _append(root: Path, entry: Transaction) -> None:
    """Put the lines into the ledger that are not there yet, and tell the file beside the content folder."""
    if entry.book:
        ledger_file.append(root, _missing(ledger.data_of(root), entry), entry.day)
    if entry.book or ledger.FILE in entry.files:
        ledger_file.write_beside(root, ledger.read(root) or ledger.Ledger())


def _missing(data: bytes, entry: Transaction) -> tuple[LedgerLine, ...]:
    """The lines that the ledger does not have yet; those that differ from all others where it is another one now."""
    if entry.book is None or entry.book.after.same(data):
        return ()
    if entry.book.before.same(data) or not (data or entry.book.before.sha):
        return entry.lines
    there = {line.said for line in ledger.parse(data.decode("utf-8", errors="replace")).lines}
    return tuple(line for line in entry.lines if line.said not in there)


def _back(root: Path, entry: Transaction) -> None:
    """Put everything back that a refused transaction had done. Raises OSError where that is refused too."""
    # Backwards, so that at each moment the folder is in a state that the way forwards passed through, too.
    for step in reversed(entry.steps):
        if not step.before.same(bytes_of(root, step.path)):
            _put(root, step.path, step.before.data)
    for old, new in reversed(entry.moves):
        if (root / new).exists() and not (root / old).exists():
            (root / new).rename(root / old)


def _filed(root: Path, entry: Transaction) -> None:
    """File a journal whose work is done in the history; of what must not be remembered, that something was done."""
    path = private.folder_of(root) / PENDING
    if entry.kept:
        history.file(root, entry, path)
        return
    # Filed anew rather than moved: the journal still holds the names of files of an erased player.
    history.file(root, entry.forgotten())
    path.unlink(missing_ok=True)


def _book(root: Path, lines: Iterable[LedgerLine], day: date) -> FileChange | None:
    wanted = tuple(lines)
    if not wanted:
        return None
    before = ledger.data_of(root)
    after = ledger.appended(before, wanted, day)
    exists = (root / ledger.FILE).exists()
    return FileChange(
        ledger.FILE, FileState.of(before if exists else None, keep=False), FileState.of(after, keep=False)
    )


def _put(root: Path, path: str, data: bytes | None) -> None:
    place = _inside(root, path)
    if data is not None:
        place.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(place, data)
        return
    place.unlink(missing_ok=True)
    # Empty folders go with their last file, but never the top ones, which a workshop has even when empty.
    for folder in list(place.parents)[: len(PurePosixPath(path).parts) - 2]:
        with suppress(OSError):  # not empty
            folder.rmdir()


def bytes_of(root: Path, path: str) -> bytes | None:
    """What a file below the content folder holds; None where there is none. Raises OSError."""
    try:
        return opening.read(_inside(root, path))
    except (FileNotFoundError, NotADirectoryError):
        return None


def _inside(root: Path, path: str) -> Path:
    """A place below the content folder. Raises OSError where it would lead out of it."""
    parts = PurePosixPath(path)
    place = root / parts
    if parts.is_absolute() or ".." in parts.parts or not place.resolve().is_relative_to(root.resolve()):
        raise OSError(errno.ELOOP, "This leads out of the content folder", str(place))
    return place
