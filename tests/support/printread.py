"""Reading printed pieces back: letters with their ink and ground, boxes in mm, codes as another package sees them."""

import io
import re
from collections import Counter

import pdfplumber
import pypdf
import pypdfium2
import zxingcpp
from PIL import Image

from passport.render.theme.palette import contrast, luminance

MM = 72 / 25.4
"""Points in a millimetre (ISO 32000-1, 8.3.2.3)."""


def pages(data: bytes):
    """The pages as pdfplumber reads them."""
    with pdfplumber.open(io.BytesIO(data)) as document:
        yield from document.pages


def text(data: bytes, page: int) -> str:
    """The words of a page in the order of the document, spaces made plain."""
    content = pypdf.PdfReader(io.BytesIO(data)).pages[page].extract_text()
    return " ".join(re.sub("[\u202f\u00a0]", " ", content).split())


def inked(char) -> tuple[float, float, float, float]:
    """The box of an upright letter from its baseline to the height of a capital: x0, x1, low, high, pt from below."""
    base = char["matrix"][5]
    return char["x0"], char["x1"], base, base + 0.7 * char["size"]


def raster(data: bytes, page: int, dpi: float = 300) -> Image.Image:
    """A page in colour."""
    return pypdfium2.PdfDocument(data)[page].render(scale=dpi / 72).to_pil().convert("RGB")


def codes(data: bytes, page: int, dpi: float = 300) -> list[zxingcpp.Barcode]:
    """The codes on a page."""
    return zxingcpp.read_barcodes(raster(data, page, dpi).convert("L"))


def overlaps(page) -> list[tuple[str, str]]:
    """Pairs of letters that lie on each other."""
    boxes = sorted((inked(c), c["text"], c["size"]) for c in page.chars if not c["text"].isspace())
    found = []
    for i, ((_, x1, low, high), letter, size) in enumerate(boxes):
        for (x2, x3, low2, high2), other, _ in boxes[i + 1 :]:
            if x2 >= x1:
                break
            # A full stop may stand under the arm of the letter before it.
            if min(x1, x3) - x2 > max(0.8, 0.15 * size) and min(high, high2) - max(low, low2) > 0.3:
                found.append((letter, other))
    return found


def grounds(data: bytes, page: int) -> list[tuple[str, str, str]]:
    """Each letter of a page with its colour and the colour that most of its surroundings have in the raster."""
    picture = raster(data, page)
    per_pt = 300 / 72
    found = []
    for char in list(pages(data))[page].chars:
        if not char["text"].isspace():
            box = (char["x0"] - 1, char["top"] - 1, char["x1"] + 1, char["bottom"] + 1)
            near = picture.crop(tuple(round(v * per_pt) for v in box))
            ink = _hex(round(255 * c) for c in _rgb(char["non_stroking_color"]))
            others = Counter(near.get_flattened_data() if hasattr(near, "get_flattened_data") else near.getdata())
            ground = next(_hex(c) for c, _ in others.most_common() if contrast(_hex(c), ink) > 1.5)
            found.append((char["text"], ink, ground))
    return found


def black_and_white(colour: str) -> bool:
    """Whether a colour is printed as paper, not as black, where a printer knows only the two: lighter than mid grey."""
    return luminance(colour) > luminance("#808080")


def _rgb(colour) -> tuple[float, ...]:
    return tuple(colour) * 3 if len(colour) == 1 else tuple(colour)


def _hex(channels) -> str:
    return "#" + "".join(f"{c:02x}" for c in channels)
