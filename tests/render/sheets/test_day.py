"""The bench's page of the day."""

import io
import json
import re
import shutil
from datetime import date

import page as validation
import pdfplumber
import pytest
import smallshop
from commandline import passport, refused, tree
from pypdf import PdfReader

from passport.physics.uncertainty import Estimate
from passport.publish.folder.foreign import MARK
from passport.render.sheets.day import (
    DUE_BESIDE_MANY,
    MOST_BRIEF,
    MOST_DUE,
    MOST_NEEDS,
    MOST_RACKED,
    DueLine,
    Racked,
    day_pdf,
)
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.needs import StringNeed

TODAY = date(2026, 11, 25)


def _page(facts, count, due):
    frame = next(f for f in facts.frames if f.number == "0871-6")
    rack = [
        Racked(frame, "Edmund Dunmarrow", "restring, new overgrip " * 3, "a note " * 20, TODAY, 2, before="57 lb")
    ] * count
    lines = [DueLine(TODAY, "0871-6", "One", "Edmund Dunmarrow", "01632 960000", "plays 3 a week")] * due
    needs = [StringNeed("deep-petrol-125", "Brindlecote Deep Petrol 1.25", "reel", 3, Estimate(31.2, 0.6), 1)] * (
        count and MOST_NEEDS + 2
    )
    collect = ["0871-6 One, Edmund Dunmarrow, done 2026-11-20"] * count
    return day_pdf(facts.shop, TODAY, rack, lines, needs, collect)


def test_it_is_one_a4_page_however_much_there_is_to_do(demo_facts):
    """A full rack and a long list still make one A4 page (ISO 216: 210 × 297 mm), and what is left out is counted."""
    data = _page(demo_facts, MOST_RACKED + MOST_BRIEF + 3, DUE_BESIDE_MANY + 7)
    pages = PdfReader(io.BytesIO(data)).pages
    assert len(pages) == 1
    points = 72 / 25.4
    assert abs(float(pages[0].mediabox.width) - 210 * points) < 0.5
    assert abs(float(pages[0].mediabox.height) - 297 * points) < 0.5
    text = pages[0].extract_text()
    assert "3 more on the rack" in text
    assert "7 more" in text
    assert "and 2 more" in text
    assert "2 days late" in text
    page = day_pdf(demo_facts.shop, TODAY, [], [DueLine(TODAY, "0871-6", "One", "E", "", "")] * MOST_DUE, (), (), 813)
    assert f"{813 - MOST_DUE} more" in PdfReader(io.BytesIO(page)).pages[0].extract_text()
    few = PdfReader(io.BytesIO(_page(demo_facts, MOST_RACKED, MOST_DUE + 1))).pages
    assert len(few) == 1
    assert "1 more" in few[0].extract_text()


def test_it_is_pdf_ua(demo_facts):
    """The page passes every check of PDF/UA-1 (ISO 14289-1) that page-validation makes, and is the same each time."""
    data = _page(demo_facts, 4, 3)
    report = validation.validate_pdf_bytes(data, profile="ua1")
    assert report.is_compliant, report.failures
    assert report.rules.failed == 0 and report.rules.passed > 50
    assert _page(demo_facts, 4, 3) == data


def test_it_says_so_when_there_is_nothing_to_do(demo_facts):
    """An empty rack and nobody due are said in words."""
    text = PdfReader(io.BytesIO(_page(demo_facts, 0, 0))).pages[0].extract_text()
    assert "Nothing." in text
    assert "Nobody" in text


def test_mains_and_crosses_have_columns_of_one_width(demo_facts):
    """Mains and crosses have the same room, so that either shows both units of its tension on one line."""
    with pdfplumber.open(io.BytesIO(_page(demo_facts, 1, 0))) as document:
        words = document.pages[0].extract_words()
    left = {w["text"]: w["x0"] for w in words if w["text"] in ("Mains", "Crosses", "Stringing")}
    assert abs((left["Crosses"] - left["Mains"]) - (left["Stringing"] - left["Crosses"])) < 1
    pulls, units = ([w for w in words if w["text"].startswith(t)] for t in ("55", "24.9"))
    assert len(pulls) == len(units) == 2
    assert all(abs(a["bottom"] - b["bottom"]) < 6 for a, b in zip(pulls, units, strict=True))


def test_both_units_stand_beside_each_tension(demo_facts):
    """The recipe shows pull tensions in lb and in kg: 55 lb are 24.94758035 kg (exact factor, 0.45359237)."""
    text = PdfReader(io.BytesIO(_page(demo_facts, 1, 0))).pages[0].extract_text().replace("\u202f", " ")
    assert "55 lb" in text
    assert "24.9 kg" in text
    assert "do not string" in text


def test_no_text_is_smaller_than_seven_points(demo_facts):
    """It is read at arm's length."""
    with pdfplumber.open(io.BytesIO(_page(demo_facts, 3, 3))) as pdf:
        assert min(c["size"] for c in pdf.pages[0].chars) >= 7


