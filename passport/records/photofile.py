"""Photos in the content's ``photos`` folder, as far as records need to know them: their size, not their pixels."""

import stat
from dataclasses import dataclass
from pathlib import Path

from passport.records.disk.opening import opened

FORMATS = ("JPEG", "PNG", "WEBP")
MOST_BYTES = 40_000_000
MOST_PIXELS = {"JPEG": 60_000_000, "MPO": 60_000_000, "PNG": 60_000_000, "WEBP": 24_000_000}
"""By format; a WebP picture takes four times the memory of the others while it is unpacked. MPO is what telephones make of a
JPEG with a second picture behind the first, a map of brightness for instance (CIPA DC-007); the first one is shown."""
ORIENTATION = 0x0112
_LYING = (5, 6, 7, 8)
"""Values of the orientation (Exif 2.32, tag 274) that turn a picture by a quarter."""


@dataclass(frozen=True, slots=True)
class PhotoFile:
    """A photo's size in pixels as it is seen upright, and a mark that changes when the file does."""

    width: int
    height: int
    mark: str


def photo_file(folder: Path, name: str) -> PhotoFile | None:
    """The photo of a name in the folder; None where it is missing, elsewhere, damaged, or larger than is sensible."""
    path = folder / name
    try:
        if Path(name).name != name or not path.resolve().is_relative_to(folder.resolve()):
            return None
        found = path.stat()
        if not stat.S_ISREG(found.st_mode) or found.st_size > MOST_BYTES:
            return None  # a pipe would be waited for without an end
        width, height, most = _size(path)
    except Exception:  # decoders raise all sorts of things at bytes made to trip them
        return None
    if not 0 < width * height <= most:
        return None
    return PhotoFile(width, height, f"{found.st_size}-{found.st_mtime_ns}")


def _size(path: Path) -> tuple[int, int, int]:
    """Width and height as seen upright, and the most pixels that the format may have."""
    from PIL import Image  # late: most commands meet no photo

    pixels, Image.MAX_IMAGE_PIXELS = Image.MAX_IMAGE_PIXELS, None  # the size is judged by the caller
    try:
        with opened(path, most=MOST_BYTES, inside=path.parent) as file, Image.open(file, formats=FORMATS) as picture:
            width, height = picture.size
            lies = picture.getexif().get(ORIENTATION) in _LYING
            return (height if lies else width), (width if lies else height), MOST_PIXELS[picture.format or ""]
    finally:
        Image.MAX_IMAGE_PIXELS = pixels
