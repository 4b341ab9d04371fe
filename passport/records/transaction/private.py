"""The hidden folder in the content where a workshop's own program keeps what is nobody else's: journal and history."""

import errno
from pathlib import Path

NAME = ".passport"
_IGNORE = "*\n"
"""Version control leaves it out: what it holds of an erased player could not be taken out of a history again."""


def folder_of(root: Path) -> Path:
    """The folder in a content folder, whether it is there or not. Raises OSError where it is a link."""
    path = root / NAME
    if path.is_symlink():
        raise OSError(errno.ELOOP, "This is a link, and might lead anywhere; take it away", str(path))
    return path


def made(root: Path, *below: str) -> Path:
    """The folder, or one below it, made where it was not there; only its owner may look into it. Raises OSError."""
    path = folder_of(root)
    path.mkdir(mode=0o700, exist_ok=True)
    ignore = path / ".gitignore"
    if not ignore.exists():
        ignore.write_text(_IGNORE, encoding="utf-8")
    for name in below:
        path = path / name
        if path.is_symlink():
            raise OSError(errno.ELOOP, "This is a link, and might lead anywhere; take it away", str(path))
        path.mkdir(mode=0o700, exist_ok=True)
    return path
