"""QR codes: the right level for the room, small pictures, and another package reads them back."""

import re
import xml.etree.ElementTree as ET

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageChops, ImageDraw

from passport.render.drawing.qr import (
    QUIET,
    QrCode,
    QrTooLarge,
    budget,
    is_alphanumeric,
    qr_matrix,
    qr_path,
    qr_svg,
)

ADDRESS = "HTTPS://RACQUETS.EXAMPLE/P/ABCDEFGHJKLMNPQRSTUVWX"


def loops(code: QrCode) -> list[list[tuple[int, int]]]:
    """The closed outlines in the path data, each as its corners."""
    found: list[list[tuple[int, int]]] = []
    x = y = 0
    for part in re.findall(r"[Mm][^Mm]*", qr_path(code)):
        for letter, numbers in re.findall(r"([Mmhv])([-\d ]+)", part):
            values = [int(n) for n in re.findall(r"-?\d+", numbers)]
            if letter in "Mm":
                start = found[-1][0] if letter == "m" else (0, 0)
                x, y = start[0] + values[0], start[1] + values[1]
                found.append([])
            elif letter == "h":
                x += values[0]
            else:
                y += values[0]
            found[-1].append((x, y))
    return found


def raster(code: QrCode, scale: int = 4) -> Image.Image:
    """The picture that the path draws: each outline turns over what it encloses."""
    image = Image.new("1", (code.side * scale, code.side * scale), 0)
    for loop in loops(code):
        layer = Image.new("1", image.size, 0)
        corners = [(x * scale, y * scale) for x, y in loop]
        # Pillow counts a polygon's right and lower edge in; shrink to the pixels inside.
        draw = ImageDraw.Draw(layer)
        for top in sorted({y for _, y in corners})[:-1]:
            for row in range(top, min(y for _, y in corners if y > top)):
                sides = [
                    x0
                    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True)
                    if x0 == x1 and min(y0, y1) <= row < max(y0, y1)
                ]
                sides.sort()
                for left, right in zip(sides[::2], sides[1::2], strict=True):
                    draw.line([(left, row), (right - 1, row)], fill=1)
        image = ImageChops.logical_xor(image, layer)
    return ImageChops.invert(image.convert("L"))


def read(image: Image.Image) -> list[str]:
    """What the independent decoder reads."""
    return [code.text for code in zxingcpp.read_barcodes(image)]


@pytest.mark.parametrize("text", [ADDRESS, "27 lb / 25 lb, Ø 1.25 mm ± 0.01\nmass 131.4 g", "1", "a" * 300])
def test_path_is_read_back(text: str) -> None:
    """What the path draws is decoded to the text by a package that shares nothing with the encoder."""
    assert read(raster(qr_matrix(text))) == [text]


@given(st.text(st.characters(codec="utf-8", exclude_categories=("Cc",)), min_size=1, max_size=60))
@settings(deadline=None, derandomize=True, max_examples=25)
def test_outline_encloses_the_dark_modules(text: str) -> None:
    """The outlines enclose the dark modules and nothing else, whatever the text."""
    code = qr_matrix(text)
    pixels = raster(code, 1).load()
    assert pixels is not None
    for y in range(code.side):
        for x in range(code.side):
            inside = QUIET <= x < code.side - QUIET and QUIET <= y < code.side - QUIET
            assert (pixels[x, y] == 0) == (inside and code.matrix[y - QUIET][x - QUIET])


def test_covered_code_is_still_read() -> None:
    """With a tenth of the symbol's area covered level H is still read."""
    code = qr_matrix(ADDRESS)
    image = raster(code, 8)
    side = round((len(code.matrix) ** 2 * 0.1) ** 0.5) * 8
    corner = image.width // 2 - side // 2
    image.paste(255, (corner, corner, corner + side, corner + side))
    assert code.level == "H"
    assert read(image) == [ADDRESS]


def test_level_h_where_there_is_room() -> None:
    """Level H is taken where it fits, else Q, and never less."""
    robust = qr_matrix(ADDRESS)
    tight = qr_matrix(ADDRESS.lower(), robust.side + 4)
    assert robust.level == "H"
    assert tight.level == "Q"
    assert qr_matrix(ADDRESS, robust.side).level == "H"


def test_too_large_says_what_to_do() -> None:
    """Where not even level Q fits the error names the size needed and the way out."""
    with pytest.raises(QrTooLarge, match=r"needs 45 modules .* only 30 fit.*upper case"):
        qr_matrix(ADDRESS.lower(), 30)
    with pytest.raises(QrTooLarge, match=r"only 30 fit; shorten the text$"):
        qr_matrix(ADDRESS, 30)
    with pytest.raises(QrTooLarge, match="5000 characters are too many"):
        qr_matrix("x" * 5000)


def test_empty_text_is_refused() -> None:
    """There is no code for nothing."""
    with pytest.raises(ValueError, match="needs a text"):
        qr_matrix("")


def test_upper_case_is_smaller() -> None:
    """An address in upper case takes a smaller symbol than in lower case."""
    assert is_alphanumeric(ADDRESS)
    assert not is_alphanumeric(ADDRESS.lower())
    assert not is_alphanumeric(ADDRESS + "\n")
    assert qr_matrix(ADDRESS).side < qr_matrix(ADDRESS.lower()).side


def test_sizes_in_mm() -> None:
    """Modules and mm convert both ways, quiet zone included."""
    code = qr_matrix(ADDRESS)
    assert code.size_mm(0.5) == code.side * 0.5
    assert code.module_mm(code.size_mm(0.45)) == pytest.approx(0.45)
    assert budget(code.size_mm()) == code.side
    assert budget(18.0) == 45


def test_picture_is_small_and_named() -> None:
    """The SVG is well-formed, below 3 kB, one path on its ground, with title and description, dark on light."""
    out = qr_svg(ADDRESS, "Code <of> 4Q7", key="4Q7", desc="Leads to the page", extra='width="20mm"')
    root = ET.fromstring(out)
    side = qr_matrix(ADDRESS).side
    assert len(out) < 3000
    assert [child.tag.split("}")[1] for child in root] == ["title", "desc", "path", "path"]
    assert root[0].text == "Code <of> 4Q7"
    assert root.get("viewBox") == f"0 0 {side} {side}"
    assert [child.get("fill") for child in root[2:]] == ["#ffffff", "#000000"]
    assert "style=" not in out
