"""The output folder: built beside the old one and swapped in whole; never over a folder that is not ours.

Whoever is killed in the middle leaves a hidden folder beside the site. The next build takes it away: a build that runs
holds a lock on its folder, which the system gives back however the build ends.
"""

import ctypes
import errno
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

MARK = ".racquet-passport"
"""The file by which a folder made by this program is known."""
_MARK_TEXT = "This folder is written by racquet-passport; it is replaced as a whole at each build.\n"
_HARMLESS = {".gitignore", ".gitkeep", ".DS_Store"}
_RENAME_EXCHANGE = 2
_RENAME_SWAP = 2
_AT_FDCWD = -100
_NEW, _OLD = "-new", "-old"
_FORGOTTEN = 86_400.0
"""Seconds after which a folder beside the site is taken to be a killed build's, where the system has no locks."""
_TRIES = 20


class NotOurs(Exception):
    """The output folder holds something that this program did not make."""


def refuse_foreign(target: Path) -> None:
    """Raise `NotOurs` unless ``target`` is missing, empty but for harmless dot files, or made by this program.

    The folder that the program was started in is refused too: replaced, it would leave the shell in a deleted one.
    """
    if Path.cwd().is_relative_to(target.resolve()):
        raise NotOurs(f"'{target}' is the folder that you stand in, or one above it.")
    if not target.exists() and not target.is_symlink():
        return
    if target.is_symlink() or not target.is_dir():
        raise NotOurs(f"'{target}' is not a folder of its own.")
    if (target / MARK).is_file():
        return
    found = sorted(p.name for p in target.iterdir() if p.name not in _HARMLESS)
    if found:
        raise NotOurs(f"'{target}' holds files that this program did not make: {', '.join(found[:3])}.")


@contextmanager
def replacing(target: Path) -> Iterator[Path]:
    """A new folder beside ``target`` to fill; it takes the target's place when the block ends without an error.

    After an error, or when the program is stopped, the old folder is as it was. Dot files of the old folder such as
    ``.gitignore`` are kept. Raises `NotOurs`, OSError.
    """
    refuse_foreign(target)
    target.parent.mkdir(parents=True, exist_ok=True)
    clear_up(target)
    fresh, handle = _fresh(target)
    try:
        yield fresh
        put_in_place(fresh, target)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
        if handle is not None:
            os.close(handle)


def put_in_place(fresh: Path, target: Path) -> None:
    """Let a folder that is whole take the place of ``target``; afterwards ``fresh`` is the old folder, or gone.

    Both must be on one file system. Dot files of the old folder such as ``.gitignore`` are kept. Raises OSError; then
    ``target`` is as it was.
    """
    (fresh / MARK).write_text(_MARK_TEXT, encoding="utf-8")
    _keep_dot_files(target, fresh)
    fresh.chmod(0o755)
    _swap(fresh, target)


def _fresh(target: Path) -> tuple[Path, int | None]:
    """A new folder beside the target, locked by its handle; None for a handle where this disk knows no locks."""
    for _ in range(_TRIES):
        fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}-", suffix=_NEW, dir=target.parent))
        taken, handle = _lock(fresh)
        if taken is None or (taken and fresh.exists()):
            return fresh, handle
        if handle is not None:  # another build has just taken it for one that was left behind
            os.close(handle)
    raise OSError(errno.EBUSY, "other builds keep clearing up", str(target))


def _lock(folder: Path) -> tuple[bool | None, int | None]:
    """Whether the lock of a folder was got, with its handle; None where there is no telling."""
    if sys.platform == "win32":
        return None, None
    import fcntl  # not on Windows

    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return False, None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        os.close(handle)
        return (False if error.errno in (errno.EWOULDBLOCK, errno.EACCES) else None), None
    return True, handle


def clear_up(target: Path) -> None:
    """Take away what killed builds left; an old site that was put aside comes back where none took its place."""
    for aside in _asides(target):
        with suppress(OSError):
            if not target.exists() and (aside / MARK).is_file():
                aside.rename(target)
    for left in target.parent.glob(f".{_literal(target.name)}-????????{_NEW}"):
        if left.is_symlink() or not left.is_dir():
            continue
        taken, handle = _lock(left)
        if taken or (taken is None and _age(left) > _FORGOTTEN):
            shutil.rmtree(left, ignore_errors=True)
        if handle is not None:
            os.close(handle)


def _asides(target: Path) -> list[Path]:
    return sorted(target.parent.glob(f".{_literal(target.name)}{_OLD}-*"))


def _age(path: Path) -> float:
    try:
        return time.time() - path.stat().st_mtime
    except OSError:
        return 0.0


def _literal(name: str) -> str:
    """A name in which no sign stands for another when files are looked for."""
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)


def _keep_dot_files(old: Path, fresh: Path) -> None:
    for name in _HARMLESS:
        if (old / name).is_file():
            shutil.copy2(old / name, fresh / name)


def _swap(fresh: Path, target: Path) -> None:
    """Put ``fresh`` in the place of ``target``; afterwards ``fresh`` is the old folder, or gone."""
    if not target.exists():
        fresh.rename(target)
    elif not _exchange(fresh, target):
        aside = target.with_name(f".{target.name}{_OLD}-{os.getpid()}")
        # A folder that came with a container's image cannot be renamed (EXDEV), only copied.
        shutil.move(target, aside)
        try:
            fresh.rename(target)
        except OSError:
            shutil.move(aside, target)
            raise
        for old in _asides(target):
            shutil.rmtree(old, ignore_errors=True)


def _exchange(one: Path, other: Path) -> bool:
    """Swap two folders in one step where the system can (Linux, macOS); False where it cannot."""
    first, second = os.fsencode(one), os.fsencode(other)
    try:
        system = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "darwin":
            code = system.renamex_np(first, second, _RENAME_SWAP)
        else:
            code = system.renameat2(_AT_FDCWD, first, _AT_FDCWD, second, _RENAME_EXCHANGE)
    except (AttributeError, OSError, TypeError):
        return False
    if code == 0:
        return True
    number = ctypes.get_errno()
    if number in (errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EXDEV):
        return False
    raise OSError(number, os.strerror(number), str(other))
