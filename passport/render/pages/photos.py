"""Photos for the page: turned upright, made smaller, written anew, so that place, device and time stay behind."""

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from passport.records.photofile import FORMATS, MOST_PIXELS, ORIENTATION

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

WIDEST = 416
"""Longest side of a photo on a page, px: as large as a page shows it (26 rem), finer than a phone's column shows it."""
ENOUGH = 40_000
"""A photo is written ever more coarsely until it has no more bytes than this, or is as coarse as is bearable."""
TURNS = {2: 0, 3: 3, 4: 1, 5: 5, 6: 4, 7: 6, 8: 2}
"""For each orientation (Exif 2.32, tag 274) how Pillow turns a picture upright."""
_QUALITIES = (74, 66, 58, 50)


class NotAPhoto(ValueError):
    """The file is not a picture that can be shown; the message says why."""


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo ready for a page: WebP, JPEG for readers without it, and its size in pixels."""

    webp: bytes
    jpeg: bytes
    width: int
    height: int


def shown_size(width: int, height: int) -> tuple[int, int]:
    """The size in pixels at which a photo of that size stands on a page."""
    return _within(WIDEST, width, height)


def _within(longest: int, width: int, height: int) -> tuple[int, int]:
    share = min(1.0, longest / max(width, height))
    return max(1, round(width * share)), max(1, round(height * share))


@lru_cache(maxsize=2)
def prepared(data: bytes) -> Photo:
    """A photo without any metadata, at most `WIDEST` pixels wide and high.

    Raises NotAPhoto for anything but a JPEG, PNG or WebP picture of sensible size.
    """
    bare = upright(data, WIDEST, FORMATS, "it is not a JPEG, PNG or WebP picture", spare=2)
    return Photo(_coarser(bare, "WEBP", method=4), _coarser(bare, "JPEG", progressive=True, optimize=True), *bare.size)


def upright(data: bytes, longest: int, formats: tuple[str, ...], other: str, spare: int = 1) -> "Picture":
    """The pixels alone of a whole picture in one of some formats, turned, at most ``longest`` px wide and high.

    ``spare`` is how many times as large it may be when it is unpacked, before it is made smaller. Raises NotAPhoto; of a
    file in another format it says ``other``.
    """
    from PIL import Image, UnidentifiedImageError

    with warnings.catch_warnings(), _whole():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        try:
            with Image.open(io.BytesIO(data), formats=formats) as opened:
                # A JPEG of a telephone may hold several pictures, and is then of a format of its own.
                if opened.width * opened.height > MOST_PIXELS.get(opened.format or "", MOST_PIXELS["JPEG"]):
                    raise NotAPhoto(f"it unpacks to {opened.width} × {opened.height} pixels")
                size = _within(longest, *opened.size)
                opened.draft("RGB", (spare * size[0], spare * size[1]))
                turn = TURNS.get(opened.getexif().get(ORIENTATION, 1))
                # Made small before anything else, so that a large picture is in memory once and not three times.
                plain = opened if opened.mode == "RGB" else opened.convert("RGB")
                small = plain.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)
                plain.close()
        except UnidentifiedImageError:
            raise NotAPhoto(other) from None
        except (Image.DecompressionBombError, Image.DecompressionBombWarning):
            raise NotAPhoto("it unpacks to too many pixels") from None
        except NotAPhoto:
            raise
        except Exception as error:  # decoders raise all sorts of things at bytes made to trip them
            raise NotAPhoto(f"it is damaged ({error})") from None
    if turn is not None:
        small = small.transpose(Image.Transpose(turn))
    # A new picture holds the pixels alone: what the camera wrote beside them is not carried over.
    bare = Image.new("RGB", small.size)
    bare.paste(small)
    return bare


@contextmanager
def _whole() -> Iterator[None]:
    """Take no picture that ends early. WeasyPrint lets Pillow take them, in the whole process from its import on."""
    from PIL import ImageFile

    before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def _coarser(picture: "Picture", kind: str, **options: int) -> bytes:
    data = b""
    for quality in _QUALITIES:
        data = _written(picture, kind, quality=quality, **options)
        if len(data) <= ENOUGH:
            break
    return data


def _written(picture: "Picture", kind: str, **options: int) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, **options)
    return out.getvalue()
