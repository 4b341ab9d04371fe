"""Who hangs on: connections are bounded in number and in time, so that nothing that hangs keeps a real request out.

The web server itself waits for a request as long as somebody keeps it open, and a limit on how many may do so turns away
the real ones. Here each connection stands for one request, which must have come whole within some seconds; where too
many wait, the one that has waited longest goes.
"""

import asyncio
import re
import ssl
from typing import Any, ClassVar

from uvicorn.protocols.http.h11_impl import H11Protocol

MOST = 256
"""Connections at a time of one server; beside another server's they stay below what a program may have open."""
SECONDS = 10.0
"""For a whole request to arrive."""
ANSWERED = 60.0
"""Seconds for its answer to be made and taken."""
LONGEST_HEAD = 16_384
"""Bytes of a request before its form."""
LONGEST_FORM = 65_536
"""Bytes of a form."""
LONGEST_PICTURE = 40_000_000
"""Bytes of a form with a photo in it, which is taken of somebody who is known, at the addresses of photos alone."""
_LENGTH = re.compile(rb"\r\ncontent-length:[ \t]*([0-9]{1,12})[ \t]*\r\n", re.IGNORECASE)


class Doorkeeper(asyncio.Protocol):
    """Stands before the server's own protocol, and ends a connection whose request does not come."""

    waiting: ClassVar[dict["Doorkeeper", None]] = {}
    """Connections whose request is not whole, the oldest first; each server has tables of its own, see `doorkeeper`."""
    everybody: ClassVar[dict["Doorkeeper", None]] = {}
    """All connections, the oldest first."""

    def __init__(self, **given: Any) -> None:
        """``given`` is what the server hands to the protocol that it is told to use."""
        self._inner = H11Protocol(**given)
        self._transport: asyncio.Transport | None = None
        self._timer: asyncio.TimerHandle | None = None
        self._head, self._lacking = bytearray(), -1

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Somebody is there: the time runs, and where too many are there the one that has waited longest goes."""
        assert isinstance(transport, asyncio.Transport)
        self._arrived(transport)
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

    def _arrived(self, transport: asyncio.Transport) -> None:
        self._transport = transport
        if len(self.everybody) >= MOST:
            next(iter(self.waiting or self.everybody)).end()
        self.waiting[self] = self.everybody[self] = None
        self._until(SECONDS)

    def end(self) -> None:
        """Hang up."""
        self._gone()
        if self._transport:
            self._transport.abort()

    def eof_received(self) -> bool | None:
        """Nothing more comes."""
        self._inner.eof_received()
        return None

    def connection_lost(self, exc: Exception | None) -> None:
        """Nobody is there any more."""
        self._gone()
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

    def _gone(self) -> None:
        self.waiting.pop(self, None)
        self.everybody.pop(self, None)
        if self._timer:
            self._timer.cancel()


class SecureDoorkeeper(Doorkeeper):
    """The same over TLS: what does not even finish its greeting is counted and timed from its first moment."""

    context: ClassVar[ssl.SSLContext]

    def __init__(self, **given: Any) -> None:
        """``given`` is what the server hands to the protocol that it is told to use."""
        super().__init__(**given)
        self._greeting: asyncio.Task[None] | None = None
        self._early: list[bytes] | None = []
        """What came, decrypted, before the server was told of the connection."""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Somebody is there, and has to agree upon a key first."""
        assert isinstance(transport, asyncio.Transport)
        self._arrived(transport)
        self._greeting = asyncio.get_running_loop().create_task(self._greet(transport))

    async def _greet(self, transport: asyncio.Transport) -> None:
        loop = asyncio.get_running_loop()
        try:
            secure = await loop.start_tls(transport, self, self.context, server_side=True, ssl_shutdown_timeout=2.0)
        except (OSError, asyncio.CancelledError):  # no TLS, no key agreed upon, gone, or ended by the clock
            secure = None
        early, self._early = self._early or [], None
        if secure is None or transport.is_closing():
            self.end()
            return
        self._inner.connection_made(secure)
        for data in early:
            super().data_received(data)

    def data_received(self, data: bytes) -> None:
        """A piece of the request."""
        if self._early is None:
            super().data_received(data)
        elif sum(map(len, self._early)) > LONGEST_HEAD:
            self.end()
        else:
            self._early.append(data)

    def eof_received(self) -> bool | None:
        """Nothing more comes."""
        return super().eof_received() if self._early is None else None

    def connection_lost(self, exc: Exception | None) -> None:
        """Nobody is there any more."""
        if self._early is None:
            super().connection_lost(exc)
        else:
            self._gone()


def doorkeeper(context: ssl.SSLContext | None = None) -> type[Doorkeeper]:
    """The protocol of one server, with tables of its own; over TLS where a context is given."""
    if context is None:

        class Own(Doorkeeper):
            """The same, for one server."""

            waiting: ClassVar[dict[Doorkeeper, None]] = {}
            everybody: ClassVar[dict[Doorkeeper, None]] = {}

        return Own

    class OwnSecure(SecureDoorkeeper):
        """The same, for one server over TLS."""

        waiting: ClassVar[dict[Doorkeeper, None]] = {}
        everybody: ClassVar[dict[Doorkeeper, None]] = {}

    OwnSecure.context = context
    return OwnSecure
