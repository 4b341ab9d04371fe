"""The one way in which folders are gone through: no link to a folder is followed, and there is a most of everything.

A link to a folder above itself would be walked for ever, and one to ``/`` would lead over the whole disk. See
`passport.records.disk.opening` for what is found.
"""

import errno
import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from passport.records.disk.opening import NotRead

MOST = 2_000_000
"""Files and folders below one folder: some thirty times a workshop with ten thousand frames and its site."""


class TooMany(NotRead):
    """A folder that holds more than is gone through."""


def entries(
    root: Path | str, *, hidden: bool = False, most: int = MOST, shut: list[str] | None = None
) -> Iterator[tuple[str, os.DirEntry[str]]]:
    """Everything below a folder with its path there, with forward slashes, that of a folder with one at its end.

    A link counts as a file, wherever it leads. Hidden files and folders are left out unless ``hidden``; a folder that
    cannot be read is passed over, and so is a missing ``root``; the paths of closed ones are added to ``shut``, ``./`` where
    it is ``root``. In no order. Raises `TooMany`.
    """
    waiting, seen, count = [(os.fspath(root), "")], set[tuple[int, int]](), 0
    while waiting:
        # A list instead of recursion: a folder may be nested deeper than Python's stack.
        folder, prefix = waiting.pop()
        for entry in _scanned(folder, prefix, shut):
            name = entry.name
            if name[0] == "." and not hidden:
                continue
            # Hidden entries are not counted: version control alone may keep more files than the workshop has.
            count += 1
            if count > most:
                raise _too_many(root, most)
            if not is_folder(entry):
                yield prefix + name, entry
            elif _first_time(entry, seen):
                yield f"{prefix}{name}/", entry
                waiting.append((entry.path, f"{prefix}{name}/"))


def files(root: Path, *folders: str, hidden: bool = False) -> list[Path]:
    """Every file below a folder, or below some folders in it that are no links; sorted, links to files among them.

    None where there is no such folder. Raises `TooMany`.
    """
    roots = [root / name for name in folders if not (root / name).is_symlink()] if folders else [root]
    found = (Path(entry.path) for one in roots for path, entry in entries(one, hidden=hidden) if path[-1] != "/")
    return sorted(found)


def listed(folder: Path | str, *, most: int = MOST, ends: tuple[str, ...] = ("",)) -> list[Path]:
    """What stands in one folder, sorted; nothing where there is no folder or it cannot be read. With ``ends`` what ends
    so alone. Raises `TooMany`."""
    found = list[os.DirEntry[str]]()
    for count, entry in enumerate(_scanned(folder)):
        if count >= most:
            raise _too_many(folder, most)
        if entry.name.endswith(ends):
            found.append(entry)
    # By name, as paths would be sorted: those are slow to compare, and a folder of players holds thousands.
    return [Path(entry.path) for entry in sorted(found, key=lambda entry: os.path.normcase(entry.name))]


def is_folder(entry: os.DirEntry[str]) -> bool:
    """Whether an entry is a folder itself and not a link, nor what Windows has in a link's place."""
    junction = getattr(entry, "is_junction", None)  # from Python 3.12 on
    with suppress(OSError):
        return entry.is_dir(follow_symlinks=False) and not (junction is not None and junction())
    return False


def refusal(folder: Path | str) -> OSError | None:
    """Why a folder cannot be listed, or what stands in it cannot be reached; None where both can, or where there is none."""
    try:
        with os.scandir(folder):
            pass
        os.stat(os.path.join(folder, "."))  # noqa: PTH116, PTH118 - the dot asks for the right to enter; Path drops it
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as error:
        return error
    return None


def _scanned(folder: Path | str, prefix: str = "", shut: list[str] | None = None) -> Iterator[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as found:
            yield from found
    except (FileNotFoundError, NotADirectoryError):
        return
    except OSError:
        if shut is not None:
            shut.append(prefix or "./")


def _too_many(folder: Path | str, most: int) -> TooMany:
    return TooMany(errno.EFBIG, f"this folder holds more than {most} files and folders", os.fspath(folder))


def _first_time(entry: os.DirEntry[str], seen: set[tuple[int, int]]) -> bool:
    """Whether a folder was not come to yet: one may be mounted inside itself."""
    try:
        found = entry.stat(follow_symlinks=False)
    except OSError:
        return False
    mark = (found.st_dev, found.st_ino)
    if found.st_ino and mark in seen:
        return False
    seen.add(mark)
    return True
