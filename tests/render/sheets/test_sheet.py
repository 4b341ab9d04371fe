"""Bench sheets on paper: two A5 pages or one of A4, everything on them, nothing over anything else."""

import hashlib
import io
import logging
import os
import re
import subprocess
import sys
from dataclasses import dataclass, replace
from functools import cache

import page as validation
import pdfplumber
import pypdf
import pypdfium2
import pytest
import zxingcpp
from places import SUPPORT
from rebuildshop import PARTS, bench
from sheetfacts import SHOP, crowded, hopeless, long, matched, ordinary, the_set

from passport.render.sheets.sheet import match_pdf, rebuild_pdf
from passport.render.theme import assets
from passport.workshop.rebuild.rebuild import rebuild
from passport.workshop.rebuild.workorder import work_order

MM = 72 / 25.4
REBUILDS = {"ordinary": ordinary, "hopeless": hopeless, "long": long, "crowded": crowded}
PAGES = {"ordinary": 2, "hopeless": 2, "long": 2, "crowded": 4}


@pytest.fixture(autouse=True)
def quiet(caplog):
    """WeasyPrint warns of nothing."""
    yield
    said = [r.getMessage() for r in caplog.records if r.name == "weasyprint" and r.levelno >= logging.WARNING]
    assert said == []


@dataclass(frozen=True)
class Made:
    """The sheet of one kind of rebuild on one paper, with its pages as pdfplumber reads them."""

    name: str
    paper: str
    data: bytes
    pages: list


@pytest.fixture(scope="module", params=[(name, paper) for name in REBUILDS for paper in ("a5", "a4")])
def made(request) -> Made:
    """The sheet of one kind of rebuild on one paper."""
    name, paper = request.param
    data = rebuild_pdf([REBUILDS[name]()], SHOP, paper)
    return Made(name, paper, data, list(pages(data)))


@cache
def sheet_of(name: str) -> bytes:
    """The A5 sheet of one kind of rebuild."""
    return rebuild_pdf([REBUILDS[name]()], SHOP)


def pages(data: bytes):
    """The pages as pdfplumber reads them."""
    with pdfplumber.open(io.BytesIO(data)) as document:
        yield from document.pages


def text(data: bytes, page: int | None = None) -> str:
    """The words of a page, or of all, in the order of the document, spaces made plain."""
    found = pypdf.PdfReader(io.BytesIO(data)).pages
    content = " ".join(p.extract_text() for i, p in enumerate(found) if page in (None, i))
    return " ".join(content.replace("\u202f", " ").replace("\xa0", " ").split())


def inked(char) -> tuple[float, float, float, float]:
    """The box of a letter from its baseline to the height of a capital: x0, x1, low, high, pt from the bottom left."""
    base = char["matrix"][5]
    return char["x0"], char["x1"], base, base + 0.7 * char["size"]


def test_a5_has_two_pages_and_a4_one(made):
    """A sheet is two A5 pages, or one A4 page across; a crowded one has twice as many."""
    assert len(made.pages) == PAGES[made.name] / (1 if made.paper == "a5" else 2)
    wide, high = (148, 210) if made.paper == "a5" else (297, 210)
    for page in made.pages:
        assert (page.width / MM, page.height / MM) == pytest.approx((wide, high), abs=0.1)


def test_no_text_is_smaller_than_7_pt(made):
    """No letter is set smaller than 7 pt, drawings and charts included; raised figures excepted."""
    for page in made.pages:
        for char in page.chars:
            assert char["size"] > 6.98 or char["text"] in "²", (char["text"], char["size"])


def test_text_keeps_from_the_edges(made):
    """Every letter stays 6 mm inside the paper, where office printers do not reach."""
    for page in made.pages:
        for char in page.chars:
            x0, x1, low, high = inked(char)
            assert x0 > 6 * MM and x1 < page.width - 6 * MM, char["text"]
            assert low > 6 * MM and high < page.height - 6 * MM, char["text"]


