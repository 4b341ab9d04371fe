"""The output folder: built beside the old one and swapped in whole; never over a folder that is not ours."""

import ctypes
import errno
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

MARK = ".racquet-passport"
"""The file by which a folder made by this program is known."""
_MARK_TEXT = "This folder is written by racquet-passport; it is replaced as a whole at each build.\n"
_HARMLESS = {".gitignore", ".gitkeep", ".DS_Store"}
_RENAME_EXCHANGE = 2
_AT_FDCWD = -100


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
    fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}-", suffix="-new", dir=target.parent))
    try:
        yield fresh
        (fresh / MARK).write_text(_MARK_TEXT, encoding="utf-8")
        _keep_dot_files(target, fresh)
        fresh.chmod(0o755)
        _swap(fresh, target)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _keep_dot_files(old: Path, fresh: Path) -> None:
    for name in _HARMLESS:
        if (old / name).is_file():
            shutil.copy2(old / name, fresh / name)


def _swap(fresh: Path, target: Path) -> None:
    """Put ``fresh`` in the place of ``target``; afterwards ``fresh`` is the old folder, or gone."""
    if not target.exists():
        fresh.rename(target)
    elif not _exchange(fresh, target):
        aside = target.with_name(f".{target.name}-old-{os.getpid()}")
        # A folder that came with a container's image cannot be renamed (EXDEV), only copied.
        shutil.move(target, aside)
        try:
            fresh.rename(target)
        except OSError:
            shutil.move(aside, target)
            raise
        shutil.rmtree(aside, ignore_errors=True)


def _exchange(one: Path, other: Path) -> bool:
    """Swap two folders in one step where the system can (Linux, renameat2); False where it cannot."""
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, OSError, TypeError):
        return False
    if rename(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE) == 0:
        return True
    code = ctypes.get_errno()
    if code in (errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EXDEV):
        return False
    raise OSError(code, os.strerror(code), str(other))
