"""The bench for devices in the room: a server of its own beside that for this computer, which nothing here holds up."""

import socket
import ssl
import threading
from collections.abc import Mapping
from dataclasses import dataclass

import uvicorn
from starlette.types import ASGIApp

from passport.acts.devices.certificate import own_certificate
from passport.acts.devices.paired import PairedDevices
from passport.browser.bench import Bench
from passport.browser.devices.door import RoomDoor
from passport.browser.doorkeeper import LONGEST_HEAD, doorkeeper
from passport.browser.gate import Gate
from passport.browser.who import Room
from passport.render.theme.formats import LANGUAGES


@dataclass(frozen=True, slots=True)
class RoomWish:
    """That devices in the room are answered: at this address of this computer, on a port, 0 for any; without TLS where plain."""

    address: str
    port: int = 0
    plain: bool = False


def own_address() -> str:
    """This computer's address in the room's network; choosing a route for a datagram sends nothing. Empty where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for documentation, RFC 5737
            found = str(probe.getsockname()[0])
        except OSError:
            return ""
    return "" if found.startswith("127.") or found == "0.0.0.0" else found


class RoomServing:
    """The bench on a port for the room; answers in a thread of its own from `start` to `stop`."""

    def __init__(self, bench: Bench, screens: ASGIApp, wish: RoomWish) -> None:
        """Take the port. Raises OSError, and Refused where no certificate can be kept."""
        certificate = None if wish.plain else own_certificate(wish.address)
        self._socket = socket.create_server((wish.address, wish.port), backlog=512)
        self.port: int = self._socket.getsockname()[1]
        scheme = "http" if wish.plain else "https"
        fingerprint = certificate.pairs if certificate else ()
        self.room = bench.room = Room(f"{scheme}://{wish.address}:{self.port}", fingerprint, wish.plain)
        self.devices = PairedDevices(bench.root)

        def knock(headers: Mapping[str, str], code: str, wrong: bool) -> bytes:
            return bench.render("knock", None, _language(headers), code=code, wrong=wrong, plain=wish.plain)

        context = None
        if certificate:
            context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
            context.minimum_version = ssl.TLSVersion.TLSv1_2
            context.load_cert_chain(certificate.file)
        door = RoomDoor(self.room, self.devices, knock)
        self._server = uvicorn.Server(server_config(Gate(screens, door), doorkeeper(context)))
        self._thread = threading.Thread(target=self._server.run, args=([self._socket],), name="room", daemon=True)

    def start(self) -> None:
        """Answer from now on."""
        self._thread.start()

    def stop(self) -> None:
        """Answer no more."""
        self._server.should_exit = True
        if self._thread.is_alive():
            self._thread.join(timeout=5)


def server_config(app: object, protocol: type) -> uvicorn.Config:
    """How the web server is set up, for this computer and for the room alike."""
    return uvicorn.Config(
        app,  # type: ignore[arg-type]
        http=protocol,
        ws="none",
        loop="asyncio",
        lifespan="off",
        log_config=None,
        log_level="error",  # what somebody sends that is no request is nothing to tell of
        access_log=False,  # addresses of passports are not for a log
        server_header=False,
        proxy_headers=False,
        h11_max_incomplete_event_size=LONGEST_HEAD,
        timeout_graceful_shutdown=2,
    )


def _language(headers: Mapping[str, str]) -> str:
    """The language that a device's browser asks for, as far as we speak it: of the shop's nothing is told."""
    wanted = headers.get("accept-language", "")[:200].split(",")
    return next((two for one in wanted if (two := one.strip()[:2].lower()) in LANGUAGES), "en")
