"""The bench served on this computer, and a browser that asks it: plain requests, with what a browser adds to them."""

import re
import socket
import ssl
import threading
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass, field
from html import unescape
from http.client import HTTPConnection, HTTPSConnection
from pathlib import Path
from urllib.parse import quote, urlencode

from passport.browser.devices.room import RoomWish
from passport.browser.serving import Serving


@dataclass(frozen=True)
class Got:
    """An answer: its status, headers by small name, and text."""

    status: int
    headers: Mapping[str, str]
    text: str
    data: bytes = b""

    def value(self, name: str) -> str:
        """What a field of a form of the page holds."""
        found = re.search(rf'name="{name}"[^>]*?\bvalue="([^"]*)"', self.text)
        assert found, f"no field {name}"
        return unescape(found[1])


@dataclass
class Asker:
    """A browser that was let in, unless its cookie is taken away."""

    serving: Serving
    cookie: str = ""
    own: dict[str, str] = field(default_factory=dict)

    @property
    def host(self) -> str:
        """The bench's own name."""
        return f"127.0.0.1:{self.serving.port}"

    @property
    def origin(self) -> str:
        """The beginning of the bench's addresses."""
        return f"http://{self.host}"

    @property
    def token(self) -> str:
        """What the forms that this browser is shown carry."""
        return self.serving.keys.form

    @property
    def encrypted(self) -> bool:
        """Whether the server speaks TLS."""
        return self.origin.startswith("https:")

    def connection(self) -> HTTPConnection:
        """A way to the server."""
        return HTTPConnection("127.0.0.1", self.serving.port, timeout=30)

    def plain(self) -> socket.socket:
        """A connection to the server on which nothing was sent yet."""
        address, _, port = self.host.partition(":")
        return socket.create_connection((address, int(port)), timeout=20)

    def raw(self) -> socket.socket:
        """A connection to the server for any bytes, the greeting done where it is encrypted."""
        sock = self.plain()
        return trusting().wrap_socket(sock) if self.encrypted else sock

    def raw_answer(self, data: bytes) -> bytes:
        """What comes back for some bytes."""
        with closing(self.raw()) as sock:
            sock.sendall(data)
            return b"".join(iter(lambda: sock.recv(65_536), b""))

    def timed(self) -> float:
        """Seconds for the first screen."""
        start = time.monotonic()
        assert self.ask("/").status == 200
        return round(time.monotonic() - start, 2)

    def ask(
        self,
        path: str,
        method: str = "GET",
        body: str | bytes | None = None,
        headers: Mapping[str, str | None] | None = None,
    ) -> Got:
        """One request; headers of None are left out."""
        given = {"Host": self.host, "Cookie": self.cookie or None, **(headers or {})}
        connection = self.connection()
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in given.items():
                if value is not None:
                    connection.putheader(name, value)
            data = body.encode() if isinstance(body, str) else body
            if data is not None and "Content-Length" not in given:
                connection.putheader("Content-Length", str(len(data)))
            connection.endheaders(data)
            answer = connection.getresponse()
            body = answer.read()
            found = {name.lower(): value for name, value in answer.getheaders()}
            return Got(answer.status, found, body.decode("utf-8", "replace"), body)
        finally:
            connection.close()

    def send(self, path: str, form: Mapping[str, str], headers: Mapping[str, str | None] | None = None) -> Got:
        """A form of the bench's own, as a browser sends it; the token is put in where none is named."""
        filled = {"token": self.token, **form}
        always = {"Origin": self.origin, "Content-Type": "application/x-www-form-urlencoded"}
        return self.ask(path, "POST", urlencode(filled), {**always, **(headers or {})})

    def send_picture(
        self,
        path: str,
        form: Mapping[str, str],
        picture: bytes | None,
        headers: Mapping[str, str | None] | None = None,
        called: str = "IMG_0001.HEIC",
    ) -> Got:
        """A form with a picture in it, as a browser sends it (RFC 7578)."""
        parts = [
            f'--bound\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
            for name, value in {"token": self.token, **form}.items()
        ]
        if picture is not None:
            head = f'Content-Disposition: form-data; name="picture"; filename="{called}"\r\nContent-Type: image/heic'
            parts.append(f"--bound\r\n{head}\r\n\r\n".encode() + picture + b"\r\n")
        always = {"Origin": self.origin, "Content-Type": "multipart/form-data; boundary=bound"}
        return self.ask(path, "POST", b"".join(parts) + b"--bound--\r\n", {**always, **(headers or {})})

    def offered(self, path: str, names: Iterable[str], **said: str) -> dict[str, str]:
        """A form of a frame's work as it is offered, with what somebody says in it."""
        page = self.ask(path)
        chosen = re.search(r'name="work" value="(\w+)" checked', page.text)
        return {
            **{name: page.value(name) for name in names},
            "work": chosen[1] if chosen else "",
            "act": "save",
            **said,
        }

    def follow(self, got: Got) -> Got:
        """The page that an answer leads to."""
        assert got.status == 303, got.text
        return self.ask(got.headers["location"])


