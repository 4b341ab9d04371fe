"""Pictures made for tests: with all that a camera writes, huge, broken."""

import io
import struct
import zlib

from PIL import ExifTags, Image, PngImagePlugin

SECRET = "Ploverlight-SECRET"


def camera(width: int = 400, height: int = 300, orientation: int = 1, kind: str = "JPEG") -> bytes:
    """A photo, red on the left and blue on the right as it lies in the file, with place, day, device and comment."""
    picture = Image.new("RGB", (width, height), "#cc2222")
    picture.paste("#2222cc", (width // 2, 0, width, height))
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = exif[ExifTags.Base.ImageDescription] = SECRET
    exif[ExifTags.Base.DateTime], exif[ExifTags.Base.Orientation] = "2026:11:12 16:20:00", orientation
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps[ExifTags.GPS.GPSLatitudeRef], gps[ExifTags.GPS.GPSLatitude] = "N", (54.0, 30.0, 0.0)
    out = io.BytesIO()
    options: dict[str, object] = {"exif": exif}
    if kind == "JPEG":
        options |= {"comment": SECRET.encode(), "icc_profile": SECRET.encode()}
    if kind == "PNG":
        note = PngImagePlugin.PngInfo()
        note.add_text("Author", SECRET)
        options["pnginfo"] = note
    if kind == "HEIF":
        from pillow_heif import register_heif_opener

        register_heif_opener()
    if kind == "MPO":
        options |= {"save_all": True, "append_images": [Image.new("RGB", (width // 4, height // 4), "#22cc22")]}
    if kind == "HEIF":  # of a table of values the encoder reads the orientation, of an object it does not
        options["exif"] = exif.tobytes()
    picture.save(out, kind, **options)
    return out.getvalue()


def claiming(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it is of that size."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