def test_no_text_over_other_text(made):
    """No two letters lie on each other."""
    for page in made.pages:
        boxes = sorted((inked(c), c["text"]) for c in page.chars if not c["text"].isspace())
        for i, ((x0, x1, low, high), letter) in enumerate(boxes):
            for (x2, x3, low2, high2), other in boxes[i + 1 :]:
                if x2 >= x1:
                    break
                wide, tall = min(x1, x3) - x2, min(high, high2) - max(low, low2)
                assert not (wide > 0.8 and tall > 0.3), (letter, other, x0, low)


def test_halves_of_a4_are_the_pages_of_a5():
    """On A4 the left half says what the first A5 page says, the right half what the second does."""
    small, large = (rebuild_pdf([ordinary()], SHOP, paper) for paper in ("a5", "a4"))
    (page,) = pages(large)
    halves = [page.crop((0, 0, page.width / 2, page.height)), page.crop((page.width / 2, 0, page.width, page.height))]
    for half, a5 in zip(halves, pages(small), strict=True):
        assert sorted(c["text"] for c in half.chars) == sorted(c["text"] for c in a5.chars)


def test_tags_language_and_fonts(made):
    """The sheet is tagged PDF/UA-1 with title and language, its fonts embedded, its tables with headers, its pictures
    with words."""
    reader = pypdf.PdfReader(io.BytesIO(made.data))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] and root["/Lang"] == "en"
    assert reader.metadata.title.endswith("bench sheet")
    assert 'pdfuaid:part="1"' in root["/Metadata"].get_object().get_data().decode()
    kinds = {"/TH": 0, "/Figure": 0}
    for i in range(1, len(reader.xref_objStm) + max(reader.xref[0]) + 1):
        element = reader.get_object(i)
        if isinstance(element, dict) and element.get("/Type") == "/StructElem" and element.get("/S") in kinds:
            kinds[element["/S"]] += 1
            if element["/S"] == "/Figure":
                assert element["/Alt"]
        if isinstance(element, dict) and element.get("/Type") == "/FontDescriptor":
            assert "/FontFile2" in element or "/FontFile3" in element
    assert kinds["/TH"] > 20 and kinds["/Figure"] >= 2


def test_it_is_pdf_ua(made):
    """The sheet passes every check of PDF/UA-1 (ISO 14289-1) that page-validation makes."""
    report = validation.validate_pdf_bytes(made.data, profile="ua1")
    assert report.is_compliant, report.failures
    assert report.rules.failed == 0 and report.rules.passed > 50


def test_the_sheet_of_a_set_is_pdf_ua():
    """So does the sheet of frames that are made equal."""
    report = validation.validate_pdf_bytes(match_pdf(the_set(), SHOP), profile="ua1")
    assert report.is_compliant, report.failures
    assert report.rules.failed == 0 and report.rules.passed > 50


def test_it_prints_on_a_black_printer(made):
    """Nothing depends on colour: every ink is black, white or a grey with hardly a tint."""
    for page in made.pages:
        for thing in (*page.chars, *page.rects, *page.curves, *page.lines):
            for key in ("non_stroking_color", "stroking_color"):
                ink = thing.get(key)
                if ink and len(ink) == 3:
                    assert max(ink) - min(ink) < 0.13, ink


