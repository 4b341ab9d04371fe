"""Printed pieces and sheets against what the standards ask of sizes, boxes, tagged PDF and codes."""

import hashlib
import io
import os
import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import page as validation
import pypdf
import pytest
from cardfacts import FRAME, LONG, SHOP
from places import SUPPORT
from printed import KINDS, made, twins
from printread import MM, codes, pages

from passport.render.print.card import card_pdf, card_piece
from passport.render.print.imposition import PAPERS, layout, sheets
from passport.render.print.setcard import set_pieces
from passport.render.print.sticker import sticker_pdf, sticker_piece, wrap_pdf, wrap_piece
from passport.render.print.tag import tag_pdf, tag_piece
from passport.render.theme.address import public_address

SIZES = {
    "card": (85.60, 53.98),  # ISO/IEC 7810, ID-1
    "set": (105.0, 148.0),  # ISO 216, A6
    "tag": (60.0, 125.0),  # common practice, no source: swing tags have no standard
    "sticker": (34.0, 40.0),  # common practice, no source
    "wrap": (84.0, 34.0),  # common practice, no source
    "round": (48.0, 48.0),  # common practice, no source
}
SHEETS = {
    "a4": (210.0, 297.0),  # ISO 216, A4
    "letter": (215.9, 279.4),  # ANSI/ASME Y14.1 size A, 8.5 × 11 in
}
BLEED = 3.0
"""What print shops ask for (common practice, no source), mm."""
REGISTER = 0.1
"""How far front and back may be off in the PDF's geometry, mm (common practice, no source)."""


def pieces(kind: str) -> list:
    """Three pieces of a kind."""
    player, group = twins(3)
    if kind == "set":
        return list(set_pieces(player, group, SHOP))
    if kind in ("sticker", "round"):
        return [sticker_piece(frame, SHOP, circular=kind == "round") for frame in group.frames]
    make = {"card": card_piece, "tag": tag_piece, "wrap": wrap_piece}[kind]
    return [make(frame, SHOP) for frame in group.frames]


@cache
def sheet(kind: str, paper: str) -> bytes:
    """Three pieces on a sheet of which the first place is used."""
    return sheets(pieces(kind), PAPERS[paper], skip=1)


def size(box) -> tuple[float, float]:
    """Width and height of a box in mm."""
    return float(box.width) / MM, float(box.height) / MM


@pytest.mark.parametrize("kind", KINDS)
def test_sizes_after_cutting(kind) -> None:
    """MediaBox and TrimBox of a piece have its size within 0.05 mm."""
    for one in pypdf.PdfReader(io.BytesIO(made(kind))).pages:
        assert size(one.mediabox) == pytest.approx(SIZES[kind], abs=0.05)
        assert size(one.trimbox) == pytest.approx(SIZES[kind], abs=0.05)


@pytest.mark.parametrize("kind", KINDS)
def test_boxes_with_bleed(kind) -> None:
    """With bleed the TrimBox has the piece's size, the BleedBox 3 mm more on each side, both in the MediaBox's middle."""
    for one in pypdf.PdfReader(io.BytesIO(made(kind, bleed=True))).pages:
        trim, bleed, media = one.trimbox, one.bleedbox, one.mediabox
        assert size(trim) == pytest.approx(SIZES[kind], abs=0.01)
        for inner, outer, distance in ((trim, bleed, BLEED),):
            assert float(inner.left - outer.left) / MM == pytest.approx(distance, abs=0.01)
            assert float(inner.bottom - outer.bottom) / MM == pytest.approx(distance, abs=0.01)
            assert float(outer.right - inner.right) / MM == pytest.approx(distance, abs=0.01)
            assert float(outer.top - inner.top) / MM == pytest.approx(distance, abs=0.01)
        assert float(media.right - trim.right) == pytest.approx(float(trim.left - media.left), abs=0.1)
        assert float(media.top - trim.top) == pytest.approx(float(trim.bottom - media.bottom), abs=0.1)


@pytest.mark.parametrize("kind", KINDS)
def test_crop_marks_stand_at_the_trim_box(kind) -> None:
    """With bleed eight marks stand at the TrimBox's corners, outside the BleedBox."""
    data = made(kind, bleed=True)
    for plain, one in zip(pages(data), pypdf.PdfReader(io.BytesIO(data)).pages, strict=True):
        trim, bleed = one.trimbox, one.bleedbox
        marks = [line for line in plain.lines if abs(line["linewidth"] - 0.09 * MM) < 0.02]
        upright = sorted({round(m["x0"], 1) for m in marks if m["height"] > m["width"]})
        level = sorted({round(plain.height - m["top"], 1) for m in marks if m["width"] > m["height"]})
        assert upright == pytest.approx([float(trim.left), float(trim.right)], abs=0.15)
        assert level == pytest.approx([float(trim.bottom), float(trim.top)], abs=0.15)
        assert len(marks) == 8
        for m in marks:
            beside = m["x1"] < bleed.left or m["x0"] > bleed.right
            assert beside or plain.height - m["bottom"] > bleed.top or plain.height - m["top"] < bleed.bottom


