"""The packed parts of a spreadsheet file, bounded before anything is made of them.

Such a file is an archive of XML texts. A few kilobytes of it can unpack to gigabytes, name entities that unfold to more,
or ask for a file elsewhere; all of that is refused here, before a library sees it.
"""

import io
import re
import zipfile
from typing import Final

from passport.records.language.worded import worded
from passport.records.tables.cells import Unusable

LARGEST: Final = 20_000_000
"""Bytes of the file as it lies on the disk."""
MOST_UNPACKED: Final = 80_000_000
"""Bytes of all its texts together."""
MOST_PARTS: Final = 2_000
MOST_TAGS: Final = 4_000_000
"""Marks ``<`` in one text: some ten for each cell of the largest table that is read."""
_DECLARED = re.compile(rb"^\s*<\?xml[^>]*?encoding\s*=\s*[\"']([^\"']+)[\"']")
_AS_READ = (b"utf-8", b"us-ascii", b"ascii")


def unpacked(data: bytes) -> dict[str, bytes]:
    """The XML texts of an archive by their names, pictures and the like left out. Raises `Unusable`."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _parts(archive)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, RuntimeError, ValueError) as error:
        if isinstance(error, Unusable):
            raise
        if "password" in str(error) or "encrypted" in str(error):
            raise Unusable(worded("This file is protected by a password. Save a copy without one.")) from None
        raise Unusable(
            worded("This file is damaged: open it in the program it comes from, and save it anew.")
        ) from None


def repacked(parts: dict[str, bytes]) -> io.BytesIO:
    """An archive of such texts, for a library that takes no other form."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_STORED) as archive:
        for name, text in parts.items():
            archive.writestr(zipfile.ZipInfo(name), text)
    held.seek(0)
    return held


def _parts(archive: zipfile.ZipFile) -> dict[str, bytes]:
    entries = archive.infolist()
    if len(entries) > MOST_PARTS:
        raise Unusable(
            worded(
                "This file has {entries:,} parts inside; a table has a few dozen. It is not read.", entries=len(entries)
            )
        )
    parts: dict[str, bytes] = {}
    left = MOST_UNPACKED
    for entry in entries:
        if not entry.filename.lower().endswith((".xml", ".rels", "mimetype")):
            continue
        if entry.filename in parts:
            raise Unusable(worded("This file holds '{filename}' twice. Save it anew.", filename=entry.filename[:40]))
        # What the archive says of a size may be a lie, so the bytes themselves are counted.
        with archive.open(entry) as part:
            text = part.read(left + 1)
        left -= len(text)
        if left < 0:
            raise Unusable(
                worded(
                    "Unpacked, this file is larger than {most_unpacked:.0f} MB. Split the table.",
                    most_unpacked=MOST_UNPACKED / 1e6,
                )
            )
        if not entry.filename.lower().endswith("mimetype"):
            _harmless(entry.filename, text)
        parts[entry.filename] = text
    return parts


def _harmless(name: str, text: bytes) -> None:
    body = text.removeprefix(b"\xef\xbb\xbf")
    declared = _DECLARED.match(body[:300])
    plain = body.lstrip()[:1] in (b"<", b"") and (not declared or declared[1].lower() in _AS_READ)
    # In another encoding the signs that are looked for would have other bytes.
    if not plain or b"<!DOCTYPE" in body or b"<!ENTITY" in body:
        raise Unusable(
            worded("Its part '{name}' is no plain XML as tables have it. Save the table anew.", name=name[:40])
        )
    if body.count(b"<") > MOST_TAGS:
        raise Unusable(worded("This table is larger than what is read. Split it, by years for example."))
