"""What this computer notes of its own publishing, so that a run that was stopped goes on where it was.

A note counts only while the far side's list of uncertain files is, byte for byte, the one that it was made for: whoever
publishes from elsewhere meanwhile writes another one, and then nothing of it is believed.
"""

import secrets
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import IO

from passport.publish.folder.digest import digest
from passport.records.disk import opening
from passport.records.transaction import atomic

_SENT, _TOKEN, _LAST = "sent", "token", "last"


class Memo:
    """The notes of one target in a private folder. Every method raises OSError where that cannot be written."""

    def __init__(self, folder: Path) -> None:
        """``folder`` is there already."""
        self._folder = folder
        self._log: IO[str] | None = None

    @property
    def token(self) -> str:
        """What this computer signs the far lock with; made where there was none."""
        path = self._folder / _TOKEN
        with suppress(OSError):
            if found := opening.read_text(path, most=100).strip():
                return found
        made = secrets.token_hex(16)
        atomic.write(path, f"{made}\n".encode(), 0o600)
        return made

    @property
    def last(self) -> str:
        """The fingerprint of the manifest that was published last from here; empty where nothing was."""
        return self._read(_LAST).partition("\n")[0].strip()

    @property
    def when(self) -> datetime | None:
        """When it was published last from here; None where it never was."""
        said = self._read(_LAST).partition("\n")[2].strip()
        try:
            return datetime.fromisoformat(said).astimezone(UTC)
        except ValueError:  # of an earlier release, which did not note it
            return self._written()

    def _written(self) -> datetime | None:
        try:
            return datetime.fromtimestamp((self._folder / _LAST).stat().st_mtime, UTC)
        except OSError:
            return None

    def sent(self, pending: bytes | None) -> Mapping[str, str]:
        """The files that were sent while the far side's list was ``pending``, each with its hash."""
        head, *lines = self._read(_SENT).split("\n")
        if pending is None or head != digest(pending):
            return {}
        whole = (line.partition(" ") for line in lines[:-1])  # the last one may have been cut off in the middle
        return {path: sum_ for sum_, _, path in whole}

    def begin(self, pending: bytes, sent: Mapping[str, str]) -> None:
        """Note what was sent so far under a new list; what `add` is told comes behind it."""
        path = self._folder / _SENT
        lines = "".join(f"{sum_} {path}\n" for path, sum_ in sent.items())
        atomic.write(path, f"{digest(pending)}\n{lines}".encode(), 0o600)
        self._log = path.open("a", encoding="utf-8")

    def add(self, path: str, sum_: str) -> None:
        """Note that a file is there now."""
        if self._log:
            self._log.write(f"{sum_} {path}\n")
            self._log.flush()

    def done(self, manifest: bytes, when: datetime | None = None) -> None:
        """Note that all of it is there, and since when."""
        self.close()
        lines = [digest(manifest), *([when.isoformat()] if when else []), ""]
        atomic.write(self._folder / _LAST, "\n".join(lines).encode(), 0o600)
        (self._folder / _SENT).unlink(missing_ok=True)

    def close(self) -> None:
        """Let go of the file."""
        if self._log:
            self._log.close()
            self._log = None

    def _read(self, name: str) -> str:
        try:
            return opening.read_text(self._folder / name, errors="replace")
        except OSError:
            return ""
