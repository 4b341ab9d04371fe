"""Writing one file so that a reader finds the old text or the new one, never a part."""

import os
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path

from passport.records.disk import rights

_LEFT_BEHIND = 600.0
"""Seconds after which a half-written file beside the real one can only be that of a program that was killed."""


def write(path: Path, data: bytes, mode: int = 0o666) -> None:
    """Replace a file's content in one step; its permissions stay, a new file gets ``mode``, less what
    the umask takes. Raises OSError, and then
    the file is as it was.

    The data is on the disk before it takes the old file's place. What a killed program left beside it is taken away.
    """
    # Through a link to the file behind it: replacing the link would leave the other file as it was.
    path = path.resolve()
    # Beside the file: a rename is one step only within one disk.
    handle, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            # Without this some file systems put the new name on the disk before the bytes: an empty file after a power
            # cut.
            os.fsync(file.fileno())
        fresh.chmod(path.stat().st_mode & 0o777 if path.exists() else mode & rights.of_new_file())
        fresh.replace(path)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
    _settle(path.parent)
    _sweep(path)


def _settle(folder: Path) -> None:
    """Write the folder's own entry to the disk, so that the new file is there after a power cut; not on Windows."""
    if sys.platform != "win32":
        with suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


def _sweep(path: Path) -> None:
    with suppress(OSError):
        for other in path.parent.glob(f".{_literal(path.name)}-????????"):
            if time.time() - other.stat().st_mtime > _LEFT_BEHIND:
                other.unlink()


def _literal(name: str) -> str:
    """A name in which no sign stands for another when files are looked for."""
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)
