"""Content folders whose templates may do more than the sandbox lets them: a list outside of them, kept by this user.

A folder is trusted for its templates as they are then: their fingerprint stands beside its path, so that one that
comes later, by a share or by version control, is not trusted with the others.
"""

import hashlib
import json
from pathlib import Path

from platformdirs import user_config_path

from passport.records.disk import opening, walking
from passport.records.transaction import atomic

_MOST = 1_000_000


def trusted(content: Path) -> bool:
    """Whether the templates of a content folder, as they are now, were said to be trusted."""
    known = _known().get(str(content.resolve()))
    return known is not None and known == fingerprint(content)


def trust(content: Path) -> None:
    """Remember that a content folder's templates are trusted as they are now. Raises OSError."""
    _write({**_known(), str(content.resolve()): fingerprint(content)})


def distrust(content: Path) -> None:
    """Forget that a content folder's templates are trusted. Raises OSError."""
    _write({path: mark for path, mark in _known().items() if path != str(content.resolve())})


def place() -> Path:
    """The file in which it is remembered, where this user's programs keep their settings."""
    return user_config_path("racquet-passport", appauthor=False) / "trusted.json"


def fingerprint(content: Path) -> str:
    """The fingerprint of all that stands in a content folder's ``templates``. Raises OSError."""
    total = hashlib.sha256()
    for path in walking.files(content, "templates", hidden=True):
        data = opening.read(path, inside=content)
        total.update(f"{path.relative_to(content).as_posix()}\0{len(data)}\0".encode("utf-8", "surrogateescape"))
        total.update(data)
    return total.hexdigest()


def _known() -> dict[str, str]:
    try:
        found = json.loads(opening.read(place(), most=_MOST))
    except (OSError, ValueError):
        return {}
    pairs = found.items() if isinstance(found, dict) else ()
    return {path: mark for path, mark in pairs if isinstance(path, str) and isinstance(mark, str)}


def _write(known: dict[str, str]) -> None:
    place().parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    atomic.write(place(), (json.dumps(known, indent=1, sort_keys=True) + "\n").encode())