def test_front_says_what_to_build():
    """The front has both frames, the pieces with place, cut and mass, grips, figures, strings in lb and kg, cautions."""
    found = ordinary()
    front = text(sheet_of("ordinary"), 0)
    plan, f = found.plans[0], found.frame
    for words in (
        f.number, f.label, f.player, found.blank.name, "25 November 2026", "plan: ", "Alder Larch 98", "330.0 ± 1.0",
        "320.0 ± 1.5", "318.0 ± 1.5", "24.0 kg / 52.9 lb", "25.9 kg / 57 lb", "Reed", "16 × 19",
        "Cushion grip, 14.0 g", "Leather grip", "Sleeve", "predicted", "Predicted, not measured", "ventilate",
        "eye protection", "neither strung nor played", "local rules and licensed practice", "mm from the butt",
    ):  # fmt: skip
        assert words in front, words
    for piece in plan.additions:
        assert piece.name in front and f"{piece.from_mm:.0f}–{piece.to_mm:.0f}" in front
        if piece.length_mm:
            assert f"{'2 × ' if piece.count == 2 else ''}{piece.length_mm:g} mm" in front
    for quantity in ("mass", "balance", "swingweight"):
        for figures in (found.measured, found.start, plan.predicted):
            figure = figures.get(quantity)
            assert f"{figure.value:.1f} ± {2 * figure.u:.1f}" in front


def test_back_says_in_which_order():
    """The back has each step with the figures to expect, the trial first, the grams, other plans, limits, a place to
    sign."""
    found = ordinary()
    back = text(sheet_of("ordinary"), 1)
    for stage in work_order(found, found.plans[0]):
        if stage.after:
            row = f"{stage.after.mass:.1f} {stage.after.balance:.1f} {stage.after.swingweight():.1f}"
            assert row in back, (stage.kind, row)
    for effect in found.effects:
        assert f"{effect.balance_mm:+.2f}".replace("-", "−") in back
        assert f"{effect.swingweight_kgcm2:+.2f}" in back and f"{effect.room_g:.1f}" in back
    assert back.index("Trial: putty") < back.index("take the putty off") < back.index("on a clean, dry frame")
    for words in ("329.0 – 331.0", "318.5 – 321.5", "316.5 – 319.5", "Done by", "Date", "The outline holds"):
        assert words in back, words


def test_other_plans_are_told_in_short():
    """A further plan stands on the back in one sentence, with what it takes and what comes out."""
    found = ordinary()
    (first, *_) = found.plans
    more = replace(first, additions=tuple(replace(p, mass_g=p.mass_g + 0.5) for p in first.additions))
    back = text(rebuild_pdf([replace(found, plans=(first, more))], SHOP), 1)
    assert "Plan 2: " in back
    for piece in more.additions:
        assert f"{piece.mass_g:.1f} g" in back
    assert f"{first.predicted.mass.value:.1f} g, {first.predicted.balance.value:.1f} mm" in back


def test_the_commands_that_follow_can_be_typed():
    """The back ends with the commands that take the readings into the records, each sign of them as it is typed."""
    back = text(sheet_of("ordinary"), 1)
    assert "passport issue CONTENT ada/NEW --replaces 1001-5, then passport log CONTENT ada/NEW" in back
    own = text(match_pdf(the_set(), SHOP))
    assert "passport log CONTENT 1002-3 with what was fitted" in own or "passport log CONTENT 1003-1 with" in own


def test_boxes_to_write_in():
    """Beside each expected figure there is an empty box, at least 12 mm wide and 5 mm high, and each figure has one."""
    found = ordinary()
    _, back = pages(sheet_of("ordinary"))
    rows = sum(stage.after is not None for stage in work_order(found, found.plans[0]))
    (work, *_) = sorted(back.find_tables(), key=lambda t: -len(t.cells))
    boxes = [c for c in work.cells if (c[2] - c[0]) > 12 * MM and (c[3] - c[1]) > 5 * MM]
    empty = [c for c in boxes if not back.crop(c).extract_text().strip()]
    assert len(empty) >= 3 * rows


def test_what_holds_it_back_is_said_first():
    """Where nothing reaches the target the sheet says so in its head, says why, and what taking things off would do."""
    data = sheet_of("hopeless")
    front, back = text(data, 0), text(data, 1)
    assert "plan: the nearest, out of reach" in front
    assert hopeless().obstacles[0].text in front
    assert "build it only if the player agrees" in front
    assert "None of these brings the target into reach." in back
    assert "none of its mixes has the target’s swingweight" in back


