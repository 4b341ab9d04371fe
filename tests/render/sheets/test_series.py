"""The sheet for frames that are strung in one go."""

import io
from dataclasses import replace

import page as validation
import pytest
from commandline import passport
from places import DEMO
from pypdf import PdfReader
from smallshop import TODAY

from passport.records.language.worded import speaking
from passport.render.sheets.series import series_pdf
from passport.render.voice.bench_voice import voice_of
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.series import series

THREE = ["askwell/i", "askwell/ii", "askwell/iii"]


@pytest.fixture(scope="module")
def sheet(demo_content):
    """The sheet of the demo's set of three."""
    return series_pdf(Gatherer(demo_content).shop, TODAY, series(demo_content, THREE, TODAY))


def test_a_row_for_each_frame_under_one_recipe(sheet):
    """The recipe stands once, each frame below it, with the boxes and the rule."""
    (page,) = PdfReader(io.BytesIO(sheet)).pages
    text = " ".join(page.extract_text().split())
    assert "3 frames, one order" in text
    assert text.count("51 lb") == 1
    assert all(number in text for number in ("1042-9", "1043-7", "1044-5"))
    assert "Strung at" in text and "Reading" in text and "Minute" in text
    assert "highest less the lowest may be: 0.2 lb" in text
    assert "In stock by the book" in text


def test_it_is_pdf_ua(sheet):
    """The sheet passes every check of PDF/UA-1 (ISO 14289-1) that page-validation makes."""
    report = validation.validate_pdf_bytes(sheet, profile="ua1")
    assert report.is_compliant, report.failures


def test_frames_of_one_player_alone(tmp_path):
    """Frames of two players are no series; a player's folder stands for what waits."""
    two = passport("series", DEMO, "1042-9", "0871-6", "--out", tmp_path / "x.pdf")
    assert two.exit_code == 2
    assert "of one player" in two.output
    none = passport("series", DEMO, "askwell", "--out", tmp_path / "x.pdf")
    assert none.exit_code == 1
    assert not (tmp_path / "x.pdf").exists()
    made = passport("series", DEMO, "1042-9", "1043-7", "--out", tmp_path / "x.pdf")
    assert made.exit_code == 0
    assert (tmp_path / "x.pdf").read_bytes()[:5] == b"%PDF-"


def test_it_speaks_the_shops_language(demo_content):
    """What the book of the stock says and what to look for are German in a German shop."""
    with speaking(voice_of("de")):
        shop = replace(Gatherer(demo_content).shop, language="de")
        data = series_pdf(shop, TODAY, series(demo_content, THREE, TODAY))
    text = " ".join(PdfReader(io.BytesIO(data)).pages[0].extract_text().split())
    assert "Auf Lager nach dem Buch" in text and "eine Zange, die gerutscht ist" in text
    assert "In stock" not in text and "a clamp" not in text
