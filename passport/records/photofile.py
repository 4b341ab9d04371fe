"""Photos in the content's ``photos`` folder, as far as records need to know them: their size, not their pixels."""

from dataclasses import dataclass
from pathlib import Path

FORMATS = ("JPEG", "PNG", "WEBP")
MOST_BYTES = 40_000_000
MOST_PIXELS = 60_000_000
_ORIENTATION = 0x0112
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
        if found.st_size > MOST_BYTES:
            return None
        width, height = _size(path)
    except Exception:  # decoders raise all sorts of things at bytes made to trip them
        return None
    if not 0 < width * height <= MOST_PIXELS:
        return None
    return PhotoFile(width, height, f"{found.st_size}-{found.st_mtime_ns}")


def _size(path: Path) -> tuple[int, int]:
    from PIL import Image  # late: most commands meet no photo

    pixels, Image.MAX_IMAGE_PIXELS = Image.MAX_IMAGE_PIXELS, None  # the size is judged by the caller
    try:
        with Image.open(path, formats=FORMATS) as picture:
            width, height = picture.size
            return (height, width) if picture.getexif().get(_ORIENTATION) in _LYING else (width, height)
    finally:
        Image.MAX_IMAGE_PIXELS = pixels
