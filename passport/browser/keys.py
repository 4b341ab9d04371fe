"""Who may come in: a key in the first address, good for once, and then a cookie; and what marks a form as our own."""

import hmac
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field


def _fresh() -> str:
    return secrets.token_urlsafe(32)


@dataclass
class Keys:
    """The keys of one run of the program; nothing of them is kept."""

    port: int
    used: Callable[[], None] = lambda: None
    """Called when the door's key was used, and another one opens it."""
    _session: str = field(default_factory=_fresh, repr=False)
    _door: str = field(default_factory=_fresh, repr=False)

    @property
    def cookie(self) -> str:
        """The cookie's name: browsers keep cookies by computer, whatever the port."""
        return f"bench{self.port}"

    @property
    def door(self) -> str:
        """The key that opens the door to the next browser; another one as soon as it was used."""
        return self._door

    def opened(self, key: str) -> str | None:
        """What the cookie of a browser holds that came with the door's key, which is good for that once; else None."""
        if not hmac.compare_digest(key.encode(), self._door.encode()):
            return None
        self._door = _fresh()
        self.used()
        return self._session

    def known(self, cookie: str) -> bool:
        """Whether a cookie is the one that was given out."""
        return hmac.compare_digest(cookie.encode(), self._session.encode())

    @property
    def form(self) -> str:
        """What every form holds, and no page from elsewhere can know."""
        return hmac.new(self._session.encode(), b"form", "sha256").hexdigest()

    def own_form(self, token: str) -> bool:
        """Whether a form is one of ours."""
        return hmac.compare_digest(token.encode(), self.form.encode())
