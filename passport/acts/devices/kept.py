"""Where this computer keeps what belongs to it and not to a workshop's records: beside this user's settings, for nobody else."""

import os
from pathlib import Path

from platformdirs import user_config_path

from passport.acts.refused import writing
from passport.records.disk import opening
from passport.records.transaction import atomic

MOST = 1_000_000
_OWNER_ONLY = 0o600


def folder() -> Path:
    """The folder, whether it is there or not."""
    return user_config_path("racquet-passport", appauthor=False) / "bench"


def read(name: str) -> bytes | None:
    """What a file of that folder holds; None where there is none, or where others could have written it."""
    path = folder() / name
    try:
        return None if _open_to_others(path) else opening.read(path, most=MOST, inside=folder())
    except OSError:
        return None


def write(name: str, data: bytes) -> None:
    """Write a file of that folder, for its owner alone, whatever it was before. Raises Refused."""
    with writing(f"'{folder() / name}'"):
        folder().mkdir(parents=True, exist_ok=True, mode=0o700)
        path = folder() / name
        if _open_to_others(path):
            path.unlink()
        atomic.write(path, data, mode=_OWNER_ONLY)


def _open_to_others(path: Path) -> bool:
    """Whether a file has rights for others; Windows tells them otherwise, and keeps a user's settings to the user."""
    return os.name == "posix" and path.exists() and bool(path.stat().st_mode & 0o077)
