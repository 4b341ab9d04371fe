"""One file that a workshop comes back from, the way back, and the recovery sheet. Where backups went is remembered."""

import json
import shutil
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from passport.acts.change import base_of, held
from passport.acts.clock import now, today
from passport.acts.reading import read
from passport.acts.refused import Refused, writing
from passport.acts.safekeeping import archive
from passport.acts.safekeeping.archive import Opened
from passport.publish.folder.known import KnownAddresses, problems, survey
from passport.records.disk import opening, rights, walking
from passport.records.faults import has_errors
from passport.records.language.worded import worded
from passport.records.ledger import key, ledger, witness
from passport.records.ledger.beside import path_beside
from passport.records.transaction import atomic, ledger_file, private
from passport.render.print.pdf import NoPango
from passport.render.sheets.recovery import recovery_pdf

KEPT = "backups.json"
_MOST = 200
_LEFT_BEHIND = 600.0
"""Seconds after which a half-made folder beside the place can only be that of a restore that was killed."""


@dataclass(frozen=True, slots=True)
class KeptBackup:
    """A backup that was made: where, when, and whether a passphrase opens it."""

    path: str
    made: str
    encrypted: bool


@dataclass(frozen=True, slots=True)
class BackedUp:
    """A backup as it was written: its file, how many files it holds, its size, links that were left out."""

    path: Path
    files: int
    size: int
    links: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Restored:
    """A workshop as it came back: when it was saved, how many files; what is newer elsewhere, and what stands in the way
    of a build, each with what to do."""

    made: str
    files: int
    newer: tuple[str, ...]
    stops: tuple[str, ...]


def default_path(root: Path, moment: datetime, *, encrypted: bool) -> Path:
    """Where a backup goes unless a place is named: beside the content folder, with the day in its name."""
    whole = root.resolve()
    return whole.parent / f"{whole.name}-backup-{moment.date().isoformat()}.zip{'.age' if encrypted else ''}"


def back_up(root: Path, target: Path | None, passphrase: str, say: Callable[[str], None]) -> BackedUp:
    """Write a backup of a content folder; encrypted where there is a passphrase. Raises Refused."""
    moment = now()
    path = target or default_path(root, moment, encrypted=bool(passphrase))
    if path.resolve().is_relative_to(root.resolve()):
        raise Refused(
            worded(
                "'{path}' is inside the folder that is saved: name a place outside it, best on another disk.", path=path
            )
        )
    with held(root, "passport backup", say), writing(f"'{path}'"):
        found = archive.packed(root, moment)
        data = archive.encrypted(found.data, passphrase) if passphrase else found.data
        path.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(path, data, mode=0o600)
        with suppress(OSError):  # a folder that cannot be written to is saved all the same
            _remember(root, KeptBackup(str(path.resolve()), moment.isoformat(timespec="seconds"), bool(passphrase)))
    return BackedUp(path, len(found.files), len(data), found.links)


def _remember(root: Path, made: KeptBackup) -> None:
    others = [one for one in kept(root) if one.path != made.path]
    rows = [[one.path, one.made, one.encrypted] for one in (*others, made)][-_MOST:]
    atomic.write(private.made(root) / KEPT, json.dumps(rows, ensure_ascii=False, indent=1).encode(), mode=0o600)


def kept(root: Path) -> tuple[KeptBackup, ...]:
    """The backups that were made of a content folder and are remembered, and others that stand beside it."""
    try:
        rows = json.loads(opening.read_text(private.folder_of(root) / KEPT))
        found = {str(path): KeptBackup(str(path), str(made), bool(secret)) for path, made, secret in rows}
    except (OSError, ValueError, TypeError):
        found = {}
    whole = root.resolve()
    for path in walking.listed(whole.parent):
        if path.name.startswith(f"{whole.name}-backup-") and ".zip" in path.name and path.is_file():
            found.setdefault(str(path), KeptBackup(str(path), "", path.suffix == ".age"))
    return tuple(found.values())


def still_holding(root: Path, player: str) -> tuple[str, ...]:
    """A word on each backup that still holds a player, or may: it is encrypted, or not where it was made."""
    return tuple(said for one in kept(root) if (said := _holding(one, player)))


def _holding(one: KeptBackup, player: str) -> str:
    path, made = Path(one.path), f", made {one.made}" if one.made else ""
    if not path.is_file():
        return worded("{path}{made}: not here any more; wherever it is, it may hold them", path=path, made=made)
    if one.encrypted:
        return worded("{path}{made}: encrypted, so nobody can see whether it holds them", path=path, made=made)
    holds = any(name.startswith(f"players/{player}/") for name in archive.names_in(path))
    return worded("{path}{made}: holds them", path=path, made=made) if holds else ""