def test_names_of_forty_letters_and_every_caution_fit():
    """The longest names, notes and all cautions are on the front, whole."""
    front = text(sheet_of("long"), 0)
    for words in ("Lead: cover the tape", "acetic acid", "Heat on a sleeve", "23.6 kg", "pre-stretch 10 %"):
        assert words in front, words
    assert long().frame.stringing.crosses.name in front
    assert long().blank.name in front


def test_lead_on_the_frame_is_told_though_none_is_added():
    """Tape that is on the frame already counts for the caution."""
    found = ordinary()
    tape = next(p for p in found.plans[0].additions if p.kind == "tape")
    there = replace(found, stays=(*found.stays, replace(tape, name="Lead tape", material="lead")))
    assert "Lead: cover the tape" not in text(rebuild_pdf([found], SHOP), 0)
    assert "Lead: cover the tape" in text(rebuild_pdf([there], SHOP), 0)


def test_markup_in_names_is_text():
    """Angle brackets, ampersands and template marks in a name are printed, never read."""
    found = ordinary()
    odd = replace(found, frame=replace(found.frame, label="<b>&amp; {{ 7*7 }}</b>", note="a < b & c"))
    front = text(rebuild_pdf([odd], SHOP), 0)
    assert "<b>&amp; {{ 7*7 }}</b>" in front and "a < b & c" in front


def test_several_rebuilds_are_one_document():
    """The sheets of several frames follow each other, each on its own leaf."""
    data = rebuild_pdf([ordinary(), hopeless()], SHOP)
    assert len(list(pages(data))) == 4
    assert "plan: " in text(data, 0) and "out of reach" in text(data, 2)


def test_the_same_plan_gives_the_same_bytes():
    """Made twice, a sheet is the same to the last byte."""
    assert rebuild_pdf([ordinary()], SHOP) == rebuild_pdf([ordinary()], SHOP)


def test_same_bytes_in_another_process(tmp_path):
    """Another process, in another folder, day, time zone and hash seed, makes the same sheets byte for byte."""
    script = (
        "import hashlib\n"
        "from sheetfacts import SHOP, ordinary, the_set\n"
        "from passport.render.sheets.sheet import match_pdf, rebuild_pdf\n"
        "for data in (rebuild_pdf([ordinary()], SHOP), match_pdf(the_set(), SHOP)):\n"
        "    print(hashlib.sha256(data).hexdigest())"
    )
    env = os.environ | {
        "TZ": "Pacific/Auckland", "PYTHONHASHSEED": "3", "SOURCE_DATE_EPOCH": "1000000000",
        "PYTHONPATH": str(SUPPORT),
    }  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=tmp_path, env=env
    )
    mine = (rebuild_pdf([ordinary()], SHOP), match_pdf(the_set(), SHOP))
    assert done.stdout.split() == [hashlib.sha256(data).hexdigest() for data in mine]


def test_a_set_has_its_spread_and_each_frame():
    """The sheet of a set says how far apart the frames are before and after, what each gets, and has boxes for all."""
    found = the_set()
    data = match_pdf(found, SHOP)
    front, back = text(data, 0), text(data, 1)
    for spread in found.spreads:
        assert f"{spread.before:.1f} {spread.after:.1f} {spread.tolerance:.1f}" in front
    for member in found.members:
        name = f"{member.frame.number} {member.frame.label}"
        assert name in front and name in back
        for piece in member.plans[0].additions:
            assert f"{piece.mass_g:.1f} g" in front or piece.count == 2
    assert "made equal to each other with the least mass" in front
    worked = [m for m in found.members if m.plans[0].additions]
    assert worked
    assert len(list(pages(data))) == 2 + 2 * len(worked)
    assert len(list(pages(match_pdf(found, SHOP, "a4")))) == 1 + len(worked)


