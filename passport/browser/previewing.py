"""The preview's server: the pages of the site for this computer, and where wanted for the room, to read alone.

It stands on what the bench stands on: the same web server behind the same doorkeeper, and for the room a server of its
own, so that nothing that another device does takes a place from this computer. Nobody is asked for a key, since a page
of the site is for whoever knows its address; what is this computer's alone is shown to nobody else.
"""

import ipaddress
import socket
import threading
from contextlib import ExitStack
from urllib.parse import unquote, urlsplit

import uvicorn
from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Receive, Scope, Send

from passport.browser.devices.room import server_config
from passport.browser.doorkeeper import doorkeeper
from passport.publish.build.preview import Answer, Preview

METHODS = ("GET", "HEAD")
_NAMES = ("localhost", "127.0.0.1", "::1")
_TEXT = "text/plain; charset=utf-8"
_HEADERS = (
    ("cache-control", "no-store"),
    ("referrer-policy", "no-referrer"),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("cross-origin-resource-policy", "same-origin"),
    ("connection", "close"),  # one request a connection: see the doorkeeper
)


def loopback(address: str) -> bool:
    """Whether a connection comes from this computer itself."""
    try:
        return ipaddress.ip_address(address.partition("%")[0]).is_loopback
    except ValueError:
        return False


def named(host: str) -> str | None:
    """The name that a browser asked for, in a request's Host; None where that is no name or address at all."""
    try:
        parts = urlsplit(f"//{host}")
        _ = parts.port  # raises where it is no number
        return parts.hostname if host and parts.netloc == host and "@" not in host else None
    except ValueError:
        return None


def is_local_name(name: str) -> bool:
    """Whether a name can only be meant for a computer in this room: an address in numbers, or the computer's own name.

    A page from elsewhere may have a browser ask this server under *its* name (DNS rebinding), and could read the answer.
    """
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return name in ("localhost", socket.gethostname().lower(), f"{socket.gethostname().lower()}.local")
    return True


def at_the_bench(client: str, host: str) -> bool:
    """Whether this computer asks, and by its own name: from its own address, whatever the request says of itself."""
    return loopback(client) and named(host) in _NAMES


class PreviewPages:
    """The pages of a preview, to whoever asks for one."""

    def __init__(self, preview: Preview) -> None:
        self._preview = preview

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request with what stands at its path now."""
        if scope["type"] == "http":
            await _sent(send, await self._answer(scope))

    async def _answer(self, scope: Scope) -> Answer:
        hosts = [value.decode("latin-1") for name, value in scope["headers"] if name == b"host"]
        host = hosts[0] if len(hosts) == 1 else ""
        name = named(host)
        if scope["method"] not in METHODS:
            return Answer(405, _TEXT, b"Pages are for reading.")
        if name is None:
            return Answer(400, _TEXT, b"This request names no host.")
        if not is_local_name(name):
            return Answer(421, _TEXT, b"This computer has another name.")
        try:
            path = unquote(scope["raw_path"].decode("ascii"), errors="strict")
        except UnicodeError:
            return Answer(400, _TEXT, b"This address cannot be read.")
        own = at_the_bench(scope["client"][0] if scope["client"] else "", host)
        try:
            return await run_in_threadpool(self._preview.answer, path, at_the_bench=own)
        except Exception:  # whatever it is, it ends this answer alone, and its text is for nobody else
            return Answer(500, _TEXT, b"This could not be made.")


async def _sent(send: Send, answer: Answer) -> None:
    headers = [("content-type", answer.kind), ("content-length", str(len(answer.data))), *_HEADERS]
    headers += [("allow", ", ".join(METHODS))] if answer.status == 405 else []
    raw = [(name.encode(), value.encode("latin-1")) for name, value in headers]
    await send({"type": "http.response.start", "status": answer.status, "headers": raw})
    await send({"type": "http.response.body", "body": answer.data})


class PreviewServing:
    """A preview on ports that were taken; `run` answers until `stop`."""

    def __init__(self, preview: Preview, port: int = 0, room: str = "") -> None:
        """Take a port of this computer, 0 for any that is free, and the same one of its address in the room where that is
        named. Raises OSError."""
        with ExitStack() as taken:
            own = taken.enter_context(socket.create_server(("127.0.0.1", port), backlog=512))
            self.port: int = own.getsockname()[1]
            self.sockets = [own]
            if room:
                self.sockets.append(taken.enter_context(socket.create_server((room, self.port), backlog=512)))
            taken.pop_all()
        pages: ASGIApp = PreviewPages(preview)
        self._servers = [uvicorn.Server(server_config(pages, doorkeeper())) for _ in self.sockets]
        self._threads = [
            threading.Thread(target=server.run, args=([one],), name="room", daemon=True)
            for server, one in zip(self._servers[1:], self.sockets[1:], strict=True)
        ]

    def run(self) -> None:
        """Answer until `stop` is called from another thread, or the program is interrupted."""
        for thread in self._threads:
            thread.start()
        try:
            self._servers[0].run(sockets=[self.sockets[0]])
        finally:
            self.stop()
            for thread in self._threads:
                thread.join(timeout=5)

    def stop(self) -> None:
        """Make `run` return."""
        for server in self._servers:
            server.should_exit = True

    def close(self) -> None:
        """Give the ports back."""
        for one in self.sockets:
            one.close()