# --- the way back ----------------------------------------------------------------------------------------------


def restore(data: bytes, folder: Path, passphrase: str, site: Path) -> Restored:
    """Bring a workshop back from a backup into a folder that is new or empty, and compare it with what was not lost: the
    file beside the folder, and the manifest of the site. Raises Refused; then nothing was written."""
    if folder.exists() and (not folder.is_dir() or walking.listed(folder)):
        raise Refused(
            worded("'{folder}' is not empty. Name a new folder: nothing is written over what is there.", folder=folder)
        )
    if data.startswith(archive.ENCRYPTED):
        data = archive.decrypted(data, passphrase)
    found = archive.opened(data)
    witnessed = witness.read(folder) is not None
    with writing(f"'{folder}'"):
        _put(found, folder)
        _put_beside(found, folder)
    records, faults = read(folder)
    known = survey(folder, site, records)
    stops = [one.text for one in problems(known, records)]
    if has_errors(faults):
        errors = sum(fault.severity == "error" for fault in faults)
        stops.append(worded("The records have {errors} errors: passport check {folder}", errors=errors, folder=folder))
    return Restored(found.made, len(found.files), tuple(_newer(known, found, witnessed=witnessed)), tuple(stops))


def _put(found: Opened, folder: Path) -> None:
    """All files beside the folder's place first, so that it is there whole or not at all."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    prefix = f".{folder.name}-restoring-"
    _sweep(folder.parent, prefix)
    fresh = Path(tempfile.mkdtemp(prefix=prefix, dir=folder.parent))
    try:
        for path, data in found.files.items():
            place = fresh / path
            place.parent.mkdir(parents=True, exist_ok=True)
            atomic.write(place, data, mode=0o600 if path == key.FILE else 0o644)
        fresh.chmod(rights.of_new_folder())
        if folder.is_dir():
            folder.rmdir()
        fresh.rename(folder)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _sweep(folder: Path, prefix: str) -> None:
    """Take away what a restore that was killed has left beside the place; one that is at it now has newer folders."""
    for left in walking.listed(folder):
        if left.name.startswith(prefix) and not left.is_symlink() and time.time() - left.stat().st_mtime > _LEFT_BEHIND:
            shutil.rmtree(left, ignore_errors=True)


def _put_beside(found: Opened, folder: Path) -> None:
    """What is closed stands beside the folder again; what stands there already stays, and gets more."""
    path = path_beside(folder)
    if path and found.beside is not None and not path.exists():
        atomic.write(path, found.beside)
    ledger_file.write_beside(folder, ledger.read(folder) or ledger.Ledger())


def _newer(known: KnownAddresses, found: Opened, *, witnessed: bool) -> list[str]:
    """What the site and the file beside the folder know that the backup does not; ``witnessed``: it was there."""
    lines = []
    have = {line.key for line in known.ledger.lines}
    fresh = {line.key: line.number for line in known.manifest.keys if line.key not in have}
    if fresh:
        named = ", ".join(sorted(filter(None, fresh.values()))[:8])
        lines.append(
            worded(
                "The site knows {fresh} addresses that were given out later: {named}.", fresh=len(fresh), named=named
            )
            if named
            else worded("The site knows {fresh} addresses that were given out later.", fresh=len(fresh))
        )
    if known.witness.count > len(known.ledger.lines):
        more = known.witness.count - len(known.ledger.lines)
        lines.append(
            worded("The file beside the folder knows of {more} more lines of {file}.", more=more, file=ledger.FILE)
        )
    if not known.manifest.count and not witnessed:
        lines.append(
            worded(
                "Nothing else tells what was given out or closed after {made}. If the site is still on the "
                "web, load\n  its manifest.bin into a folder and name that with --site.",
                made=found.made,
            )
        )
    return lines


def recovery_sheet(root: Path, target: Path, say: Callable[[str], None]) -> None:
    """Write the recovery sheet of a workshop as a PDF; a manifest key is made where there was none. Raises Refused."""
    workshop = base_of(root, ()).records.workshop
    shop = workshop.record if workshop else None
    with held(root, "passport backup", say), writing(f"'{root / key.FILE}'"):
        try:
            secret = ledger_file.made_key(root)
        except ValueError as error:
            raise Refused(f"{root / key.FILE}: {error}") from None
    try:
        data = recovery_pdf(
            shop.name if shop else "",
            shop.address if shop else "",
            key.grouped(secret),
            today(),
            shop.language if shop else "en",
        )
    except NoPango as error:
        raise Refused(str(error)) from None
    with writing(f"'{target}'"):
        target.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(target, data, mode=0o600)
