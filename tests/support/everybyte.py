"""Every byte of a site in every form in which somebody could read it."""

import html
import io
import json
import re
import zlib
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

PICTURES = {".png", ".jpg", ".jpeg", ".webp", ".avif", ".gif", ".ico"}


def squeezed(text: str) -> str:
    """A text without white space, in small letters: a line break hides nothing."""
    return re.sub(r"[\s\u00ad\u200b]+", "", text).lower()


def forms(path: Path, name: str) -> Iterator[str]:
    """A file as it can be read: its name, its bytes, and whatever they unfold to."""
    data = path.read_bytes()
    yield name
    yield unquote(name)
    yield data.decode("latin-1")
    yield data.replace(b"\0", b"").decode("latin-1")
    if data.startswith(b"%PDF-"):
        yield from _pdf(data)
    elif path.suffix in PICTURES:
        yield from _picture(data)
    elif path.suffix == ".woff2":
        yield from _font(path)
    else:
        yield from _text(data)
    yield from _inflated(data)


def _text(data: bytes) -> Iterator[str]:
    text = data.decode("utf-8", errors="replace")
    yield html.unescape(text)
    yield unquote(text)
    yield text.replace("\r\n ", "").replace("\\", "")
    yield re.sub(r"<[^>]*>", "", text)
    try:
        yield json.dumps(json.loads(text), ensure_ascii=False)
    except ValueError:
        return


def _inflated(data: bytes) -> Iterator[str]:
    """Whatever inside the bytes is packed by zlib or gzip."""
    for found in re.finditer(rb"\x78[\x01\x5e\x9c\xda]|\x1f\x8b\x08", data):
        wrapped = 47 if found[0][:1] == b"\x1f" else 15
        try:
            unpacked = zlib.decompressobj(wrapped).decompress(data[found.start() :], 50_000_000)
        except zlib.error:
            continue
        yield unpacked.decode("latin-1")
        yield unpacked.replace(b"\0", b"").decode("latin-1")


def _pdf(data: bytes) -> Iterator[str]:
    import pypdf
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    yield "\n".join(page.get_textpage().get_text_range() for page in document)
    reader = pypdf.PdfReader(io.BytesIO(data))
    yield repr(reader.metadata)
    for number in range(1, len(reader.xref_objStm) + sum(map(len, reader.xref.values())) + 1):
        found = reader.get_object(number)
        yield repr(found)
        if hasattr(found, "get_data"):
            unpacked = found.get_data()
            yield unpacked.decode("latin-1")
            yield html.unescape(unpacked.decode("utf-8", errors="replace"))
            yield unpacked.replace(b"\0", b"").decode("latin-1")


def _picture(data: bytes) -> Iterator[str]:
    from PIL import Image

    with Image.open(io.BytesIO(data)) as picture:
        yield repr(dict(picture.info))
        yield repr(dict(picture.getexif()))


def _font(path: Path) -> Iterator[str]:
    from fontTools.ttLib import TTFont

    with TTFont(path) as font:
        yield "\n".join(str(record) for record in font["name"].names)


class Searched:
    """A site searched for marks: which of them stand in which file."""

    def __init__(self, site: Path, marks: set[str]) -> None:
        """Read every file, hidden ones too, in all its forms."""
        sign = re.compile("|".join(sorted(map(re.escape, marks), key=len, reverse=True)))
        self.files = self.size = 0
        self.found: dict[str, set[str]] = {}
        for path in sorted(p for p in site.rglob("*") if p.is_file()):
            name = path.relative_to(site).as_posix()
            self.files += 1
            self.size += path.stat().st_size
            self.found[name] = {hit for form in forms(path, name) for hit in sign.findall(squeezed(form))}

    def where(self, mark: str) -> list[str]:
        """The files that a mark stands in."""
        return [name for name, marks in self.found.items() if mark in marks]
