"""The bench's server: on a port of this computer alone, until it is stopped."""

import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from importlib import import_module
from pathlib import Path

import uvicorn

from passport.acts.amending.described import shape_of
from passport.browser.app import screens
from passport.browser.bench import Bench
from passport.browser.devices.room import RoomServing, RoomWish, server_config
from passport.browser.doorkeeper import doorkeeper
from passport.browser.gate import Gate, OwnDoor
from passport.browser.keys import Keys


class Serving:
    """A bench on a port that was taken; `run` answers until `stop`."""

    def __init__(
        self,
        root: Path,
        port: int = 0,
        said: Callable[[str], None] = lambda address: None,
        room: RoomWish | None = None,
    ) -> None:
        """Take a port of this computer, 0 for any that is free; ``said`` is told the address for the next browser each
        time that one was used up. With ``room`` devices that are paired are answered too. Raises OSError and Refused."""
        self._socket = socket.create_server(("127.0.0.1", port), backlog=512)
        self.host: str = self._socket.getsockname()[0]
        self.port: int = self._socket.getsockname()[1]
        self.keys = Keys(self.port, lambda: said(self.address))
        self.bench = Bench(root, self.keys)
        inner = screens(self.bench)
        try:
            self.room = RoomServing(self.bench, inner, room) if room else None
        except BaseException:
            self._socket.close()
            raise
        gate = Gate(inner, OwnDoor(self.keys, self.bench.shut))
        self._server = uvicorn.Server(server_config(gate, doorkeeper()))

    @property
    def address(self) -> str:
        """The address that opens the bench to the next browser, once."""
        return f"http://127.0.0.1:{self.port}/?key={self.keys.door}"

    def run(self) -> None:
        """Answer until `stop` is called from another thread, or the program is interrupted."""
        threading.Thread(target=_warm, name="warm", daemon=True).start()
        try:
            if self.room:
                self.room.start()
            self._server.run(sockets=[self._socket])
        finally:
            if self.room:
                self.room.stop()

    def stop(self) -> None:
        """Make `run` return."""
        self._server.should_exit = True


_SLOW = (
    "passport.workshop.rebuild.assign",
    "passport.publish.build.known_records",
    "passport.render.print.card",
    "passport.render.print.pdf",
    "weasyprint",
)
"""Modules that bring what takes long to import: the first look at the rack, and the first card, need not wait for them."""


def _warm() -> None:
    """Bring in what takes long to import while nobody waits for it; what is missing is told where it is used."""
    for name in _SLOW:
        with suppress(ImportError, OSError):
            import_module(name)
    for kind in ("frame", "player", "workshop"):
        shape_of(kind)
