"""One command at a time writes to a content folder: an advisory lock that goes away with the process that holds it.

The system's own file locks are used (``flock`` on Linux and macOS, ``msvcrt.locking`` on Windows): they end with their
process, however it ends. Where a disk knows no such locks, the lock file itself is the lock; it then counts as left
behind when its process is gone from this computer, or after `STALE_SECONDS`.
"""

import errno
import json
import os
import socket
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from passport.records.disk import opening
from passport.records.language.worded import worded

NAME = ".passport-lock"
"""The lock file in the content folder; it is there only while a command writes."""
STALE_SECONDS = 600.0
_UNSIGNED_SECONDS = 10.0
_PAUSE = 0.05
_SIGNED = 10_000
"""Bytes that a lock file has at most."""
_MADE = "-made"
_BEYOND = 1 << 20
"""The byte that is locked on Windows: beyond the text, which others may so still read."""
_CAREFULLY = getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOFOLLOW", 0)
"""A lock file that is a link may lead anywhere, and would be overwritten there."""
_NO_LOCKS = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL}
Say = Callable[[str], None]


class Busy(Exception):
    """Another command kept the lock for longer than one waits; the text names it and says what to do."""


@dataclass(frozen=True, slots=True)
class _Holder:
    """Who holds a lock: what it is doing, its process, its computer."""

    work: str
    process: int
    computer: str


@dataclass(frozen=True, slots=True)
class _OwnLock:
    """A lock that is ours: its file, open."""

    path: Path
    handle: int


@contextmanager
def locked(folder: Path, work: str, *, wait: float = 10.0, say: Say | None = None) -> Iterator[None]:
    """Hold the lock of a content folder; ``work`` tells others what holds it, ``say`` is told once when one has to wait.

    Waits at most ``wait`` seconds. Raises `Busy`, and OSError where the folder cannot be written to.
    """
    path, until, told = folder / NAME, time.monotonic() + wait, False
    while (held := _take(path, work)) is None:
        if say and not told:
            told = True
            say(worded("Waiting for {who} to finish …", who=_who(path)))
        if time.monotonic() >= until:
            raise Busy(_busy(path))
        time.sleep(_PAUSE)
    try:
        yield
    finally:
        _give_back(held)


def _take(path: Path, work: str) -> _OwnLock | None:
    """The lock, or None while somebody else has it."""
    # Readable by others, so that their command can name who holds it.
    handle = os.open(path, os.O_RDWR | os.O_CREAT | _CAREFULLY, 0o644)
    try:
        got = _lock(handle)
        # Between open and lock the holder may have removed the file: a lock on a file without a name keeps nobody out.
        if got and _same_file(handle, path):
            _sign(handle, work)
            return _OwnLock(path, handle)
    except BaseException:
        os.close(handle)
        raise
    os.close(handle)
    # None, not False: the disk has no locks at all (some network shares), so waiting would never end.
    return _take_by_making(path, work) if got is None else None


def _lock(handle: int) -> bool | None:
    """Whether the system's lock was got; None where this disk has none."""
    try:
        if sys.platform == "win32":
            import msvcrt  # Windows only

            os.lseek(handle, _BEYOND, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl  # not on Windows

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in _NO_LOCKS:
            return None
        if error.errno in (errno.EAGAIN, errno.EACCES, errno.EDEADLK, errno.EWOULDBLOCK):
            return False
        raise
    return True


def _same_file(handle: int, path: Path) -> bool:
    """Whether the lock file is still the one that was opened: the holder before takes its file away."""
    try:
        return os.path.samestat(os.fstat(handle), path.stat())
    except FileNotFoundError:
        return False


def _sign(handle: int, work: str) -> None:
    text = json.dumps({"work": work, "process": os.getpid(), "computer": socket.gethostname()})
    os.ftruncate(handle, 0)
    os.lseek(handle, 0, os.SEEK_SET)
    os.write(handle, text.encode())


def _give_back(held: _OwnLock) -> None:
    """The file goes while it is still locked, so that a command that waits sees that it is no longer the lock."""
    if sys.platform == "win32":
        os.close(held.handle)  # no open file is removed there
        with suppress(OSError):
            held.path.unlink()
    else:
        with suppress(OSError):
            held.path.unlink()
        os.close(held.handle)


def _take_by_making(path: Path, work: str) -> _OwnLock | None:
    """The lock of a disk without locks: the command that makes the file has it."""
    made = path.with_name(path.name + _MADE)
    if made.exists() and _left_behind(made):
        aside = made.with_name(f"{made.name}-{os.getpid()}")
        with suppress(OSError):
            made.rename(aside)  # of several who see that it was left behind, one gets it
            aside.unlink()
    try:
        handle = os.open(made, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o644)
    except FileExistsError:
        return None
    _sign(handle, work)
    return _OwnLock(made, handle)


def _holder(path: Path) -> _Holder | None:
    try:
        data = json.loads(opening.read_text(path, most=_SIGNED))
        return _Holder(str(data["work"])[:80], int(data["process"]), str(data["computer"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _left_behind(path: Path) -> bool:
    holder = _holder(path)
    # A process number means something on its own computer alone; of another one only the age tells.
    if holder and holder.computer == socket.gethostname() and not _runs(holder.process):
        return True
    # Without a name in it the file was just made, and its maker was stopped before it could sign: seconds are enough.
    return _age(path) > (STALE_SECONDS if holder else _UNSIGNED_SECONDS)


def _age(path: Path) -> float:
    try:
        return time.time() - path.stat().st_mtime
    except OSError:
        return 0.0


def _runs(process: int) -> bool:
    if sys.platform != "win32":  # asking would end the process there; the age decides
        try:
            os.kill(process, 0)
        except ProcessLookupError:
            return False
        except OSError:
            pass
    return True


def _who(path: Path) -> str:
    holder = _holder(path) or _holder(path.with_name(path.name + _MADE))
    if holder is None:
        return "another command"
    where = f" on {holder.computer}" if holder.computer != socket.gethostname() else ""
    return f"'{holder.work}' (process {holder.process}{where})"


def _busy(path: Path) -> str:
    do = "Wait for it, or end it, and try again."
    return f"{_who(path)} is writing to this folder and has not finished. {do}"
