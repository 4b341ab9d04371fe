"""Photos for the page: turned upright, made smaller, written anew, so that place, device and time stay behind."""

import io
import warnings
from dataclasses import dataclass

WIDEST = 1080
MOST_PIXELS = 60_000_000
FORMATS = ("JPEG", "PNG", "WEBP")


class NotAPhoto(ValueError):
    """The file is not a picture that can be shown; the message says why."""


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo ready for a page: WebP, JPEG for readers without it, and its size in pixels."""

    webp: bytes
    jpeg: bytes
    width: int
    height: int


def prepared(data: bytes) -> Photo:
    """A photo without any metadata, at most `WIDEST` pixels wide.

    Raises NotAPhoto for anything but a JPEG, PNG or WebP picture of sensible size.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    with warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        try:
            with Image.open(io.BytesIO(data), formats=FORMATS) as opened:
                if opened.width * opened.height > MOST_PIXELS:
                    raise NotAPhoto(f"it unpacks to {opened.width} × {opened.height} pixels")
                opened.draft("RGB", (2 * WIDEST, 2 * WIDEST))
                upright = ImageOps.exif_transpose(opened).convert("RGB")
        except UnidentifiedImageError:
            raise NotAPhoto("it is not a JPEG, PNG or WebP picture") from None
        except (Image.DecompressionBombError, Image.DecompressionBombWarning):
            raise NotAPhoto("it unpacks to too many pixels") from None
        except (OSError, SyntaxError, ValueError) as error:
            raise error if isinstance(error, NotAPhoto) else NotAPhoto(f"it is damaged ({error})") from None
    # A new picture holds the pixels alone: what the camera wrote beside them is not carried over.
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    bare.thumbnail((WIDEST, WIDEST), Image.Resampling.LANCZOS)
    return Photo(_written(bare, "WEBP", quality=80, method=4), _written(bare, "JPEG", quality=82), *bare.size)


def _written(picture: "Image.Image", kind: str, **options: int) -> bytes:  # type: ignore[name-defined]  # noqa: F821
    out = io.BytesIO()
    picture.save(out, kind, **options)
    return out.getvalue()
