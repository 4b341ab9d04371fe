"""What was changed, newest last: each transaction as the journal had it, with what files were before and after.

It is kept for the way back (see `passport.records.transaction.undo`), no longer than `MOST` changes or `ROOM` bytes.
"""

from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

from passport.records.disk import opening, walking
from passport.records.transaction import atomic, private
from passport.records.transaction.entries import Transaction, Unreadable, dumped, loaded

FOLDER = "changes"
MOST, ROOM = 200, 64_000_000
_DIGITS = 8


def entries(root: Path) -> tuple[Transaction, ...]:
    """All changes that are remembered, newest first; one that cannot be read is left out. Raises OSError."""
    return tuple(newest_first(root))


def newest_first(root: Path) -> Iterator[Transaction]:
    """The changes that are remembered, one after the other, as they are read. Raises OSError."""
    for path in reversed(_files(root)):
        with suppress(Unreadable):
            yield loaded(opening.read(path))


def next_name(root: Path) -> str:
    """The name of the next change: a number, higher than that of any that is kept."""
    last = _files(root)[-1:]
    return f"{int(last[0].stem) + 1 if last else 1:0{_DIGITS}}"


def file(root: Path, entry: Transaction, journal: Path | None = None) -> None:
    """Keep a change, by giving its journal the place in one step, or anew where there is none. Raises OSError."""
    place = private.made(root, FOLDER) / f"{entry.name}.json"
    if journal:
        journal.replace(place)
    else:
        atomic.write(place, dumped(entry), mode=0o600)
    _prune(root)


def purge(root: Path, told: Callable[[bytes], bool]) -> int:
    """Take away every file of the workshop's own folder for which ``told`` finds the person in its bytes, half-filled
    forms among them. Returns how many these were. Raises OSError."""
    folder, gone = private.folder_of(root), 0
    for path in walking.files(folder, hidden=True):
        if path.is_file() and not path.is_symlink() and path.name != ".gitignore" and told(opening.read(path)):
            path.unlink()
            gone += 1
    return gone


def _files(root: Path) -> list[Path]:
    folder = private.folder_of(root) / FOLDER
    if folder.is_symlink() or not folder.is_dir():
        return []
    return sorted(path for path in walking.listed(folder) if path.suffix == ".json" and path.stem.isdigit())


def _prune(root: Path) -> None:
    """Forget what is too old or too much; the newest change stays."""
    files = _files(root)
    room = 0
    for n, path in enumerate(reversed(files)):
        with suppress(OSError):
            room += path.stat().st_size
            # `n and`: the newest change stays however large it is, so that it can be taken back.
            if n and (n >= MOST or room > ROOM):
                path.unlink()
