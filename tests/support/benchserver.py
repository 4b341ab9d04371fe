"""The bench served on this computer, and a browser that asks it: plain requests, with what a browser adds to them."""

import re
import socket
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from html import unescape
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import quote, urlencode

from passport.browser.serving import Serving


@dataclass(frozen=True)
class Got:
    """An answer: its status, headers by small name, and text."""

    status: int
    headers: Mapping[str, str]
    text: str

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

    def ask(
        self, path: str, method: str = "GET", body: str | None = None, headers: Mapping[str, str | None] | None = None
    ) -> Got:
        """One request; headers of None are left out."""
        given = {"Host": self.host, "Cookie": self.cookie or None, **(headers or {})}
        connection = HTTPConnection("127.0.0.1", self.serving.port, timeout=30)
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in given.items():
                if value is not None:
                    connection.putheader(name, value)
            data = None if body is None else body.encode()
            if data is not None and "Content-Length" not in given:
                connection.putheader("Content-Length", str(len(data)))
            connection.endheaders(data)
            answer = connection.getresponse()
            text = answer.read().decode("utf-8", "replace")
            return Got(answer.status, {name.lower(): value for name, value in answer.getheaders()}, text)
        finally:
            connection.close()

    def send(self, path: str, form: Mapping[str, str], headers: Mapping[str, str | None] | None = None) -> Got:
        """A form of the bench's own, as a browser sends it; the token is put in where none is named."""
        filled = {"token": self.serving.keys.form, **form}
        always = {"Origin": f"http://{self.host}", "Content-Type": "application/x-www-form-urlencoded"}
        return self.ask(path, "POST", urlencode(filled), {**always, **(headers or {})})

    def follow(self, got: Got) -> Got:
        """The page that an answer leads to."""
        assert got.status == 303, got.text
        return self.ask(got.headers["location"])


@contextmanager
def serving(content: Path) -> Iterator[Asker]:
    """The bench of a folder, and a browser that was let in by the address that is shown."""
    served = Serving(content)
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
