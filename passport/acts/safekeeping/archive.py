"""A workshop in one file: a zip of content, ledger, closed addresses and a list of hashes; encrypted if wanted.

Left out are hidden files and folders, among them what the program remembers for itself: its history may tell of players
who are erased later, and its cache is made anew. Links are not followed. The file's own list comes last in it::

    content/workshop.yaml …        every file of the content folder
    closed.txt                     what stands beside the folder, where something does
    backup.json                    format, time, the program's version, and size and SHA-256 of every file
"""

import hashlib
import io
import json
import re
import unicodedata
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import Any

from passport import __version__
from passport.acts.refused import Refused
from passport.records.disk import opening, walking
from passport.records.language.worded import worded
from passport.records.ledger.beside import path_beside

FORMAT = 1
CONTENT, BESIDE, LIST = "content/", "closed.txt", "backup.json"
ENCRYPTED = b"age-encryption.org/"
"""How a file that is encrypted with a passphrase begins (the age format, version 1)."""
MOST_FILES, LARGEST, ROOM = 500_000, 2_000_000_000, 20_000_000_000
"""What a backup may hold: files, bytes of one, bytes of all."""
_DRIVE = re.compile(r"[A-Za-z]:")


@dataclass(frozen=True, slots=True)
class Packed:
    """What a backup holds: its bytes, its files' paths below the content folder, links that were left out."""

    data: bytes
    files: tuple[str, ...]
    links: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Opened:
    """A backup that was opened and found whole: when it was made, by which version, and its files by their paths."""

    made: str
    version: str
    files: Mapping[str, bytes]
    beside: bytes | None


def packed(root: Path, now: datetime) -> Packed:
    """A content folder as a backup. Raises Refused where two names differ by case alone, OSError."""
    files, links = _walk(root)
    refuse_alike(path for path, _ in files)
    beside = path_beside(root)
    listed: dict[str, dict[str, object]] = {}
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as zipped:
        for path, place in files:
            _add(zipped, CONTENT + path, opening.read(place, most=LARGEST), now, listed)
        if beside and beside.is_file():
            _add(zipped, BESIDE, opening.read(beside, most=LARGEST), now, listed)
        about = {"format": FORMAT, "made": now.isoformat(timespec="seconds"), "version": __version__, "files": listed}
        _add(zipped, LIST, json.dumps(about, ensure_ascii=False, indent=1).encode(), now, {})
    return Packed(buffer.getvalue(), tuple(path for path, _ in files), tuple(links))


def _walk(root: Path) -> tuple[list[tuple[str, Path]], list[str]]:
    """The files of a content folder and the links in it, by path; nothing hidden, no link followed."""
    files, links = list[tuple[str, Path]](), list[str]()
    for path, entry in walking.entries(root):
        if entry.is_symlink():
            links.append(path)
        elif entry.is_file(follow_symlinks=False):
            files.append((path, Path(entry.path)))
    return sorted(files), sorted(links)


def refuse_alike(paths: Iterable[str]) -> None:
    """Raise Refused where two paths are one on a disk that does not tell capitals from small letters."""
    seen: dict[str, str] = {}
    for path in paths:
        folded = unicodedata.normalize("NFC", path).casefold()
        other = seen.setdefault(folded, path)
        if other != path:
            raise Refused(
                worded(
                    "'{other}' and '{path}' differ by capitals alone: on many disks one of them would be lost.\n  "
                    "Rename one of them first.",
                    other=other,
                    path=path,
                )
            )


def _add(zipped: zipfile.ZipFile, name: str, data: bytes, now: datetime, listed: dict[str, dict[str, object]]) -> None:
    about = zipfile.ZipInfo(name, now.timetuple()[:6])
    about.external_attr = 0o600 << 16
    about.compress_type = zipfile.ZIP_DEFLATED
    zipped.writestr(about, data)
    listed[name] = {"size": len(data), "sha256": hashlib.sha256(data).hexdigest()}


