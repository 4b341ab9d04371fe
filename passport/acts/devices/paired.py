"""The devices that were paired with a workshop's bench, until they are forgotten; of each one's key only a mark is kept."""

import hashlib
import json
import secrets
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from passport.acts.clock import today
from passport.acts.devices import kept

UNSEEN = timedelta(days=365)
"""After which a device that did not come is forgotten."""
MOST = 40
"""Devices of one workshop; the one that was not seen for the longest time makes room."""
LONGEST_NAME = 40


@dataclass(frozen=True, slots=True)
class PairedDevice:
    """A device: how it is called, the mark of its key, when it was paired and seen last, whether it is shown contact data."""

    name: str
    mark: str
    paired: date
    seen: date
    contacts: bool = False


@dataclass(frozen=True, slots=True)
class PairedDevices:
    """The devices of the bench of one content folder."""

    root: Path

    def listed(self) -> tuple[PairedDevice, ...]:
        """All of them, the one that was paired first in front."""
        found: list[PairedDevice] = []
        with suppress(ValueError):
            plain_list = json.loads(kept.read(self._file) or b"[]")
            for plain in plain_list if isinstance(plain_list, list) else ():
                with suppress(ValueError, TypeError, KeyError):
                    found.append(_device(plain))
        return tuple(one for one in found if today() - one.seen <= UNSEEN)

    def of(self, key: str) -> PairedDevice | None:
        """The device that has a key; None where none has."""
        mark = _mark(key)
        return next((one for one in self.listed() if secrets.compare_digest(one.mark, mark)), None)

    def add(self, name: str, *, contacts: bool) -> str:
        """Pair one more device; the key that it keeps. Raises Refused where that cannot be written."""
        key = secrets.token_urlsafe(32)
        called = " ".join("".join(c if c.isprintable() else " " for c in name).split())[:LONGEST_NAME] or "?"
        others = sorted(self.listed(), key=lambda one: one.seen)[-(MOST - 1) :]
        self._write([*others, PairedDevice(called, _mark(key), today(), today(), contacts)])
        return key

    def forget(self, mark: str) -> None:
        """Let a device in no more. Raises Refused."""
        self._write(one for one in self.listed() if one.mark != mark)

    def show(self, mark: str, *, contacts: bool) -> None:
        """Say whether a device is shown contact data. Raises Refused."""
        self._write(replace(one, contacts=contacts) if one.mark == mark else one for one in self.listed())

    def greet(self, device: PairedDevice) -> None:
        """Note that a device was here today. Raises Refused."""
        if device.seen != today():
            self._write(replace(one, seen=today()) if one.mark == device.mark else one for one in self.listed())

    @property
    def _file(self) -> str:
        """A name of its own for each content folder: a device of one workshop is none of another."""
        return f"devices-{hashlib.sha256(str(self.root.resolve()).encode('utf-8', 'surrogateescape')).hexdigest()[:16]}.json"

    def _write(self, devices: Iterable[PairedDevice]) -> None:
        ordered = sorted(devices, key=lambda one: one.paired)
        plain = [{**asdict(one), "paired": one.paired.isoformat(), "seen": one.seen.isoformat()} for one in ordered]
        kept.write(self._file, (json.dumps(plain, ensure_ascii=False, indent=1) + "\n").encode())


def _device(plain: dict[str, object]) -> PairedDevice:
    paired, seen = (date.fromisoformat(str(plain[name])) for name in ("paired", "seen"))
    return PairedDevice(str(plain["name"]), str(plain["mark"]), paired, seen, plain.get("contacts") is True)


def _mark(key: str) -> str:
    return hashlib.sha256(key.encode("utf-8", "surrogateescape")).hexdigest()
