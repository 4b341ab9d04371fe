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
from passport.records.disk import walking

Mark = tuple[int, int, int, int]
"""Size in bytes, time of the last change of the content and of the file's own entry in ns, file number."""
UNSURE_NS = 2_000_000_000
"""How young a change may be whose mark proves nothing, ns: the coarsest clock of a file system in use (FAT, from memory)."""
UNSEEN: Mark = (-1, 0, 0, 0)
"""The mark of a folder that cannot be listed, and of a file that cannot be looked at."""


def listing(root: Path, *, hidden: bool = False) -> dict[str, Mark]:
    """The marks of every file below a folder by path, with forward slashes; nothing where there is no folder.

    A folder is listed too, with a slash at its end; a link to one counts as a file. Hidden ones are left out unless
    ``hidden``. A link that leads to nothing has a mark of its own, and what is closed to us is `UNSEEN`; the folder itself
    is ``./`` then. Raises `passport.records.disk.walking.TooMany`.
    """
    found: dict[str, Mark] = {}
    shut = list[str]()
    for path, entry in walking.entries(root, hidden=hidden, shut=shut):
        if path[-1] == "/":
            found[path] = (0, 0, 0, 0)
            continue
        try:
            found[path] = _mark(entry.stat())
        except OSError:
            found[path] = _lost(entry)
    return found | dict.fromkeys(shut, UNSEEN)


def _lost(entry: os.DirEntry[str]) -> Mark:
    """The mark of a link that leads to nothing; of what was taken away just now, or cannot be entered, `UNSEEN`."""
    try:
        return _mark(entry.stat(follow_symlinks=False))
    except OSError:
        return UNSEEN


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