@dataclass
class RoomAsker(Asker):
    """A device in the room's network, whose certificate check a person has done."""

    @property
    def host(self) -> str:
        """The bench's name in the room."""
        return self.origin.partition("://")[2]

    @property
    def origin(self) -> str:
        """The beginning of the bench's addresses in the room."""
        assert self.serving.room
        return self.serving.room.room.address

    @property
    def token(self) -> str:
        """What the device's forms carry, by a screen of its own."""
        found = re.search(r'name="token" value="(\w+)"', self.ask("/history").text + self.ask("/frame/ada/main").text)
        return found[1] if found else ""

    def connection(self) -> HTTPConnection:
        """A way to the server of the room, encrypted where that is."""
        address, _, port = self.host.partition(":")
        if not self.encrypted:
            return HTTPConnection(address, int(port), timeout=30)
        return HTTPSConnection(address, int(port), timeout=30, context=trusting())

    def pair(self, bench: Asker, *, contacts: bool = False, name: str = "Phone") -> Got:
        """Be paired by a code that the bench's own computer shows."""
        got = bench.follow(bench.send("/devices", {"act": "code", "contacts": "yes" if contacts else "no"}))
        spelled = re.search(r'class="spelled">([^<]+)', got.text)
        assert spelled, got.text
        paired = self.send("/pair", {"code": spelled[1], "name": name})
        self.cookie = paired.headers.get("set-cookie", "").partition(";")[0]
        return paired


def trusting() -> ssl.SSLContext:
    """TLS to whoever answers; who that is, a test compares by the fingerprint."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
    return context


_UNGREETED = (b"", b"\x16", b"\x16\x03\x01\x02\x00\x01\x00", b"GET / HTTP/1.1\r\nHost: x\r\n")
_BEGUN = (*_UNGREETED, b"GET / HT", b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 9\r\n\r\na")


@contextmanager
def half_open(asker: Asker, count: int) -> Iterator[list[socket.socket]]:
    """So many connections that never end, each of another kind in turn: some say nothing, some stop in a request; of an
    encrypted server some do not greet, and some stop in the greeting."""
    with ExitStack() as stack:
        socks = list[socket.socket]()
        for place in range(count):
            greets = not asker.encrypted or place % 10 < 4
            socks.append(stack.enter_context(closing(asker.raw() if greets else asker.plain())))
            kinds = _BEGUN if greets else _UNGREETED
            socks[-1].sendall(kinds[place % len(kinds)])
        yield socks


@contextmanager
def serving(content: Path, room: RoomWish | None = None) -> Iterator[Asker]:
    """The bench of a folder, and a browser that was let in by the address that is shown."""
    served = Serving(content, room=room)
    thread = threading.Thread(target=served.run, daemon=True)
    thread.start()
    try:
        _wait(served.port)
        asker = Asker(served)
        got = asker.ask(f"/?key={quote(served.keys.door)}")
        asker.cookie = got.headers["set-cookie"].partition(";")[0]
        yield asker
    finally:
        served.stop()
        thread.join(timeout=10)
        assert not thread.is_alive()


def _wait(port: int) -> None:
    until = time.monotonic() + 20
    while True:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=5).close()
            return
        except OSError:
            assert time.monotonic() < until, "the bench does not answer"
            time.sleep(0.02)
