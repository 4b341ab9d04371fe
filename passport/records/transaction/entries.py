"""What a transaction changes, and how it is written into the journal and kept in the history."""

import base64
import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any

from passport.records.ledger.ledger import LedgerLine

FORMAT = 1


class Unreadable(Exception):
    """A journal that is damaged, or of a newer program; the text says which."""


@dataclass(frozen=True, slots=True)
class FileState:
    """What a file is at one moment: the SHA-256 of its bytes, empty where there is no file; the bytes where kept."""

    sha: str = ""
    data: bytes | None = None

    @classmethod
    def of(cls, data: bytes | None, *, keep: bool = True) -> "FileState":
        """The state of a file with these bytes; None where there is none."""
        return cls() if data is None else cls(hashlib.sha256(data).hexdigest(), data if keep else None)

    def same(self, data: bytes | None) -> bool:
        """Whether a file with these bytes is in this state."""
        return FileState.of(data, keep=False).sha == self.sha


@dataclass(frozen=True, slots=True)
class FileChange:
    """One file, by its path below the content folder with forward slashes, before and after."""

    path: str
    before: FileState
    after: FileState


@dataclass(frozen=True, slots=True)
class Transaction:
    """One transaction: what was done, in words for a person, when, and what became of which files.

    ``moves`` are folders that change their names, ``lines`` those that the ledger gets, dated ``day``; ``book`` is the
    ledger's file before and after, without its bytes. ``kept`` says whether the files' bytes are kept, without which
    there is no way back. ``reverts`` is the name of the entry that this one took back.
    """

    name: str
    work: str
    summary: str
    time: str
    day: date
    steps: tuple[FileChange, ...] = ()
    moves: tuple[tuple[str, str], ...] = ()
    lines: tuple[LedgerLine, ...] = ()
    book: FileChange | None = None
    kept: bool = True
    reverts: str = ""

    @property
    def files(self) -> tuple[str, ...]:
        """The files that were changed, made or taken away."""
        return tuple(step.path for step in self.steps)

    def forgotten(self) -> "Transaction":
        """The same without a word of what it was about, for what must not be remembered."""
        return replace(self, steps=(), moves=(), book=None, lines=(), kept=False)


def dumped(entry: Transaction) -> bytes:
    """An entry as a file: a line with the SHA-256 of the rest, then JSON."""
    plain = {
        "format": FORMAT,
        **{name: getattr(entry, name) for name in ("name", "work", "summary", "time", "kept", "reverts", "moves")},
        "day": entry.day.isoformat(),
        "steps": [_step(step) for step in entry.steps],
        "book": _step(entry.book) if entry.book else None,
        "lines": [{**asdict(line), "day": line.day.isoformat() if line.day else None} for line in entry.lines],
    }
    body = json.dumps(plain, ensure_ascii=False, indent=1).encode("utf-8", errors="surrogateescape")
    return hashlib.sha256(body).hexdigest().encode() + b"\n" + body


def loaded(data: bytes) -> Transaction:
    """The entry of a file's bytes. Raises `Unreadable`."""
    check, _, body = data.partition(b"\n")
    if hashlib.sha256(body).hexdigest().encode() != check:
        raise Unreadable("it was changed or cut short")
    try:
        plain = json.loads(body.decode("utf-8", errors="surrogateescape"))
        if plain["format"] > FORMAT:
            raise Unreadable(f"it is of format {plain['format']}, which a newer version of this program wrote")
        return _entry(plain)
    except (ValueError, KeyError, TypeError) as error:
        raise Unreadable("it does not hold what it should") from error


def _entry(plain: Mapping[str, Any]) -> Transaction:
    lines = tuple(
        LedgerLine(**{**line, "day": date.fromisoformat(line["day"]) if line["day"] else None})
        for line in plain["lines"]
    )
    return Transaction(
        name=plain["name"],
        work=plain["work"],
        summary=plain["summary"],
        time=plain["time"],
        day=date.fromisoformat(plain["day"]),
        steps=tuple(_step_of(step) for step in plain["steps"]),
        moves=tuple((old, new) for old, new in plain["moves"]),
        lines=lines,
        book=_step_of(plain["book"]) if plain["book"] else None,
        kept=plain["kept"],
        reverts=plain["reverts"],
    )


def _step(step: FileChange) -> dict[str, Any]:
    return {"path": step.path, "before": _state(step.before), "after": _state(step.after)}


def _state(state: FileState) -> dict[str, str]:
    if state.data is None:
        return {"sha": state.sha}
    try:
        return {"sha": state.sha, "text": state.data.decode("utf-8")}
    except UnicodeDecodeError:
        return {"sha": state.sha, "base64": base64.b64encode(state.data).decode()}


def _step_of(plain: Mapping[str, Any]) -> FileChange:
    return FileChange(plain["path"], _state_of(plain["before"]), _state_of(plain["after"]))


def _state_of(plain: Mapping[str, str]) -> FileState:
    if "text" in plain:
        return FileState(plain["sha"], plain["text"].encode("utf-8"))
    return FileState(plain["sha"], base64.b64decode(plain["base64"]) if "base64" in plain else None)
