"""What stands in a folder, told by the marks that the file system keeps: size, times, file number.

A file whose marks are those of the last build is taken to be what it was, as version control does. The marks of a file
that was written a moment before it was looked at prove nothing, since a second change in that moment leaves no mark.
"""

import os
import stat
import time
from collections.abc import Mapping
from pathlib import Path

from passport.publish.folder.digest import digest

Mark = tuple[int, int, int, int]
"""Size in bytes, time of the last change of the content and of the file's own entry in ns, file number."""
UNSURE_NS = 2_000_000_000
"""How young a change may be whose mark proves nothing, ns: the coarsest clock of a file system in use (FAT, from memory)."""
_DEEPEST = 12


def listing(root: Path, *, hidden: bool = False) -> dict[str, Mark]:
    """The marks of every file below a folder by path, with forward slashes; nothing where there is no folder.

    A folder is listed too, with a slash at its end. Hidden ones are left out unless ``hidden``. A link that leads to
    nothing has a mark of its own.
    """
    found: dict[str, Mark] = {}
    waiting = [(os.fspath(root), "", _DEEPEST)]
    while waiting:
        folder, prefix, deep = waiting.pop()
        try:
            entries = list(os.scandir(folder))
        except OSError:
            continue
        for entry in entries:
            name = entry.name
            if name[0] == "." and not hidden:
                continue
            path = prefix + name
            try:
                if entry.is_dir():
                    found[path + "/"] = (0, 0, 0, 0)
                    if deep:
                        waiting.append((entry.path, path + "/", deep - 1))
                    continue
                found[path] = _mark(entry.stat())
            except OSError:
                found[path] = _mark(entry.stat(follow_symlinks=False))
    return found


def mark_of(path: Path | str) -> Mark | None:
    """The mark of a file; None where it is none."""
    try:
        found = Path(path).stat()
    except OSError:
        return None
    return _mark(found) if stat.S_ISREG(found.st_mode) else None


def _mark(found: os.stat_result) -> Mark:
    return found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino


def unsure(marks: Mapping[str, Mark], now: int | None = None) -> set[str]:
    """The files that were changed so shortly before ``now`` (ns since 1970, the clock's where None), or after it."""
    limit = (time.time_ns() if now is None else now) - UNSURE_NS
    return {path for path, mark in marks.items() if mark[1] > limit}


def whole(marks: Mapping[str, tuple[int, ...]]) -> str:
    """One fingerprint of a whole listing."""
    return digest("\n".join(f"{path}\0{mark}" for path, mark in sorted(marks.items())))
