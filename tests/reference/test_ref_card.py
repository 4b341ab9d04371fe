"""The demo's cards against what the standards ask of a card, a code and a tagged PDF."""

import hashlib
import io
import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import page
import pypdf
import pypdfium2
import pytest
import zxingcpp

from passport.records.load import load
from passport.render.print.card import card_pdf
from passport.render.theme.address import public_address
from passport.render.theme.assets import shipped
from passport.workshop.gathering.gather import site_facts

POINT = 25.4 / 72
"""mm in a point of PDF's default user space, 1/72 in (ISO 32000-1, 8.3.2.3)."""
ID_1 = (85.60, 53.98)
"""Width and height of an ID-1 card, mm (ISO/IEC 7810)."""
DPI = 300
QUIET = 4
"""Light modules that a code needs on each side (ISO/IEC 18004)."""


@cache
def site():
    """The facts of the shipped demo."""
    return site_facts(load(shipped("content_demo"))[0])


FRAMES = [frame.number for frame in site().frames]


@cache
def made(number: str) -> bytes:
    """The card of a frame of the demo."""
    frame = next(f for f in site().frames if f.number == number)
    return card_pdf(frame, site().shop)


@cache
def raster(number: str):
    """The back of a card at 300 dpi, in grey."""
    return pypdfium2.PdfDocument(made(number))[1].render(scale=DPI / 72).to_pil().convert("L")


def code(number: str):
    """The code on the back as zxing-cpp reads it."""
    (found,) = zxingcpp.read_barcodes(raster(number))
    return found


@pytest.mark.parametrize("number", FRAMES)
@pytest.mark.parametrize("box", ["mediabox", "trimbox"])
def test_size_is_id_1(number, box) -> None:
    """Front and back are 85.60 × 53.98 mm within 0.05 mm (ISO/IEC 7810, ID-1)."""
    pages = pypdf.PdfReader(io.BytesIO(made(number))).pages
    assert len(pages) == 2
    for one in pages:
        rectangle = getattr(one, box)
        size = (float(rectangle.width) * POINT, float(rectangle.height) * POINT)
        assert size == pytest.approx(ID_1, abs=0.05)


@pytest.mark.parametrize("number", FRAMES)
def test_pdf_ua(number) -> None:
    """A card passes every check of PDF/UA-1 (ISO 14289-1) that page-validation makes."""
    report = page.validate_pdf_bytes(made(number), profile="ua1")
    assert report.is_compliant, report.failures
    assert report.rules.failed == 0 and report.rules.passed > 50


@pytest.mark.parametrize("number", FRAMES)
def test_fonts_are_embedded(number) -> None:
    """Every font is embedded (ISO 14289-1, 7.21.4.1) and is one of the two that are shipped."""
    reader = pypdf.PdfReader(io.BytesIO(made(number)))
    found = set()
    for sheet in reader.pages:
        for font in sheet["/Resources"]["/Font"].values():
            bottom = font.get_object()["/DescendantFonts"][0].get_object()
            descriptor = bottom["/FontDescriptor"].get_object()
            assert {"/FontFile2", "/FontFile3"} & set(descriptor), descriptor["/FontName"]
            found.add(descriptor["/FontName"].partition("+")[2])
    assert found and all(name.startswith(("House-Display", "House-Text")) for name in found), found


@pytest.mark.parametrize("number", FRAMES)
def test_code_is_read_by_another_package(number) -> None:
    """The code on the raster of the back is the passport's public address, at level Q or H (ISO/IEC 18004)."""
    frame = next(f for f in site().frames if f.number == number)
    found = code(number)
    assert found.text == public_address(site().shop, frame.key, frame.secret)
    assert found.ec_level in ("Q", "H")


def corners(number: str):
    """The corners of the code in pixels, clockwise from the top left, and its modules on a side."""
    found = code(number)
    p = found.position
    return (p.top_left, p.top_right, p.bottom_right, p.bottom_left), 17 + 4 * int(found.extra["Version"])


@pytest.mark.parametrize("number", FRAMES)
def test_module_is_large_enough(number) -> None:
    """A module is at least 0.65 mm wide, which tests/reference/test_ref_whole_pieces.py asks for, by the raster's own measure.

    A symbol of version v has 17 + 4·v modules on a side (ISO/IEC 18004).
    """
    (left, right, _, _), modules = corners(number)
    side = (right.x - left.x + 1) / DPI * 25.4
    assert side / modules >= 0.65 - 0.01
    assert side / modules < 0.8


@pytest.mark.parametrize("number", FRAMES)
def test_quiet_zone_is_light(number) -> None:
    """Four modules round the code are white (ISO/IEC 18004)."""
    (top_left, top_right, _, bottom_left), modules = corners(number)
    module = (top_right.x - top_left.x + 1) / modules
    # The decoder's corners are right to a few pixels; the symbol's own dark edges are found from there.
    near = (top_left.x - module, top_left.y - module, top_right.x + module, bottom_left.y + module)
    corner = [round(v) for v in near]
    dark = raster(number).crop(tuple(corner)).point(lambda grey: 255 if grey < 128 else 0).getbbox()
    left, top, right, low = (edge + corner[i % 2] for i, edge in enumerate(dark))
    module = (right - left) / modules
    reach = QUIET * module - 2
    picture = raster(number).crop(tuple(round(v) for v in (left - reach, top - reach, right + reach, low + reach)))
    inner = (reach - 1, reach - 1, picture.width - reach + 1, picture.height - reach + 1)
    picture.paste(255, tuple(round(v) for v in inner))
    assert picture.getextrema()[0] > 250


def test_same_bytes_in_another_process(tmp_path) -> None:
    """Another process, in another folder, time zone and hash seed, makes the same cards byte for byte."""
    root = Path(shipped("content_demo"))
    script = (
        "import hashlib; from pathlib import Path\n"
        "from passport.workshop.gathering.gather import site_facts; from passport.records.load import load\n"
        "from passport.render.print.card import card_pdf\n"
        f"site = site_facts(load(Path({str(root)!r}))[0])\n"
        "for frame in site.frames: print(frame.number, hashlib.sha256(card_pdf(frame, site.shop)).hexdigest())"
    )
    env = os.environ | {"TZ": "Pacific/Auckland", "PYTHONHASHSEED": "3", "SOURCE_DATE_EPOCH": "1000000000"}
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=tmp_path, env=env
    )
    there = dict(line.split() for line in done.stdout.splitlines())
    assert there == {number: hashlib.sha256(made(number)).hexdigest() for number in FRAMES}
