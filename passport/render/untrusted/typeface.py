"""A shop's own typeface, written anew: outlines, widths and features are kept, what acts or tells is left out.

Letters may carry small programs that fit them to a screen's dots, which a browser runs, and tables that only some
program knows. A WOFF2 file (W3C WOFF 2.0) is packed by Brotli, which unpacks to a thousand times its size and more: how
much comes out is counted before fontTools is given the file.
"""

import io
import struct
from functools import lru_cache

MOST_UNPACKED = 8_000_000
"""Bytes of a typeface when it is unpacked: twenty times the largest shipped one."""
_HEADER = struct.Struct(">4sIIHHIIHHIIIII")
_KNOWN_TAGS = 63
_TRANSFORMED = (10, 11)
"""The places of ``glyf`` and ``loca`` among the known tags, which are transformed unless they say not to be."""
_TABLES = {
    "GlyphOrder", "head", "hhea", "maxp", "OS/2", "hmtx", "cmap", "loca", "glyf", "CFF ", "CFF2", "name", "post", "GDEF",
    "GPOS", "GSUB", "kern", "fvar", "avar", "gvar", "HVAR", "MVAR", "STAT", "vhea", "vmtx", "VORG", "BASE", "COLR", "CPAL",
}  # fmt: skip


class NotATypeface(ValueError):
    """The file cannot be used as a typeface; the message says why."""


def judge(data: bytes) -> None:
    """See quickly whether bytes may be a WOFF2 typeface. Raises NotATypeface."""
    if len(data) < _HEADER.size or not data.startswith(b"wOF2"):
        raise NotATypeface("it is not a WOFF2 font")
    _, _, length, tables, _, unpacked, packed, *_ = _HEADER.unpack_from(data)
    if length != len(data):
        raise NotATypeface("it is cut short, or something follows it")
    if unpacked > MOST_UNPACKED:
        raise NotATypeface(f"it unpacks to {unpacked / 1e6:.0f} MB")
    _count(data[_after_directory(data, tables) :][:packed])


@lru_cache(maxsize=8)
def typeface(data: bytes) -> bytes:
    """The typeface written anew. Raises NotATypeface."""
    judge(data)
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    try:
        with TTFont(io.BytesIO(data), recalcTimestamp=False) as font:
            for tag in [tag for tag in font.keys() if tag not in _TABLES]:  # noqa: SIM118  # no mapping
                del font[tag]
            options = Options(hinting=False, notdef_outline=True, glyph_names=False, recalc_timestamp=False)
            options.layout_features, options.name_IDs = ["*"], [1, 2, 4, 6]
            shrink = Subsetter(options)
            shrink.populate(unicodes=list(font.getBestCmap() or {}))
            shrink.subset(font)
            font.flavor = "woff2"
            out = io.BytesIO()
            font.save(out)
    except Exception as error:  # decoders raise all sorts of things at bytes made to trip them
        raise NotATypeface(f"it is damaged ({type(error).__name__}: {error})") from None
    return out.getvalue()


def _after_directory(data: bytes, tables: int) -> int:
    """Where the packed data begin: behind one entry for each table. Raises NotATypeface."""
    at = _HEADER.size
    try:
        for _ in range(tables):
            flags, at = data[at], at + 1
            tag, version = flags & 0x3F, flags >> 6
            at += 4 if tag == _KNOWN_TAGS else 0
            at = _past_number(data, at)
            transformed = version == 0 if tag in _TRANSFORMED else version != 0
            at = _past_number(data, at) if transformed else at
    except IndexError:
        raise NotATypeface("its list of tables is cut short") from None
    return at


def _past_number(data: bytes, at: int) -> int:
    """Past a number of one to five bytes, of which all but the last have their highest bit set."""
    for step in range(5):
        if not data[at + step] & 0x80:
            return at + step + 1
    raise NotATypeface("its list of tables is damaged")


def _count(packed: bytes) -> None:
    """Unpack piece by piece and count what comes out. Raises NotATypeface."""
    import brotli

    stream, size = brotli.Decompressor(), 0
    try:
        for at in range(0, len(packed), 4096):
            size += len(stream.process(packed[at : at + 4096]))
            if size > MOST_UNPACKED:
                raise NotATypeface(f"it unpacks to more than {MOST_UNPACKED / 1e6:.0f} MB")
    except brotli.error as error:
        raise NotATypeface(f"it is damaged ({error})") from None
