"""What has to be done on the far side: which files go up, in which order, and which go away.

What pages show goes up before the pages, the pages before the home page; deletions come last. So no page leads to what is
not there yet. A file is sent when its hash differs from that of the far manifest, whatever its date. Files that an earlier
run may have touched before it was stopped are listed on the far side (`passport.publish.remote.expected.PENDING`); of them
nothing is believed but what this computer noted itself.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from passport.publish.folder import manifest
from passport.publish.folder.manifest import FileMark, Manifest
from passport.publish.remote.expected import HOME, Expected

SHARE = 10
"""One in so many passports may go away without a word."""


@dataclass(frozen=True)
class There:
    """What is known of the far side: its manifest, the files that may be otherwise, and those of them that we sent."""

    said: Expected | None = None
    pending: Mapping[str, FileMark] | None = None
    sent: Mapping[str, str] | None = None

    def sum(self, path: str) -> str:
        """The hash of a file as it certainly is there; empty where that is not known."""
        if self.pending and path in self.pending:
            return (self.sent or {}).get(path, "")
        mark = self.said.files.get(path) if self.said else None
        return mark.sum if mark else ""


@dataclass(frozen=True)
class UploadPlan:
    """What goes up in its order, and what goes away, where ``wanted`` is to be after ``there``."""

    wanted: Expected
    there: There

    @cached_property
    def contents(self) -> tuple[FileMark, ...]:
        """What pages show or offer, in the order of paths."""
        return tuple(mark for mark in self._up if not mark.path.endswith(".html"))

    @cached_property
    def pages(self) -> tuple[FileMark, ...]:
        """The pages, the home page last."""
        found = (mark for mark in self._up if mark.path.endswith(".html"))
        return tuple(sorted(found, key=lambda mark: (mark.path == HOME, mark.path)))

    @cached_property
    def _up(self) -> tuple[FileMark, ...]:
        found = (mark for path, mark in self.wanted.files.items() if self.there.sum(path) != mark.sum)
        return tuple(sorted(found, key=lambda mark: mark.path))

    @cached_property
    def gone(self) -> tuple[str, ...]:
        """The files of ours that are to go away."""
        known = {*(self.there.said.files if self.there.said else ()), *(self.there.pending or ())}
        return tuple(sorted(known - self.wanted.files.keys()))

    @cached_property
    def new(self) -> frozenset[str]:
        """The paths at which nothing of ours is yet, so far as is known."""
        return frozenset(
            mark.path for mark in self._up if not self.there.said or mark.path not in self.there.said.files
        )

    @cached_property
    def lost(self) -> frozenset[str]:
        """The keys of passports that are open there and would be no more."""
        return self.there.said.passports - self.wanted.passports if self.there.said else frozenset()

    @property
    def too_many(self) -> bool:
        """Whether more than a tenth of the passports would go away."""
        return bool(self.there.said) and len(self.lost) * SHARE > len(
            self.there.said.passports if self.there.said else ()
        )

    @property
    def size(self) -> int:
        """Bytes to be sent, without the manifest."""
        return sum(mark.size for mark in self._up)

    @property
    def nothing(self) -> bool:
        """Whether all is there as it should be."""
        same = self.there.said is not None and self.there.said.data == self.wanted.data
        return same and self.there.pending is None and not self._up and not self.gone

    def pending(self, key: str) -> bytes:
        """The list of files that are uncertain from the first one sent until the new manifest is there."""
        marks = {**(self.there.pending or {}), **{mark.path: mark for mark in self._up}}
        return manifest.encrypted(manifest.head_of(Manifest()), marks.values(), key)
