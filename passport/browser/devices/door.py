"""The door for devices in the room: one that was paired is known by its cookie, any other may type the code."""

import hmac
from collections.abc import Callable, Mapping
from contextlib import suppress

from passport.acts.devices.paired import PairedDevices
from passport.acts.refused import Refused
from passport.browser.gate import Reply, cookie_of
from passport.browser.who import Room, Who

PAIR = "/pair"
_KEPT = 400 * 86400
"""Seconds: longer than browsers keep any cookie."""


class RoomDoor:
    """Lets paired devices in, and pairs one by the code that stands on this computer's screen."""

    takes = PAIR

    def __init__(
        self, room: Room, devices: PairedDevices, knock: Callable[[Mapping[str, str], str, bool], bytes]
    ) -> None:
        """``knock`` makes the page for a device that is not paired: its headers, the code in its address, whether a code
        was wrong."""
        self.scheme, _, self._name = room.address.partition("://")
        self.hosts = frozenset({self._name})
        self._room, self._devices, self._knock = room, devices, knock
        port = self._name.rpartition(":")[2]
        # Browsers hold a cookie of the first name to https, to this host and to all of its paths (RFC 6265bis, 4.1.3).
        self.cookie = f"bench{port}" if room.plain else f"__Host-bench{port}"

    def who(self, headers: Mapping[str, str]) -> Who | None:
        """The device that asks; None where it is not paired."""
        key = cookie_of(headers, self.cookie)
        device = self._devices.of(key) if key else None
        if device is None:
            return None
        with suppress(Refused):  # a full disk keeps nobody out
            self._devices.greet(device)
        form = hmac.new(key.encode(), b"form", "sha256").hexdigest()
        return Who(form, contacts=device.contacts and not self._room.plain)

    def stranger(self, method: str, path: str, said: Mapping[str, str], headers: Mapping[str, str]) -> Reply:
        """What a device gets that is not paired: a page that says so, or its key for the code."""
        if method != "POST" or path != PAIR:
            return Reply(403, self._knock(headers, said.get("code", "")[:40] if path == PAIR else "", False))
        code = self._room.used(said.get("code", ""))
        if code is None:
            return Reply(403, self._knock(headers, "", True))
        key = self._devices.add(said.get("name", ""), contacts=code.contacts)
        safe = "" if self._room.plain else "; Secure"
        cookie = f"{self.cookie}={key}; Path=/; Max-Age={_KEPT}; HttpOnly; SameSite=Strict{safe}"
        return Reply(303, b"", (("location", "/"), ("set-cookie", cookie)))
