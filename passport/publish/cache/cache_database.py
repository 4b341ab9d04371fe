"""What a build remembers for the next one, in one file that is checked and never simply believed.

Each entry carries a checksum over its name and its bytes. A file that is damaged, cut short, of another format or no
database at all is thrown away as a whole, and the next build makes everything anew: the cache saves time, no more.
"""

import contextlib
import hashlib
import sqlite3
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

FORMAT = "racquet-passport memory 6"
"""Changed whenever entries change their meaning."""
FILE = "memory.sqlite"
"""An earlier program's file is replaced under the same name, so that nothing of it stays after an erasure."""
_TABLES = "CREATE TABLE entry (name TEXT PRIMARY KEY, data BLOB NOT NULL, sum BLOB NOT NULL) WITHOUT ROWID"
_ASIDE = ("-journal", "-wal", "-shm")


_PLAIN, _SQUEEZED = b"0", b"1"
"""The first byte of an entry."""
_NO_DAMAGE = {
    sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_PERM, sqlite3.SQLITE_NOMEM,
}  # fmt: skip
"""What is wrong with the disk, the lock or the machine, and not with what stands in the file."""


class Damaged(Exception):
    """An entry is not what was written."""


class CacheDatabase:
    """Named entries of bytes; nothing is kept of what was put in before `commit`.

    Names are ``KIND NAME``. Use it as a context manager: what was not committed is gone at the end of the block.
    """

    def __init__(self, folder: Path) -> None:
        """Open the database of a folder, or begin one. Raises OSError where the folder cannot be written to."""
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        self._path = folder / FILE
        self.discarded = False
        """Whether there was one that had to be thrown away."""
        self._base = self._opened()

    def _opened(self) -> sqlite3.Connection:
        existed = self._path.exists()
        try:
            with self._reading():
                return self._connected()
        except Damaged:
            self.discarded = existed
            self._remove()
            with self._writing():
                return self._connected()

    def _connected(self) -> sqlite3.Connection:
        fresh = not self._path.exists() or not self._path.stat().st_size
        base = sqlite3.connect(self._path, isolation_level=None, timeout=60)
        try:
            base.execute("PRAGMA secure_delete = ON")  # what was erased leaves no bytes behind
            base.execute("PRAGMA synchronous = NORMAL")
            base.execute("BEGIN IMMEDIATE")
            if fresh:
                base.execute(_TABLES)
                _put(base, "format", FORMAT.encode())
                base.execute("COMMIT")
                base.execute("BEGIN IMMEDIATE")
            if _get(base, "format") != FORMAT.encode():
                raise Damaged
        except BaseException:
            base.close()
            raise
        return base

    def _remove(self) -> None:
        for path in (self._path, *(self._path.with_name(FILE + end) for end in _ASIDE)):
            path.unlink(missing_ok=True)

    @property
    def empty(self) -> bool:
        """Whether nothing is kept, or nothing that can be read."""
        try:
            with self._reading():
                return self._base.execute("SELECT 1 FROM entry WHERE name != 'format' LIMIT 1").fetchone() is None
        except Damaged:
            return True

    def get(self, name: str) -> bytes | None:
        """The bytes of an entry; None where there is none. Raises `Damaged`."""
        with self._reading():
            return _get(self._base, name)

    def found(self, name: str, mark: str) -> bytes | None:
        """What was kept under a name with `keep`, where its mark is still this one; None where it is not, or damaged."""
        try:
            kept = self.get(name) or b""
        except Damaged:
            return None
        told, _, data = kept.partition(b"\n")
        return data if told == mark.encode() else None

    def keep(self, name: str, mark: str, data: bytes) -> None:
        """Keep what was worked out from something that has a mark. Raises OSError."""
        self.put(name, mark.encode() + b"\n" + data)

    def all(self, kind: str) -> Iterator[tuple[str, bytes]]:
        """All entries of a kind, in the order of their names. Raises `Damaged`."""
        question = "SELECT name, data, sum FROM entry WHERE name >= ? AND name < ? ORDER BY name"
        with self._reading():
            for name, data, total in self._base.execute(question, (f"{kind} ", f"{kind}!")):
                yield name[len(kind) + 1 :], _sound(name, data, total)

    def names(self, kind: str) -> set[str]:
        """The names of all entries of a kind. Raises `Damaged`."""
        question = "SELECT name FROM entry WHERE name >= ? AND name < ?"
        with self._reading():
            return {name[len(kind) + 1 :] for (name,) in self._base.execute(question, (f"{kind} ", f"{kind}!"))}

    def put(self, name: str, data: bytes, *, squeeze: bool = True) -> None:
        """Keep bytes under a name; not squeezed, those that every build reads are read sooner. Raises OSError."""
        with self._writing():
            _put(self._base, name, data, squeeze)

    def drop(self, names: Iterable[str]) -> None:
        """Keep nothing under some names. Raises OSError."""
        with self._writing():
            self._base.executemany("DELETE FROM entry WHERE name = ?", ((name,) for name in names))

    def clear(self) -> None:
        """Forget everything. Raises OSError."""
        with self._writing():
            self._base.execute("DELETE FROM entry WHERE name != 'format'")

    def commit(self) -> None:
        """Keep for good what was put in. Raises OSError."""
        with self._writing():
            self._base.execute("COMMIT")
            self._base.execute("BEGIN IMMEDIATE")

    @contextlib.contextmanager
    def _reading(self) -> Iterator[None]:
        """Damage in the file is `Damaged`; what is wrong with the disk or the lock is an OSError."""
        try:
            yield
        except sqlite3.DatabaseError as error:
            if (getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF) in _NO_DAMAGE:
                raise OSError(f"{self._path}: {error}") from error
            raise Damaged from error
        except ValueError as error:  # names of tables and entries that are no text any more
            raise Damaged from error

    @contextlib.contextmanager
    def _writing(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.DatabaseError as error:
            raise OSError(f"{self._path}: {error}") from error

    def discard(self) -> None:
        """Throw everything away, as after damage, and begin anew. Raises OSError."""
        self._base.close()
        self._remove()
        self.discarded = True
        self._base = self._opened()

    def __enter__(self) -> Self:
        """The database itself."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Close it; forget what was not committed."""
        with contextlib.suppress(sqlite3.DatabaseError):
            self._base.rollback()
        self._base.close()


def _put(base: sqlite3.Connection, name: str, data: bytes, squeeze: bool = True) -> None:
    kept = _SQUEEZED + zlib.compress(data, 1) if squeeze else _PLAIN + data
    base.execute("INSERT OR REPLACE INTO entry VALUES (?, ?, ?)", (name, kept, _sum(name, kept)))


def _get(base: sqlite3.Connection, name: str) -> bytes | None:
    row = base.execute("SELECT data, sum FROM entry WHERE name = ?", (name,)).fetchone()
    return _sound(name, *row) if row else None


def _sound(name: str, data: bytes, total: bytes) -> bytes:
    if not isinstance(data, bytes) or total != _sum(name, data):
        raise Damaged
    if data[:1] == _PLAIN:
        return data[1:]
    try:
        return zlib.decompress(data[1:])
    except zlib.error as error:
        raise Damaged from error


def _sum(name: str, data: bytes) -> bytes:
    return hashlib.blake2b(name.encode() + b"\0" + data, digest_size=16).digest()