def opened(data: bytes) -> Opened:
    """What is in a backup. Raises Refused where it is none, damaged, of a newer program, or holds what none does."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as zipped:
            return _checked(zipped)
    except (zipfile.BadZipFile, zipfile.LargeZipFile, EOFError, OSError, NotImplementedError, RuntimeError) as error:
        raise Refused(worded("This is no backup, or a damaged one: {error}. Take another one.", error=error)) from None


def _checked(zipped: zipfile.ZipFile) -> Opened:
    infos = {info.filename: info for info in zipped.infolist()}
    room = sum(info.file_size for info in infos.values())
    if LIST not in infos or len(infos) > MOST_FILES or room > ROOM or len(infos) != len(zipped.infolist()):
        raise Refused(
            worded("This is no backup of a workshop: its list is missing, or it holds too much, or a name twice.")
        )
    about = _about(zipped.read(LIST))
    listed = about["files"]
    if set(listed) != infos.keys() - {LIST}:
        raise Refused(worded("This backup is damaged: its list names other files than it holds. Take another one."))
    found: dict[str, bytes] = {}
    for name, entry in listed.items():
        if infos[name].file_size > LARGEST or infos[name].file_size != entry["size"]:
            raise Refused(
                worded(
                    "This backup is damaged: '{name}' has another size than its list says. Take another one.", name=name
                )
            )
        found[name] = zipped.read(name)
        if hashlib.sha256(found[name]).hexdigest() != entry["sha256"]:
            raise Refused(
                worded("This backup is damaged: '{name}' is not what its list says. Take another one.", name=name)
            )
    files = {name.removeprefix(CONTENT): data for name, data in found.items() if name != BESIDE}
    for name in found:
        if name != BESIDE and not (name.startswith(CONTENT) and _harmless(name.removeprefix(CONTENT))):
            raise Refused(
                worded("This backup holds '{name}', which no backup of ours does. Nothing was written.", name=name[:80])
            )
    refuse_alike(files)
    return Opened(about["made"], about["version"], files, found.get(BESIDE))


def _about(data: bytes) -> dict[str, Any]:
    try:
        about: dict[str, Any] = json.loads(data)
        shape = int(about["format"])
        known = {
            name: {"size": int(entry["size"]), "sha256": str(entry["sha256"])} for name, entry in about["files"].items()
        }
        found = {"made": str(about["made"])[:40], "version": str(about["version"])[:40], "files": known}
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise Refused(worded("This backup is damaged: its list cannot be read. Take another one.")) from error
    if shape > FORMAT:
        raise Refused(
            worded(
                "This backup is of format {shape}, from version {found}: use that version or a later one.",
                shape=shape,
                found=found["version"],
            )
        )
    return found


def _harmless(path: str) -> bool:
    """Whether a path stays below a folder, on any system, and is not hidden."""
    parts = PurePosixPath(path).parts
    if not parts or path.startswith("/") or "\\" in path or _DRIVE.match(path) or path != "/".join(parts):
        return False
    return all(not part.startswith(".") and all(c.isprintable() for c in part) for part in parts)


def encrypted(data: bytes, passphrase: str) -> bytes:
    """A backup that a passphrase opens (age, version 1: scrypt, ChaCha20-Poly1305)."""
    import pyrage

    return bytes(pyrage.passphrase.encrypt(data, passphrase))


def decrypted(data: bytes, passphrase: str) -> bytes:
    """The backup inside an encrypted one. Raises Refused where the passphrase is another, or the file is damaged."""
    import pyrage

    try:
        return bytes(pyrage.passphrase.decrypt(data, passphrase))
    except pyrage.DecryptError:
        raise Refused(
            worded("This passphrase does not open the backup, or the file is damaged. Nothing was written.")
        ) from None


def names_in(path: Path) -> Iterator[str]:
    """The paths of the content's files in a backup; none where it is encrypted or cannot be read."""
    try:
        with opening.opened(path, most=ROOM) as file, zipfile.ZipFile(file) as zipped:
            yield from (name.removeprefix(CONTENT) for name in zipped.namelist() if name.startswith(CONTENT))
    except (zipfile.BadZipFile, OSError, NotImplementedError):
        return
