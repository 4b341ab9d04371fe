"""One address on the web, asked as a browser asks it, on connections that stay open; redirects are answers."""

import http.client
import socket
import ssl
import threading
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Self
from urllib.parse import quote, urlsplit

from passport.publish.remote.far import by_the_clock
from passport.records.language.worded import worded

MOST = 1 << 26
"""The largest answer that is read, bytes; what is longer is no file of a site."""
_AGENT = "racquet-passport (the workshop asks after its own site)"


class Silent(Exception):
    """The address does not answer: what is wrong, and what to do."""

    def __init__(self, what: str, do: str) -> None:
        super().__init__(f"{what} {do}")
        self.what, self.do = what, do


@dataclass(frozen=True, slots=True)
class Served:
    """What came back: the status, the headers by their names in small letters, the bytes."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def there(self) -> bool:
        """Whether a visitor is shown something of what was asked for."""
        return 200 <= self.status < 300

    @property
    def leads_to(self) -> str:
        """Where a visitor is sent; empty where they stay."""
        return self.headers.get("location", "") if 300 <= self.status < 400 else ""


class Web:
    """The site at an address. Several threads may ask at once; each has a connection of its own."""

    def __init__(self, address: str, seconds: float = 20.0, trust: ssl.SSLContext | None = None) -> None:
        """``seconds`` is how long an answer is waited for; ``trust`` whom, the system's authorities unless said."""
        self.address = address.rstrip("/")
        parts = urlsplit(self.address)
        self.host, self.encrypted = parts.hostname or "", parts.scheme == "https"
        self._port, self._at, self._seconds = parts.port, parts.path, seconds
        self._trust = trust or ssl.create_default_context()
        self._own, self._lines = threading.local(), list[http.client.HTTPConnection]()

    def __enter__(self) -> Self:
        """Ask; in the end every connection is closed."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close them, those of other threads too."""
        for line in self._lines:
            line.close()

    def ask(self, path: str) -> Served:
        """What stands at a path below the address. Raises `Silent`."""
        kept = getattr(self._own, "line", None)
        if kept is not None:
            # A connection that was left open may have been closed meanwhile, which says nothing about the site.
            with suppress(http.client.HTTPException, OSError):
                return self._answer(kept, path)
            kept.close()
        self._own.line = self._line()
        try:
            return self._answer(self._own.line, path)
        except (http.client.HTTPException, OSError) as error:
            self._own.line.close()
            self._own.line = None
            raise self._silent(error) from None

    def certificate_ends(self) -> date | None:
        """The last day of the certificate; None without encryption. Raises `Silent`."""
        if not self.encrypted:
            return None
        try:
            with (
                socket.create_connection((self.host, self._port or 443), self._seconds) as plain,
                self._trust.wrap_socket(plain, server_hostname=self.host) as line,
            ):
                said = line.getpeercert() or {}
        except OSError as error:
            raise self._silent(error) from None
        ends = said.get("notAfter")
        return datetime.fromtimestamp(ssl.cert_time_to_seconds(str(ends)), UTC).date() if ends else None

    def without_encryption(self) -> "Web":
        """The same site asked by plain http, as somebody does who types the address; on the usual port."""
        return Web(f"http://{self.host}{self._at}", self._seconds)

    def _line(self) -> http.client.HTTPConnection:
        if self.encrypted:
            line: http.client.HTTPConnection = http.client.HTTPSConnection(
                self.host, self._port, timeout=self._seconds, context=self._trust
            )
        else:
            line = http.client.HTTPConnection(self.host, self._port, timeout=self._seconds)
        self._lines.append(line)
        return line

    def _answer(self, line: http.client.HTTPConnection, path: str) -> Served:
        # As they are: what a host packs for the way could not be told from what it changed.
        heads = {"User-Agent": _AGENT, "Accept-Encoding": "identity", "Cache-Control": "no-cache"}
        line.request("GET", f"{self._at}/{quote(path)}", headers=heads)
        answer = line.getresponse()
        body = answer.read(MOST)
        if answer.read(1):
            line.close()
        return Served(answer.status, {name.lower(): value for name, value in answer.getheaders()}, body)

    def _silent(self, error: Exception) -> Silent:
        said = str(error) or type(error).__name__
        if isinstance(error, ssl.SSLCertVerificationError):
            why = error.verify_message
            do = by_the_clock(error) or worded(
                "Renew the certificate at the host; until then browsers warn whoever scans a card."
            )
            return Silent(worded("The certificate of {host} is not to be trusted: {why}.", host=self.host, why=why), do)
        if isinstance(error, socket.gaierror):
            do = worded(
                "Look at 'address' in workshop.yaml, at the domain's entries, and at the network of this computer."
            )
            return Silent(worded("The host {host} is not found: {why}.", host=self.host, why=said), do)
        if isinstance(error, TimeoutError):
            seconds = f"{self._seconds:.0f}"
            return Silent(
                worded("{address} did not answer within {seconds} s.", address=self.address, seconds=seconds),
                worded("Try again; then ask the host."),
            )
        do = worded("Look at 'address' in workshop.yaml, at the host, and at the network of this computer.")
        return Silent(worded("{address} does not answer: {why}.", address=self.address, why=said), do)
