"""A small web server for one computer, or for the room: nobody can hold it up, and it tells strangers nothing.

One thread takes connections and waits for what is asked, for a bounded time and of a bounded number; a few others
answer. A request that never ends costs no thread, only a place among those that wait, and of the places of one device
the oldest is given to the next. What asks from this computer has threads that no other device can take.
"""

import io
import ipaddress
import selectors
import socket
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler
from typing import Any
from urllib.parse import unquote, urlsplit

WAITING = 256
"""Connections that may be waited for at a time, and of one device other than this computer a quarter of them."""
SECONDS = 5.0
"""For a whole request to arrive, and again for its whole answer to be taken."""
THREADS = 8
"""That answer; half of them answer this computer alone."""
MOST_ASKED = 16_384
"""Bytes of a request."""
_PAUSE = 0.2
_NAMES = ("localhost", "127.0.0.1", "::1")


@dataclass(frozen=True, slots=True)
class Asked:
    """What a browser asks for: a path without its escapes, and whether this computer asks by a name of its own."""

    path: str
    at_the_bench: bool


@dataclass(frozen=True, slots=True)
class Answer:
    """What a browser gets."""

    status: int
    kind: str
    data: bytes


Answering = Callable[[Asked], Answer]


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


class _Exchange(BaseHTTPRequestHandler):
    """One request, whole and in hand, and the bytes of its answer."""

    server_version, sys_version = "passport", ""

    def __init__(self, raw: bytes, client: str, answering: Answering) -> None:
        self.rfile, self.wfile = io.BufferedReader(io.BytesIO(raw)), io.BytesIO()
        self.client_address, self._answering = (client, 0), answering
        self.close_connection = True
        self.handle_one_request()

    def do_GET(self) -> None:
        """Answer with what stands at the path now."""
        self._send(self._answer())

    def do_HEAD(self) -> None:
        """Answer with how that would begin."""
        self._send(self._answer(), body=False)

    def _answer(self) -> Answer:
        host = self.headers.get("Host", "")
        name = named(host)
        if name is None:
            return Answer(400, "text/plain; charset=utf-8", b"This request names no host.")
        if not is_local_name(name):
            return Answer(421, "text/plain; charset=utf-8", b"This computer has another name.")
        try:
            path = unquote(urlsplit(self.path).path, errors="strict")
            return self._answering(Asked(path, at_the_bench(self.client_address[0], host)))
        except (ValueError, UnicodeError):
            return Answer(400, "text/plain; charset=utf-8", b"This address cannot be read.")
        except Exception:  # whatever it is, it ends this answer alone, and its text is for nobody else
            return Answer(500, "text/plain; charset=utf-8", b"This could not be made.")

    def _send(self, answer: Answer, *, body: bool = True) -> None:
        self.send_response(answer.status)
        for name, value in (
            ("Content-Type", answer.kind),
            ("Content-Length", str(len(answer.data))),
            ("Cache-Control", "no-store"),
            ("Referrer-Policy", "no-referrer"),
            ("X-Content-Type-Options", "nosniff"),
            ("X-Frame-Options", "DENY"),
            ("Cross-Origin-Resource-Policy", "same-origin"),
        ):
            self.send_header(name, value)
        self.end_headers()
        self.wfile.write(answer.data if body else b"")

    def log_message(self, format: str, *args: Any) -> None:
        """Addresses of passports are not for the log."""


def respond(raw: bytes, client: str, answering: Answering) -> bytes:
    """The whole answer to a whole request; whatever was sent, it is one, or nothing."""
    return _Exchange(raw, client, answering).wfile.getvalue()  # type: ignore[attr-defined,no-any-return]


@dataclass(slots=True)
class _Caller:
    """A connection: from where, what it has sent until now, and until when more is waited for."""

    sock: socket.socket
    client: str
    until: float
    data: bytearray = field(default_factory=bytearray)


