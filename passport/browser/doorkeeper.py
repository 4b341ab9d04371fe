"""Who hangs on: connections are bounded in number and in time, so that nothing that hangs keeps a real request out.

The web server itself waits for a request as long as somebody keeps it open, and a limit on how many may do so turns away
the real ones. Here each connection stands for one request, which must have come whole within some seconds; where too
many wait, the one that has waited longest goes.
"""

import asyncio
import re
from typing import Any, ClassVar

from uvicorn.protocols.http.h11_impl import H11Protocol

MOST = 256
"""Connections at a time whose request is not whole."""
SECONDS = 10.0
"""For a whole request to arrive."""
ANSWERED = 60.0
"""Seconds for its answer to be made and taken."""
LONGEST_HEAD = 16_384
"""Bytes of a request before its form."""
LONGEST_FORM = 65_536
"""Bytes of a form."""
_LENGTH = re.compile(rb"\r\ncontent-length:[ \t]*([0-9]{1,12})[ \t]*\r\n", re.IGNORECASE)


class Doorkeeper(asyncio.Protocol):
    """Stands before the server's own protocol, and ends a connection whose request does not come."""

    waiting: ClassVar[dict["Doorkeeper", None]] = {}
    """Connections whose request is not whole, the oldest first; each server has a table of its own, see `doorkeeper`."""

    def __init__(self, **given: Any) -> None:
        """``given`` is what the server hands to the protocol that it is told to use."""
        self._inner = H11Protocol(**given)
        self._transport: asyncio.Transport | None = None
        self._timer: asyncio.TimerHandle | None = None
        self._head, self._lacking = bytearray(), -1

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Somebody is there: the time runs, and where too many wait the oldest of them goes."""
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport
        if len(self.waiting) >= MOST:
            next(iter(self.waiting)).end()
        self.waiting[self] = None
        self._until(SECONDS)
        self._inner.connection_made(transport)

    def data_received(self, data: bytes) -> None:
        """A piece of the request; when it is whole, the time for its answer begins."""
        if self._lacking < 0:
            self._head += data
            end = self._head.find(b"\r\n\r\n")
            if end >= 0:
                said = _LENGTH.search(self._head[: end + 2])
                self._lacking = min(int(said[1]) if said else 0, LONGEST_FORM) - (len(self._head) - end - 4)
                self._head.clear()
            elif len(self._head) > LONGEST_HEAD:
                self.end()
                return
        else:
            self._lacking -= len(data)
        if self._lacking <= 0 and self in self.waiting and not self._head:
            del self.waiting[self]
            self._until(ANSWERED)
        self._inner.data_received(data)

    def end(self) -> None:
        """Hang up."""
        self.waiting.pop(self, None)
        if self._transport:
            self._transport.abort()

    def eof_received(self) -> bool | None:
        """Nothing more comes."""
        self._inner.eof_received()
        return None

    def connection_lost(self, exc: Exception | None) -> None:
        """Nobody is there any more."""
        self.waiting.pop(self, None)
        if self._timer:
            self._timer.cancel()
        self._inner.connection_lost(exc)

    def pause_writing(self) -> None:
        """The other side takes the answer slowly."""
        self._inner.pause_writing()

    def resume_writing(self) -> None:
        """The other side takes more of the answer."""
        self._inner.resume_writing()

    def _until(self, seconds: float) -> None:
        if self._timer:
            self._timer.cancel()
        self._timer = asyncio.get_running_loop().call_later(seconds, self.end)


def doorkeeper() -> type[Doorkeeper]:
    """The protocol of one server, with a table of its own."""

    class Own(Doorkeeper):
        """The same, for one server."""

        waiting: ClassVar[dict[Doorkeeper, None]] = {}

    return Own