def test_the_command_takes_the_rack_from_the_records(demo_content, tmp_path):
    """Frames whose record names what is wanted are on the page, with those named on the command line."""
    racked = [e for e in demo_content.frames.values() if e.record.waiting]
    assert racked
    target = tmp_path / "day.pdf"
    result = passport("day", str(demo_content.root), "1042-9", "--out", str(target))
    assert result.exit_code == 0, result.stderr
    text = PdfReader(target).pages[0].extract_text()
    assert "1042-9" in text
    for entry in racked:
        assert entry.record.number in text
        assert entry.record.waiting.asked in " ".join(text.split())


def test_the_command_lists_the_rack_by_its_promises(demo_content, tmp_path):
    """Late ones lead, in the terminal, on the page and as data; the string that is wanted is added up."""
    said = passport("day", demo_content.root, "--out", tmp_path / "day.pdf").stdout.splitlines()
    assert said[0].startswith("Tuesday 2026-11-24 LATE 1 d  0967-1 Dos  restring, Withybed 1.30 at 24.5 kg")
    assert said[1].startswith("Friday 2026-11-27  1108-5 Reserve")
    assert said[-1].endswith("2 on the rack, 1 late. Private: it holds contact data.")
    text = PdfReader(tmp_path / "day.pdf").pages[0].extract_text()
    assert text.index("0967-1") < text.index("1108-5")
    assert "grommets worn 9T 10T, bumper worn, strings broken." in " ".join(text.split())
    assert "no crack" not in text and "grommets sound" not in text
    assert "Done, to be collected" in text and "1003-1 I, Sylvie" in text
    data = json.loads(passport("day", demo_content.root, "--json").stdout)
    assert [(one["number"], one["days_late"]) for one in data["rack"]] == [("0967-1", 1), ("1108-5", 0)]
    assert [(need["supply"], need["frames"]) for need in data["string"]] == [("set", 1), ("reel", 1), ("reel", 1)]
    assert [one["number"] for one in data["to_collect"]] == ["1003-1"]


def test_what_the_rack_says_is_private(demo_content):
    """What is wanted of a frame never becomes a public fact."""
    from passport.workshop.gathering.gather import public

    assert all(e.record.waiting is None for e in public(demo_content).frames.values())
    assert Gatherer(demo_content).recipe("askwell/i").number == "1042-9"


def test_the_page_never_goes_into_the_site(demo_content, tmp_path):
    """A file inside the public site, and a folder, are refused as the place for a page with contact data."""
    (tmp_path / MARK).write_text("x")
    refused(passport("day", demo_content.root, "--out", tmp_path / "deep" / "day.pdf"), "is the public site", "--out")
    refused(passport("day", demo_content.root, "--out", tmp_path), "is a folder", "--out")
    assert tree(tmp_path) == {MARK: b"x"}


@pytest.mark.parametrize("name", ["workshop.yaml", "players/bo/only.yaml", "new.pdf"])
def test_the_page_never_goes_among_the_records(tmp_path, name):
    """A file in the content folder, there or not, is refused as the place for the page, and stays as it was."""
    content = smallshop.write(tmp_path / "content")
    before = tree(content)
    refused(passport("day", content, "--out", content / name), "holds the records", "outside it with --out")
    assert tree(content) == before


def test_the_page_replaces_no_file_but_a_pdf(tmp_path):
    """A file that is no PDF (ISO 32000-1, 7.5.2: it begins with %PDF) stays; the page of an earlier run is replaced."""
    content, mine = smallshop.write(tmp_path / "content"), tmp_path / "mine.txt"
    mine.write_text("a year's work")
    refused(passport("day", content, "--out", mine), "is no PDF", "name another file with --out")
    assert mine.read_text() == "a year's work"
    for _ in range(2):
        assert passport("day", content, "--out", tmp_path / "day.pdf").exit_code == 0


def test_the_page_says_what_the_stock_cannot_serve(tmp_path, demo_content):
    """With 5 m of a string by the book and more needed, the page and the terminal say so; the rest is as without a book."""
    shutil.copytree(demo_content.root, tmp_path / "content")
    lot = "reel: {of: hobnail-115, counted: {date: 2026-11-20, amount: 5 m}}\n"
    (tmp_path / "content/catalogue/stock.yaml").write_text(lot, encoding="utf-8")
    said = passport("day", tmp_path / "content", "--out", tmp_path / "day.pdf")
    assert said.exit_code == 0, said.output
    assert said.stderr.count("'passport check' shows it") == 1
    assert re.search(
        r"^Wrensall Hobnail 1.15, reel: 8\.\d ± 0\.\d m for 1 frame, ONLY 5.0 m left by the book$", said.stdout, re.M
    )
    text = PdfReader(tmp_path / "day.pdf").pages[0].extract_text()
    assert "ONLY 5.0 m left by the book" in " ".join(text.split())
