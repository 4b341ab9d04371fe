"""Who asks: this computer, or a device in the room that was paired with it; and what each of them may see."""

import hmac
import secrets
import time
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass, field

from passport.records.schema.numbers import ALPHABET

VEIL = "⟦–⟧"
"""What stands in the place of contact data that is not shown; a form that brings it back is not taken."""
SECONDS = 600.0
"""For a pairing code to be used."""
_LENGTH = 10


@dataclass(frozen=True, slots=True)
class Who:
    """Who asks: the token that their forms carry, whether contact data are shown to them, and whether they sit here."""

    form: str = field(default="", repr=False)
    contacts: bool = False
    here: bool = False

    def own_form(self, token: str) -> bool:
        """Whether a form is one that was made for them."""
        return bool(self.form) and hmac.compare_digest(token.encode(), self.form.encode())


NOBODY = Who()
"""Who is asked for outside of a request, and by whom nobody knows."""
WHO: ContextVar[Who] = ContextVar("who", default=NOBODY)
"""Who asks at this moment."""


@dataclass(frozen=True, slots=True)
class PairingCode:
    """A code that pairs one device: its text, until when (by the clock that is never set), and what is shown then."""

    text: str = field(repr=False)
    until: float
    contacts: bool = False


@dataclass
class Room:
    """How devices in the room reach the bench: the address, the certificate's fingerprint, the code that pairs one now.

    Without encryption, ``plain``, no device is ever shown contact data.
    """

    address: str
    fingerprint: tuple[str, ...] = ()
    plain: bool = False
    clock: Callable[[], float] = time.monotonic
    _code: PairingCode | None = field(default=None, repr=False)

    @property
    def code(self) -> PairingCode | None:
        """The code that stands now, which is good for once."""
        return self._code if self._code and self.clock() < self._code.until else None

    def offer(self, *, contacts: bool) -> PairingCode:
        """A new code in place of any that stands."""
        text = "".join(secrets.choice(ALPHABET) for _ in range(_LENGTH))
        self._code = PairingCode(text, self.clock() + SECONDS, contacts and not self.plain)
        return self._code

    def withdraw(self) -> None:
        """Let no device be paired any more."""
        self._code = None

    def used(self, typed: str) -> PairingCode | None:
        """The code that was typed, used up by that; None where it is another, or its time is over."""
        code = self.code
        if code is None or not hmac.compare_digest(_read(typed).encode(), code.text.encode()):
            return None
        self._code = None
        return code


def _read(typed: str) -> str:
    """What was typed, with the letters that are taken for others."""
    plain = "".join(c for c in typed[:80].upper() if c.isascii() and c.isalnum())
    return plain.translate(str.maketrans("OIL", "011"))