@pytest.mark.parametrize("paper", SHEETS)
@pytest.mark.parametrize("kind", KINDS)
def test_sheet_sizes(kind, paper) -> None:
    """Every page of a sheet has the paper's size within 0.05 mm."""
    for one in pypdf.PdfReader(io.BytesIO(sheet(kind, paper))).pages:
        assert size(one.mediabox) == pytest.approx(SHEETS[paper], abs=0.05)


@pytest.mark.parametrize("paper", SHEETS)
@pytest.mark.parametrize("kind", ["card", "tag", "set"])
def test_front_and_back_are_in_register(kind, paper) -> None:
    """Seen through the sheet, turned over on its long edge, the backs' marks lie within 0.1 mm of the fronts'."""
    front, back = pages(sheet(kind, paper))
    width = SHEETS[paper][0]
    found = []
    for side in (front, back):
        marks = [line for line in side.lines if abs(line["linewidth"] - 0.09 * MM) < 0.02]
        upright = sorted({round(m["x0"] / MM, 2) for m in marks if m["height"] > m["width"]})
        level = sorted({round(m["top"] / MM, 2) for m in marks if m["width"] > m["height"]})
        found.append((upright, level))
    mirrored = sorted(width - x for x in found[1][0])
    assert found[0][0] == pytest.approx(mirrored, abs=REGISTER)
    assert found[0][1] == pytest.approx(found[1][1], abs=REGISTER)
    assert len(found[0][0]) >= 2 and len(found[0][1]) >= 2


def test_the_print_itself_is_in_register() -> None:
    """The light fields on a card's front and back reach the same edges of the card in the sheet.

    On A4 a card stands upright: the field on its front begins 3 mm left of it, that on its back ends 3 mm right of it,
    which is the same physical edge.
    """
    front, back = pages(sheet("card", "a4"))
    fields = sorted(r["x0"] / MM for r in front.rects if abs(r["width"] - 65 * MM) < 0.5)
    strips = sorted(210.0 - r["x1"] / MM for r in back.rects if abs(r["width"] - 63.6 * MM) < 0.5)
    assert len(fields) == len(strips) == 3
    assert fields == pytest.approx(strips, abs=REGISTER)
    lows = sorted(r["bottom"] / MM for r in front.rects if abs(r["width"] - 65 * MM) < 0.5)
    other = sorted(r["bottom"] / MM for r in back.rects if abs(r["width"] - 63.6 * MM) < 0.5)
    assert lows == pytest.approx(other, abs=REGISTER)


def test_holes_of_tags_on_a_sheet_are_in_register() -> None:
    """The discs that mark the holes of tags lie on each other, front and back, within 0.1 mm."""
    centres = []
    for side in pages(sheet("tag", "a4")):
        discs = [c for c in side.curves if abs(c["width"] - 5 * MM) < 0.05 and set(c["non_stroking_color"]) == {1.0}]
        centres.append(sorted(((c["x0"] + c["x1"]) / 2 / MM, (c["top"] + c["bottom"]) / 2 / MM) for c in discs))
    assert len(centres[0]) == 3
    mirrored = sorted((210.0 - x, y) for x, y in centres[1])
    for here, there in zip(centres[0], mirrored, strict=True):
        assert here == pytest.approx(there, abs=REGISTER)


@pytest.mark.parametrize("paper", SHEETS)
def test_each_back_belongs_to_its_front(paper) -> None:
    """Behind each tag's front is the back of the same tag: the number printed on one is in the code on the other."""
    data, plan = sheet("tag", paper), layout(PAPERS[paper], pieces("tag")[0].format)
    front = next(pages(data))
    found = {}
    for code in codes(data, 1):
        middle = (code.position.top_left.x + code.position.bottom_right.x) / 2 / 300 * 25.4
        found[code.text.splitlines()[1].partition(" ")[0]] = SHEETS[paper][0] - middle
    assert len(found) == 3
    for place, number in enumerate(found_numbers(), start=1):
        cell = plan.cell(place)
        assert found[number] == pytest.approx(cell.left + cell.width / 2, abs=1.0)
        box = tuple(v * MM for v in (cell.left, cell.top, cell.left + cell.width, cell.top + cell.height))
        assert number in front.crop(box).extract_text()


def found_numbers() -> list[str]:
    """The numbers of the three tags in their order."""
    return [piece.number for piece in pieces("tag")]


@pytest.mark.parametrize("bleed", [False, True])
@pytest.mark.parametrize("kind", KINDS)
def test_pieces_are_pdf_ua(kind, bleed) -> None:
    """A piece, with and without bleed, passes every check of PDF/UA-1 (ISO 14289-1) that page-validation makes."""
    report = validation.validate_pdf_bytes(made(kind, bleed=bleed), profile="ua1")
    assert report.is_compliant, report.failures
    assert report.rules.failed == 0 and report.rules.passed > 50


