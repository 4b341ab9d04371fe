"""Writing one file so that a reader finds the old text or the new one, never a part."""

import os
import tempfile
from pathlib import Path


def write(path: Path, data: bytes) -> None:
    """Replace a file's content in one step; its permissions stay. Raises OSError, and then the file is as it was."""
    path = path.resolve()
    handle, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        fresh.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
        fresh.replace(path)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
