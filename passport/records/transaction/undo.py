"""The way back: the last change taken back, where nobody changed its files since.

Taking back is a change of its own, so that nothing is ever lost; asked again, it goes one change further back, and what
was taken back can be brought again in the same way. What was given out is never taken out of the ledger: an address that was issued by the change is withdrawn there, which closes it,
and its number is not given again. What was erased does not come back.
"""

from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

from passport.records.ledger import ledger
from passport.records.ledger.ledger import ENDING, ISSUED, REOPENED, WITHDRAWN, LedgerLine
from passport.records.transaction import history
from passport.records.transaction.entries import Transaction
from passport.records.transaction.journal import Wanted, bytes_of, commit

WORK, REDO = "passport undo", "passport undo --redo"
_BACK = "Taken back: "


class CannotRevert(Exception):
    """A change cannot be taken back; the text says why, and what to do."""


def changes(root: Path) -> tuple[Transaction, ...]:
    """What was changed, newest first; left out are those that were taken back again, their taking back, and what the
    program wrote down of its own accord."""
    return tuple(_standing(root))


def last(root: Path) -> Transaction | None:
    """The change that would be taken back now; None where none is remembered."""
    return next(_standing(root), None)


def _standing(root: Path) -> Iterator[Transaction]:
    return (entry for entry in _in_force(root) if not entry.reverts)


def last_undo(root: Path) -> Transaction | None:
    """The last taking back that stands, which would be taken back itself now; None where none is remembered."""
    return next((entry for entry in _in_force(root) if entry.reverts and entry.work == WORK), None)


def _in_force(root: Path) -> Iterator[Transaction]:
    """The changes and takings back that were not taken back themselves, newest first."""
    reverted: set[str] = set()
    for entry in history.newest_first(root):
        if entry.name in reverted or not (entry.steps or not entry.kept):
            continue
        if entry.reverts:
            reverted.add(entry.reverts)
        yield entry


def edited(root: Path, entry: Transaction) -> tuple[str, ...]:
    """The files of a change that are not any more as it left them."""
    return tuple(step.path for step in entry.steps if not step.after.same(bytes_of(root, step.path)))


def refuse(root: Path, entry: Transaction) -> None:
    """Raise `CannotRevert` where a change cannot be taken back as things are. Raises OSError."""
    if not entry.kept or entry.moves:
        raise CannotRevert(f"'{entry.summary}' cannot be undone: nothing of it is kept.")
    changed = edited(root, entry)
    if changed:
        raise CannotRevert(
            f"{', '.join(changed)} was changed since; what was done cannot be taken back without losing that."
        )
    if ledger.FILE in entry.files or any(line.event in {*ENDING, REOPENED} for line in entry.lines):
        raise CannotRevert(f"'{entry.summary}' cannot be undone: what the ledger says it says for good.")


def withdrawn(root: Path, entry: Transaction) -> tuple[LedgerLine, ...]:
    """What the ledger gets when a change is taken back: the addresses that it gave out. Raises OSError."""
    return tuple(_withdrawn(root, entry))


def revert(root: Path, entry: Transaction, day: date, now: datetime | None = None) -> Transaction:
    """Take a change back; the content folder's lock must be held. Raises `CannotRevert`, OSError."""
    refuse(root, entry)
    files = {step.path: step.before.data for step in reversed(entry.steps)}
    done = entry.summary.removeprefix(_BACK) if entry.reverts else f"{_BACK}{entry.summary}"
    wanted = Wanted(REDO if entry.reverts else WORK, done, files, withdrawn(root, entry), reverts=entry.name)
    return commit(root, wanted, day, now)


def _withdrawn(root: Path, entry: Transaction) -> Iterator[LedgerLine]:
    """The addresses that were given out by the change alone: no record has them when it is taken back."""
    known = (ledger.read(root) or ledger.Ledger()).closed
    before = [step.before.data or b"" for step in entry.steps]
    after = [step.after.data or b"" for step in entry.steps]
    for line in entry.lines:
        key = line.key.encode()
        # A key may be in the ledger's lines only because it was missing there; then the change did not give it out.
        fresh = any(key in data for data in after) and not any(key in data for data in before)
        if line.event == ISSUED and fresh and line.key not in known:
            yield LedgerLine(WITHDRAWN, line.key, line.kind, line.number)
