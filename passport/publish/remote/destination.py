"""A place to publish to, with its lock and its list of uncertain files, whatever its protocol.

Two kinds: a folder on the far side, file by file (`Filed`), and a branch of a repository, all at once
(`passport.publish.remote.branch`).
"""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Protocol

from passport.publish.folder import manifest
from passport.publish.folder.manifest import FILE
from passport.publish.remote.expected import HOME, PENDING, expected
from passport.publish.remote.far import Far
from passport.publish.remote.lease import Lease, leased
from passport.publish.remote.memo import Memo
from passport.publish.remote.plan import There, UploadPlan
from passport.publish.remote.send import Sending, Told


class Foreign(Exception):
    """Files of others stand where the site is to be; ``what`` names one."""

    def __init__(self, place: str, what: str) -> None:
        self.place, self.what = place, what
        super().__init__(what)


class Unopened(Exception):
    """A site is there whose manifest our key does not open."""

    def __init__(self, place: str) -> None:
        self.place = place
        super().__init__(place)


class Destination(Protocol):
    """Where a site is published to."""

    @property
    def name(self) -> str:
        """The place as a person knows it."""

    def alone(self, say: Callable[[str], None]) -> AbstractContextManager[None]:
        """Keep others from publishing there meanwhile, as far as the protocol can."""

    def look(self, key: str, *, anew: bool = False) -> There:
        """What is there; with ``anew`` nothing of it is believed. Raises `Foreign`, `Unopened`, `Trouble`."""

    def send(self, plan: UploadPlan, site: Path, key: str, told: Told) -> None:
        """Carry a plan out. Raises what `Sending.run` does."""

    def close(self) -> None:
        """End the connection."""


class Filed:
    """A folder on the far side."""

    def __init__(self, far: Far, memo: Memo) -> None:
        self.name, self._far, self._memo = far.name, far, memo
        self._lease: Lease | None = None

    @contextmanager
    def alone(self, say: Callable[[str], None]) -> Iterator[None]:
        """Hold the lock on the far side."""
        with leased(self._far, self._memo.token, say) as self._lease:
            yield

    def look(self, key: str, *, anew: bool = False) -> There:
        """Read the manifest there, and the list of what is uncertain."""
        there = self._said(key, anew=anew)
        data = self._far.read(PENDING)
        if there.said is None and data is None and not anew and self._far.read(HOME) is not None:
            raise Foreign(self.name, f"a file '{HOME}'")
        if data is None:
            pending = None
        else:
            try:
                pending = expected(data, key).files
            except (manifest.Sealed, manifest.TooNew):
                if not anew:
                    raise Unopened(self.name) from None
                pending = {}
        if anew:  # nothing counts as it is there, but what is listed is still ours to take away
            known = {**(there.said.files if there.said else {}), **(pending or {})}
            return There(there.said, known, {})
        return There(there.said, pending, self._memo.sent(data))

    def _said(self, key: str, *, anew: bool) -> There:
        data = self._far.read(FILE)
        if data is None:
            return There()
        try:
            return There(expected(data, key))
        except (manifest.Sealed, manifest.TooNew):
            if anew:
                return There()
            raise Unopened(self.name) from None

    def send(self, plan: UploadPlan, site: Path, key: str, told: Told) -> None:
        """Send file by file."""
        assert self._lease, "nothing is sent without the lock"
        Sending(self._far, plan, site, key, self._lease, self._memo, told).run()

    def close(self) -> None:
        """End the connection, and the notes."""
        self._memo.close()
        self._far.close()
