"""One at a time on the far side: a lock there that its holder renews, and that others take over when nobody does.

No clock is believed: who finds the lock taken watches it with a stopwatch of its own. Where what stands in it has not
changed for `PATIENCE` seconds its holder is gone. Two who take over the same forsaken lock in the same moment may both
hold it until the next renewal, at which one of them stops; no protocol of these can rule that out.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field

from passport.publish.remote.far import Far, Trouble
from passport.records.language.worded import worded

FILE = "publishing-lock/holder"
PATIENCE = 120.0
"""Seconds without a renewal after which a lock is forsaken."""
RENEWED = 20.0
"""Seconds after which a holder renews."""
_LOOK = 5.0
_TRIES = 5


class NotAlone(Exception):
    """Somebody else publishes to the same place."""


@dataclass
class Lease:
    """The lock of a far folder, held under a ``token`` that nobody else has."""

    far: Far
    token: str
    patience: float = field(default_factory=lambda: PATIENCE)
    _count: int = 0
    _since: float = field(default_factory=time.monotonic)

    def renew(self) -> None:
        """Show that its holder is there, if it is time. Raises `NotAlone`, `Trouble`."""
        if time.monotonic() - self._since > min(RENEWED, self.patience / 4):
            self.hold()

    def hold(self) -> None:
        """Make sure that it is ours, and renew it. Raises `NotAlone`, `Trouble`."""
        if _token(self.far.read(FILE)) != self.token:
            raise NotAlone
        self._count += 1
        self.far.write(FILE, self._signed())
        self._since = time.monotonic()

    def take(self, say: Callable[[str], None]) -> None:
        """Get the lock, or take a forsaken one over. Raises `NotAlone` where somebody holds it, `Trouble`."""
        for _ in range(_TRIES):
            if self.far.create(FILE, self._signed()):
                return
            held = self.far.read(FILE)
            if _token(held) == self.token:  # ours, of a run that was stopped
                return self.hold()
            if not self._forsaken(held, say):
                raise NotAlone
            self.far.remove(FILE)
        raise NotAlone

    def _forsaken(self, held: bytes | None, say: Callable[[str], None]) -> bool:
        say(
            worded(
                "Somebody was publishing there: waiting up to {patience:.0f} s to see whether they still are …",
                patience=self.patience,
            )
        )
        until = time.monotonic() + self.patience
        while time.monotonic() < until:
            time.sleep(min(_LOOK, self.patience / 10))
            now = self.far.read(FILE)
            if now != held:
                return now is None
        return True

    def _signed(self) -> bytes:
        return f"{self.token} {self._count}\n".encode()


def _token(data: bytes | None) -> str:
    return (data or b"").decode("ascii", "replace").partition(" ")[0]


@contextmanager
def leased(far: Far, token: str, say: Callable[[str], None]) -> Iterator[Lease]:
    """Hold the lock of a far folder. Raises `NotAlone`, `Trouble`; what stopped a run in it leaves it to the next one."""
    lease = Lease(far, token)
    lease.take(say)
    try:
        yield lease
    except NotAlone:
        raise
    except BaseException:
        with suppress(Trouble):
            far.remove(FILE)
        raise
    far.remove(FILE)
