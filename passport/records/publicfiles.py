"""Files that a shop puts on its site as they are: everything below ``public`` in the content folder.

A host's or a search engine's proof, a domain's name, an imprint: ``public/CNAME`` stands as ``CNAME`` on the site.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from passport.records.disk import walking
from passport.records.schema import numbers

FOLDER: Final = "public"
MOST_BYTES: Final = 20_000_000
"""Bytes of one such file."""
_OWN_FOLDERS: Final = frozenset({"assets", "fonts", "care", "legal", "keep", "publishing-lock"})
_OWN_FILES: Final = frozenset(
    {"index.html", "404.html", "robots.txt", "kept.js", "manifest.bin", "publishing.bin", ".racquet-passport"}
)
_HIDDEN_FROM_ALL: Final = frozenset({".git", ".DS_Store"})
"""What version control and the system leave in folders, and no site is to show."""


def public_files(root: Path) -> Iterator[tuple[str, Path]]:
    """Every file to be put on the site, by its path there, in order; links among them. Raises `walking.TooMany`."""
    folder = root / FOLDER
    for path in walking.files(folder, hidden=True) if not folder.is_symlink() else ():
        inside = path.relative_to(folder)
        if _HIDDEN_FROM_ALL.isdisjoint(inside.parts):
            yield inside.as_posix(), path


def taken(path: str) -> bool:
    """Whether the site has files of its own at a path, so that a shop's cannot stand there."""
    top, _, below = path.partition("/")
    return path in _OWN_FILES or top in _OWN_FOLDERS or numbers.is_key(top) or (bool(below) and top in _OWN_FILES)
