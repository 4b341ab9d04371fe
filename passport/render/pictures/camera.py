"""A picture as a camera gave it, HEIC too, written anew for the records: upright, of a bounded size, the pixels alone.

What the camera wrote beside them, where it was and when and whose it is, is not carried over; nor is a second picture, a
preview or a film that a telephone puts into the same file.
"""

import io
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING

from passport.records.photofile import FORMATS, MOST_BYTES
from passport.render.pages.photos import NotAPhoto, upright

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

LONGEST = 1600
"""Longest side of a picture in the records, px: a crack of half a millimetre on a hoop of 350 mm is two pixels wide."""
ENOUGH = 600_000
"""Bytes: it is written ever more coarsely until it has no more than this."""
_QUALITIES = (85, 75, 65, 50, 35)
_HEIC = "HEIF"
_ONE = threading.Lock()
"""Held while a picture is unpacked: a large one takes some hundred megabytes, several at once more than there are."""


@dataclass(frozen=True, slots=True)
class TakenPhoto:
    """A picture for the records: a JPEG, and its size in pixels."""

    jpeg: bytes
    width: int
    height: int


def taken_photo(data: bytes) -> TakenPhoto:
    """The picture that some bytes hold, written anew. Raises NotAPhoto, which says why."""
    if len(data) > MOST_BYTES:
        raise NotAPhoto(f"it is larger than {MOST_BYTES // 1_000_000} MB")
    with _ONE:
        bare = _upright(data)
    written = b""
    for quality in _QUALITIES:
        out = io.BytesIO()
        bare.save(out, "JPEG", quality=quality, optimize=True)
        written = out.getvalue()
        if len(written) <= ENOUGH:
            break
    return TakenPhoto(written, *bare.size)


def _upright(data: bytes) -> "Picture":
    """The pixels alone, turned and made smaller. Raises NotAPhoto."""
    from pillow_heif import register_heif_opener

    register_heif_opener(thumbnails=False)
    return upright(data, LONGEST, (*FORMATS, _HEIC), "it is not a JPEG, PNG, WebP or HEIC picture")
