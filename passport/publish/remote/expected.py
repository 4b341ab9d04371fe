"""What should be on-line, and what should not: read from a site's manifest, for whoever brings it there or asks for it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from passport.publish.folder import manifest
from passport.publish.folder.manifest import FILE, FileMark, Manifest
from passport.records.disk import opening

PENDING = "publishing.bin"
"""Beside the manifest while somebody publishes: the files that may not be what the manifest says."""
HOME = "index.html"


@dataclass(frozen=True)
class Expected:
    """A site as its manifest lists it; ``data`` are the manifest's own bytes."""

    said: Manifest
    data: bytes

    @cached_property
    def files(self) -> Mapping[str, FileMark]:
        """Every file by its path, but the manifest."""
        return {mark.path: mark for mark in self.said.files}

    @cached_property
    def passports(self) -> frozenset[str]:
        """The keys of the frames that have a page which is not closed for good."""
        frames = {line.key for line in self.said.keys if line.kind == "frame"} - self.said.closed
        return frozenset(key for key in frames if f"{key}/{HOME}" in self.files)

    @cached_property
    def closed(self) -> frozenset[str]:
        """The keys that are closed for good: nothing may be at them but a page that says so."""
        return self.said.closed


def expected(data: bytes, key: str) -> Expected:
    """What a manifest's bytes say. Raises `passport.publish.folder.manifest.Sealed` and ``TooNew``."""
    return Expected(manifest.opened(data, key), data)


def expected_of(site: Path, key: str) -> Expected | None:
    """What the manifest of a site in a folder says; None without one. Raises ``Sealed``, ``TooNew``, OSError."""
    path = site / FILE
    if path.is_symlink() or not path.is_file():
        return None
    if not key:
        raise manifest.Sealed("there is no key")
    return expected(opening.read(path), key)


def file_of(site: Path, mark: FileMark) -> bytes | None:
    """The bytes of a site's file; None where they are not what its manifest says. Raises OSError."""
    try:
        data = opening.read(site / mark.path, inside=site)
    except (FileNotFoundError, NotADirectoryError):
        return None
    return data if len(data) == mark.size and manifest.sum_of(data) == mark.sum else None