def test_a_set_made_equal_to_one_frame_names_it():
    """Where one frame is the model of the others its name stands in the head."""
    assert "made equal to ada/two, which stays as it is" in text(match_pdf(matched(), SHOP), 0)


def test_a_plan_for_a_set_is_no_verdict():
    """It says what is to be done; that frames become equal only where plans bring them there, and least only where that
    is proven."""
    found = the_set()
    for status, proven in (("matched", True), ("matched", False), ("nearest", True)):
        front = text(match_pdf(replace(found, status=status, proven=proven), SHOP), 0)
        assert ("to be made equal" in front) == (status == "matched")
        assert ("least mass" in front) == (status == "matched" and proven)
        assert ("as near to each other as plans bring them" in front) == (status == "nearest")


def test_a_frame_that_needs_nothing_has_no_sheet_of_its_own():
    """A frame of a set that stays as it is is listed, without an order of work."""
    found = the_set()
    first = found.members[0]
    nothing = replace(first, plans=(replace(first.plans[0], additions=(), removals=(), steps=()),))
    data = match_pdf(replace(found, members=(nothing, *found.members[1:])), SHOP)
    assert "Stays as it is." in text(data, 0)
    worked = sum(bool(m.plans[0].additions) for m in found.members[1:])
    assert len(list(pages(data))) == 2 + 2 * worked


def test_a_shop_may_word_it_otherwise(tmp_path):
    """Words in the shop's own templates are printed instead of the shipped ones, in the language that they name."""
    own = tmp_path / "templates" / "bench"
    own.mkdir(parents=True)
    shipped = (assets.templates() / "bench" / "words.html.j2").read_text(encoding="utf-8")
    changed = shipped.replace("{%- set language = f.language -%}", "{%- set language = 'de' -%}").replace(
        "Take off:", "Ab:"
    )
    (own / "words.html.j2").write_text(changed, encoding="utf-8")
    with assets.using(tmp_path):
        data = rebuild_pdf([ordinary()], SHOP)
    assert pypdf.PdfReader(io.BytesIO(data)).trailer["/Root"]["/Lang"] == "de"
    assert "Ab: Cushion grip, 14,0 g" in text(data, 1)


def test_it_passes_a_pdf_checker(made, tmp_path):
    """qpdf finds nothing wrong with the file."""
    path = tmp_path / "sheet.pdf"
    path.write_bytes(made.data)
    done = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert re.search(r"No syntax or stream encoding errors found", done.stdout)


def test_an_assumed_mass_is_said_to_be_assumed(tmp_path):
    """What a part that nobody weighed usually weighs is printed as assumed, in its line and in its step; others are not."""
    parts = PARTS + "button: {kind: damper, name: Button}\n"
    found = rebuild(bench(tmp_path, parts=parts, build=("leather", "button")), "ada/main", "near")
    front, back = (
        " ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(rebuild_pdf([found], SHOP))).pages
    )
    assert re.search(r"Button, along the handle [^;]*2\.0.g \(assumed\)", front)
    assert re.search(r"Fit: Button, along the handle, 2\.0.g \(assumed\)", back)
    assert (front + back).count("(assumed)") == 2
    (piece,) = [piece for piece in found.fit if piece.name == "Button"]
    assert piece.data()["mass_assumed"] is True


def test_the_frames_number_is_there_for_a_hand_scanner():
    """A reader of codes gets the number from the front of the sheet, which is what the search takes; no number, no code."""
    page = pypdfium2.PdfDocument(sheet_of("ordinary"))[0].render(scale=300 / 72).to_pil()
    assert [code.text for code in zxingcpp.read_barcodes(page)] == [ordinary().frame.number]
    nameless = replace(ordinary(), frame=replace(ordinary().frame, number=""))
    page = pypdfium2.PdfDocument(rebuild_pdf([nameless], SHOP))[0].render(scale=150 / 72).to_pil()
    assert zxingcpp.read_barcodes(page) == []
