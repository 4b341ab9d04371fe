"""The output folder: swapped in whole for the old one, and never over a folder that is not ours."""

import ctypes
import errno
import os
import shutil
import sys
from contextlib import suppress
from pathlib import Path

from passport.publish.folder.foreign import KEPT_BY_HOSTS, MARK
from passport.records.disk import rights, walking

_MARK_TEXT = (
    "The site in this folder is written by racquet-passport, which replaces its own files at each build and leaves\n"
    "those of others.\n"
)
_RENAME_EXCHANGE = 2
_RENAME_SWAP = 2
_AT_FDCWD = -100
_NEW, _OLD = "-new", "-old"


class NotOurs(Exception):
    """The output folder holds something that this program did not make."""


def refuse_foreign(target: Path) -> None:
    """Raise `NotOurs` unless ``target`` is missing, made by this program, or holds only what hosts leave there.

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
    found = sorted(p.name for p in walking.listed(target) if p.name not in KEPT_BY_HOSTS)
    if found:
        raise NotOurs(f"'{target}' holds files that this program did not make: {', '.join(found[:3])}.")


def put_in_place(fresh: Path, target: Path) -> None:
    """Let a folder that is whole take the place of ``target``; afterwards ``fresh`` is the old folder, or gone.

    Both must be on one file system. Raises OSError; then ``target`` is as it was.
    """
    mark(fresh)
    fresh.chmod(rights.of_new_folder())
    _swap(fresh, target)


def mark(folder: Path) -> None:
    """Write into a folder that this program made it."""
    (folder / MARK).write_text(_MARK_TEXT, encoding="utf-8")


def is_held(target: Path) -> bool:
    """Whether a folder can take no other's place: a disk of its own is mounted there."""
    return target.is_dir() and (target.is_mount() or target.stat().st_dev != target.parent.stat().st_dev)


def clear_up(target: Path) -> None:
    """Take away what killed builds left; an old site that was put aside comes back where none took its place.

    Builds of today leave nothing but their staging folder. Earlier ones left half a site, with all that players may be
    shown.
    """
    for aside in _asides(target):
        with suppress(OSError):
            if not target.exists() and (aside / MARK).is_file():
                aside.rename(target)
    for left in target.parent.glob(f".{_literal(target.name)}-????????{_NEW}"):
        if left.is_dir() and not left.is_symlink():
            shutil.rmtree(left, ignore_errors=True)


def _asides(target: Path) -> list[Path]:
    return sorted(target.parent.glob(f".{_literal(target.name)}{_OLD}-*"))


def _literal(name: str) -> str:
    """A name in which no sign stands for another when files are looked for."""
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)


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