class LocalServer:
    """Answers until it is stopped. Use it as a context manager."""

    def __init__(self, answering: Answering, *, port: int = 0, lan: bool = False) -> None:
        """Take a port, 0 for any that is free; of this computer alone, unless ``lan``. Raises OSError."""
        self._answering = answering
        self._door = socket.create_server(("" if lan else "127.0.0.1", port), backlog=128)
        self._door.setblocking(False)
        self.port: int = self._door.getsockname()[1]
        self._selector = selectors.DefaultSelector()
        self._selector.register(self._door, selectors.EVENT_READ)
        self._waiting: dict[socket.socket, _Caller] = {}
        self._over = threading.Event()
        self._answerers = {own: ThreadPoolExecutor(THREADS // 2, "answer") for own in (True, False)}
        self._places = {own: threading.BoundedSemaphore(WAITING) for own in (True, False)}

    def serve(self) -> None:
        """Answer until `stop` is called from another thread, or the program is interrupted."""
        while not self._over.is_set():
            for key, _ in self._selector.select(_PAUSE):
                if key.fileobj is self._door:
                    self._accept()
                else:
                    self._hear(self._waiting[key.fileobj])  # type: ignore[index]
            self._hang_up()

    def stop(self) -> None:
        """Make `serve` return."""
        self._over.set()

    def __enter__(self) -> "LocalServer":
        """The server itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close all connections, and give the port back."""
        self._over.set()
        for pool in self._answerers.values():
            pool.shutdown(wait=False, cancel_futures=True)
        for caller in list(self._waiting.values()):
            self._forget(caller)
            caller.sock.close()
        self._selector.close()
        self._door.close()

    # --- waiting for requests ----------------------------------------------------------------------------------

    def _accept(self) -> None:
        for _ in range(64):
            try:
                sock, address = self._door.accept()
            except OSError:  # nobody more, or no room for another connection
                return
            sock.setblocking(False)
            caller = _Caller(sock, str(address[0]), time.monotonic() + SECONDS)
            if not self._make_room(caller.client):
                sock.close()
                continue
            self._waiting[sock] = caller
            self._selector.register(sock, selectors.EVENT_READ)

    def _make_room(self, client: str) -> bool:
        """Hang up on the oldest of a device that has many, or of all others where there are too many; whether there is
        room then: where all that wait are this computer's own, there is none for another device."""
        same = [caller for caller in self._waiting.values() if caller.client == client]
        if not loopback(client) and len(same) >= WAITING // 4:
            self._drop(same[0])
        elif len(self._waiting) >= WAITING:
            others = [caller for caller in self._waiting.values() if not loopback(caller.client)] or same
            if not others:
                return False
            self._drop(others[0])
        return True

    def _hear(self, caller: _Caller) -> None:
        try:
            data = caller.sock.recv(MOST_ASKED)
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            data = b""
        caller.data += data
        whole = b"\r\n\r\n" in caller.data or b"\n\n" in caller.data
        if not data or len(caller.data) > MOST_ASKED:
            self._drop(caller)
        elif whole:
            self._forget(caller)
            own = loopback(caller.client)
            if self._places[own].acquire(blocking=False):
                self._answerers[own].submit(self._reply, caller, self._places[own])
            else:
                caller.sock.close()

    def _hang_up(self) -> None:
        now = time.monotonic()
        for caller in [caller for caller in self._waiting.values() if caller.until < now]:
            self._drop(caller)

    def _forget(self, caller: _Caller) -> None:
        with suppress(KeyError, ValueError):
            self._selector.unregister(caller.sock)
        self._waiting.pop(caller.sock, None)

    def _drop(self, caller: _Caller) -> None:
        self._forget(caller)
        caller.sock.close()

    # --- answering ---------------------------------------------------------------------------------------------

    def _reply(self, caller: _Caller, place: threading.BoundedSemaphore) -> None:
        try:
            with suppress(OSError), caller.sock:
                caller.sock.settimeout(SECONDS)
                caller.sock.sendall(respond(bytes(caller.data), caller.client, self._answering))
                caller.sock.shutdown(socket.SHUT_WR)
        finally:
            place.release()
