"""Whether anything at all changed since the last build, found out without reading a record or loading a library."""

import json
from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date
from functools import cached_property
from pathlib import Path

from passport.publish.cache import toolchain
from passport.publish.cache.cache_database import CacheDatabase, Damaged
from passport.publish.folder.digest import digest
from passport.publish.folder.foreign import MARK
from passport.publish.folder.listing import Mark, listing, whole
from passport.records.disk import opening
from passport.records.faults import Fault, Place
from passport.records.ledger.beside import path_beside
from passport.records.publicfiles import FOLDER as PUBLIC
from passport.render.theme import assets

_ENTRY, _RECORDS = "up to date", "records of the build"
LEDGER = "ledger.txt"
"""The ledger of issued addresses: the build adds to it itself, so it is known by its content and not by its mark."""

KEY = "manifest-key.txt"
"""The key of the site's manifest, which the first build makes."""


@dataclass(frozen=True, slots=True)
class BuildOrder:
    """What is to be built: from which content, to where, as of which day, with cards, with which ends of links."""

    content: Path
    out: Path
    today: date
    cards: bool = True
    index: str = ""


@dataclass(frozen=True, slots=True)
class Report:
    """What the site holds, how many of its files were made anew, and what was noticed in the records."""

    frames: int
    players: int
    cards: int
    files: int
    size: int
    made: int
    faults: tuple[Fault, ...] = ()


class Seen:
    """The marks of all files of the content and of the site, as they stood when each was first asked for."""

    def __init__(self, order: BuildOrder) -> None:
        """Look at the content."""
        self._out = order.out
        own = listing(order.content / PUBLIC, hidden=True)  # a host's proof may well be a hidden file
        self.content: dict[str, Mark] = {
            **listing(order.content), **{f"{PUBLIC}/{path}": mark for path, mark in own.items()},
        }  # fmt: skip

    @cached_property
    def site(self) -> dict[str, Mark]:
        """The marks of the files of the site, but for this program's own mark and what version control keeps there."""
        found = listing(self._out, hidden=True).items()
        return {path: mark for path, mark in found if path[-1] != "/" and path != MARK and not path.startswith(".git/")}

    @cached_property
    def records(self) -> str:
        """The fingerprint of the content but for what the build itself writes there."""
        # Both are written by the build itself: by their marks no build would ever find that nothing changed.
        return whole({path: mark for path, mark in self.content.items() if path not in (LEDGER, KEY)})


def unchanged(database: CacheDatabase, order: BuildOrder, seen: Seen) -> Report | None:
    """What the last build reported, where nothing changed since that a build would look at; else None."""
    assets.use(order.content)
    try:
        kept = json.loads(database.get(_ENTRY) or b"null")
    except Damaged:
        return None
    if not kept:
        return None
    if kept["made_from"] != made_from(order, seen) or kept["site"] != whole(_sizes(seen.site, kept["theirs"])):
        return None
    faults = tuple(Fault(**{**fault, "place": Place(**fault["place"])}) for fault in kept["faults"])
    return Report(**{**kept["report"], "faults": faults, "made": 0})


def remember(
    database: CacheDatabase,
    made_from: str,
    site: Mapping[str, tuple[int, int]],
    theirs: Collection[str],
    report: Report,
) -> None:
    """Keep what a build reported, with what it was `made_from` and what the site is, files of others (``theirs``) aside.

    Raises OSError.
    """
    faults = [asdict(fault) for fault in report.faults]
    kept = {"made_from": made_from, "site": whole(site), "report": asdict(replace(report, faults=())), "faults": faults}
    kept["theirs"] = sorted(theirs)
    database.put(_ENTRY, json.dumps(kept).encode())


def forget(database: CacheDatabase) -> None:
    """Let the next build look closer. Raises OSError."""
    database.drop([_ENTRY])


def remember_records(database: CacheDatabase, content: Path, seen: Seen) -> None:
    """Keep which records a site was built from. Raises OSError."""
    database.put(_RECORDS, records_mark(content, seen).encode())


def from_these_records(database: CacheDatabase, content: Path, seen: Seen) -> bool | None:
    """Whether a site was last built from the records as they are; None where that was not kept."""
    try:
        kept = database.get(_RECORDS)
    except Damaged:
        return None
    return None if kept is None else kept.decode() == records_mark(content, seen)


def _sizes(marks: Mapping[str, Mark], but: Collection[str]) -> dict[str, tuple[int, int]]:
    left_out = set(but)
    return {path: (size, time) for path, (size, time, *_) in marks.items() if path not in left_out}


def beside(content: Path) -> bytes:
    """What the file beside the content folder says is closed."""
    path = path_beside(content)
    try:
        return opening.read(path) if path else b""
    except OSError:
        return b""


def _key(content: Path) -> bytes:
    try:
        return opening.read(content / KEY)
    except OSError:
        return b""


def records_mark(content: Path, seen: Seen) -> str:
    """The fingerprint of the records, with ledger, key, and what is closed for good."""
    try:
        ledger = digest(opening.read(content / LEDGER, inside=content))
    except FileNotFoundError:
        ledger = ""
    except OSError as error:
        ledger = str(error)  # not as if there were none: the build has to say it
    return digest(ledger, beside(content), _key(content), seen.records)


def made_from(order: BuildOrder, seen: Seen) -> str:
    """The fingerprint of all that a build looks at."""
    templates = sorted(toolchain.templates().items())
    return digest(
        *(str(order.content), str(order.out), order.today.isoformat(), str(order.cards), order.index),
        *(toolchain.program(), toolchain.libraries(), toolchain.stamp()),
        toolchain.print_libraries() if order.cards else "",
        repr(templates),
        records_mark(order.content, seen),
    )
