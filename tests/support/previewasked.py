"""A request to the preview's server as its bytes, from any device: what comes back, and for whom the pages took it."""

import asyncio
from dataclasses import dataclass, field
from typing import Any

from uvicorn.server import ServerState

from passport.browser.devices.room import server_config
from passport.browser.doorkeeper import doorkeeper
from passport.browser.previewing import PreviewPages
from passport.publish.build.preview import Answer

PHONE = "192.0.2.7"


@dataclass
class Told:
    """In place of a preview: says to whom it answers; breaks where it is asked to."""

    own: list[bool] = field(default_factory=list)

    def answer(self, path: str, *, at_the_bench: bool = False) -> Answer:
        """What was asked, and by whom."""
        self.own.append(at_the_bench)
        if path == "/broken":
            raise RuntimeError("/home/someone/secret.yaml")
        return Answer(200, "text/plain", f"{path} {at_the_bench}".encode())


class _Wire(asyncio.Transport):
    """A connection that keeps what is sent over it."""

    def __init__(self, client: str) -> None:
        super().__init__({"peername": (client, 40000), "sockname": ("192.0.2.1", 8020)})
        self.sent, self.over = bytearray(), asyncio.Event()

    def write(self, data: Any) -> None:
        self.sent += data

    def close(self) -> None:
        self.over.set()

    abort = close

    def is_closing(self) -> bool:
        return self.over.is_set()

    def pause_reading(self) -> None:
        """Nothing more comes anyway."""

    resume_reading = pause_reading

    def set_write_buffer_limits(self, high: int | None = None, low: int | None = None) -> None:
        """All is taken at once."""


def answered(raw: bytes, client: str) -> tuple[bytes, list[bool]]:
    """What is sent back to some bytes from a device, and for each page that was asked for whether it was as this computer."""
    preview = Told()
    return asyncio.run(_asked(raw, client, preview)), preview.own


async def _asked(raw: bytes, client: str, preview: Any) -> bytes:
    config = server_config(PreviewPages(preview), doorkeeper())
    config.load()
    made: Any = config.http_protocol_class
    protocol, wire = made(config=config, server_state=ServerState(), app_state={}), _Wire(client)
    protocol.connection_made(wire)
    protocol.data_received(raw)
    if wire.sent or protocol._inner.cycle is not None:  # else it waits for the rest, until its time is over
        await asyncio.wait_for(wire.over.wait(), 10)
    protocol.connection_lost(None)
    return bytes(wire.sent)
