"""Writing the ledger and what tells of it: its file, the file beside the content folder, the manifest key."""

from collections.abc import Iterable
from contextlib import suppress
from datetime import date
from pathlib import Path

from passport.records.ledger import key, ledger, witness
from passport.records.ledger.beside import CLOSED, path_beside
from passport.records.ledger.ledger import Ledger, LedgerLine
from passport.records.schema import numbers
from passport.records.transaction import atomic


def append(folder: Path, events: Iterable[LedgerLine], day: date) -> None:
    """Add lines to the ledger of a content folder in one step; the folder's lock must be held. Raises OSError."""
    wanted = tuple(events)
    if wanted:
        atomic.write(ledger.path_of(folder), ledger.appended(ledger.data_of(folder), wanted, day))


def write_beside(folder: Path, known: Ledger) -> bool:
    """Bring the file beside a content folder to what its ledger says; whether that could be done.

    The file of another workshop that stood in this place before is kept under another name.
    """
    path = path_beside(folder)
    if path is None or not known.lines:
        return False
    before = witness.read(folder)
    name = folder.resolve().name
    if before and witness.of_another(before, known):
        with suppress(OSError):
            path.replace(path.with_name(f"{name}-{before.first}{CLOSED}"))
        before = None
    fresh = witness.updated(before, known)
    if before == fresh:
        return True
    try:
        atomic.write(path, witness.text_of(fresh, name).encode())
    except OSError:
        return False
    return True


def write_key(root: Path, secret: str) -> None:
    """Put a manifest key into a content folder, for its owner alone to read. Raises OSError."""
    atomic.write(key.path_of(root), key.text_of(secret).encode(), mode=0o600)


def made_key(root: Path) -> str:
    """The manifest key of a content folder, a fresh one where there was none. Raises OSError, ValueError."""
    secret = key.read(root)
    if not secret:
        secret = numbers.new_secret()
        write_key(root, secret)
    return secret