@pytest.mark.parametrize("paper", SHEETS)
@pytest.mark.parametrize("kind", KINDS)
def test_sheets_are_pdf_ua(kind, paper) -> None:
    """A sheet passes every check of PDF/UA-1 (ISO 14289-1) that page-validation makes."""
    report = validation.validate_pdf_bytes(sheet(kind, paper), profile="ua1")
    assert report.is_compliant, report.failures
    assert report.rules.failed == 0


@pytest.mark.parametrize("kind", KINDS)
def test_pictures_have_words(kind) -> None:
    """Every figure of a sheet has an alternative text (ISO 14289-1, 7.3), a code the address or recipe it holds or is of."""
    reader = pypdf.PdfReader(io.BytesIO(sheet(kind, "a4")))
    (whole,) = reader.trailer["/Root"]["/StructTreeRoot"]["/K"]
    figures = [o for o in _elements(whole.get_object()) if o["/S"] == "/Figure"]
    assert len(figures) >= 2
    assert all(str(o.get("/Alt", "")).strip() for o in figures)


def _elements(element):
    yield element
    kids = element.get("/K", [])
    for kid in kids if isinstance(kids, list) else [kids]:
        found = kid.get_object()
        if isinstance(found, pypdf.generic.DictionaryObject) and "/S" in found:
            yield from _elements(found)


@pytest.mark.parametrize("kind", KINDS)
def test_fonts_are_embedded(kind) -> None:
    """Every font of a sheet is embedded (ISO 14289-1, 7.21.4.1), and each is in it once."""
    reader = pypdf.PdfReader(io.BytesIO(sheet(kind, "a4")))
    names = set()
    for one in reader.pages:
        for font in one["/Resources"]["/Font"].values():
            descriptor = font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
            assert {"/FontFile2", "/FontFile3"} & set(descriptor), descriptor["/FontName"]
            names.add(descriptor["/FontName"])
    assert 1 <= len(names) <= 3


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("dpi", [150, 300])
def test_codes_of_pieces_are_read_at_150_and_300_dpi(kind, dpi) -> None:
    """Another package reads every code of a piece from a raster at 150 and at 300 dots per inch: one that leads to a page at
    level Q or H, a recipe, whose code is large, at M or better.
    """
    data = made(kind)
    found = [code for n in range(len(pypdf.PdfReader(io.BytesIO(data)).pages)) for code in codes(data, n, dpi)]
    assert len(found) == {"card": 1, "tag": 2, "sticker": 1, "round": 1, "wrap": 1, "set": 4}[kind]
    assert {code.ec_level for code in found if code.text.startswith("HTTPS")} <= {"Q", "H"}
    assert {code.ec_level for code in found} <= {"M", "Q", "H"}


@pytest.mark.parametrize("dpi", [150, 300])
@pytest.mark.parametrize("make", [card_pdf, tag_pdf, sticker_pdf, wrap_pdf])
def test_the_code_of_a_sealed_passport_is_read_at_150_and_300_dpi(make, dpi) -> None:
    """So is the longer code of a sealed passport, with the secret in it."""
    sealed = replace(FRAME, sealed=True, secret="Q7ZK3M9XV2B4T8RWD5NHC6YFJAG1E0PS")
    data = make(sealed, SHOP)
    found = [code for n in range(len(pypdf.PdfReader(io.BytesIO(data)).pages)) for code in codes(data, n, dpi)]
    assert public_address(SHOP, FRAME.key, sealed.secret) in {code.text for code in found}
    assert {code.ec_level for code in found} <= {"Q", "H"}


def test_same_bytes_in_another_process(tmp_path) -> None:
    """Another process, in another folder, day, time zone and hash seed, makes the same pieces and sheets byte for byte."""
    script = (
        "import hashlib\n"
        "from printed import KINDS, made\n"
        "from test_ref_printed import sheet\n"
        "for kind in KINDS:\n"
        "    for data in (made(kind), made(kind, bleed=True), sheet(kind, 'a4')): print(hashlib.sha256(data).hexdigest())"
    )
    env = os.environ | {
        "TZ": "Pacific/Auckland", "PYTHONHASHSEED": "3", "SOURCE_DATE_EPOCH": "1000000000",
        "PYTHONPATH": os.pathsep.join(str(folder) for folder in (Path(__file__).parent, SUPPORT)),
    }  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=tmp_path, env=env
    )
    mine = [data for kind in KINDS for data in (made(kind), made(kind, bleed=True), sheet(kind, "a4"))]
    assert done.stdout.split() == [hashlib.sha256(data).hexdigest() for data in mine]


def test_a_sheet_in_two_languages_names_both() -> None:
    """Cards for players of two languages on one sheet: each side is marked with its own (ISO 14289-1, 7.2)."""
    german = replace(LONG, language="de")
    data = sheets([card_piece(FRAME, SHOP), card_piece(german, SHOP)], PAPERS["a4"])
    reader = pypdf.PdfReader(io.BytesIO(data))
    (whole,) = reader.trailer["/Root"]["/StructTreeRoot"]["/K"]
    sections = [o.get("/Lang") for o in _elements(whole.get_object()) if o["/S"] == "/Sect"]
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert sections == [None, "de", None, "de"]
    assert validation.validate_pdf_bytes(data, profile="ua1").is_compliant
