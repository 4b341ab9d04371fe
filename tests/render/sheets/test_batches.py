"""The sheet of a set names an odd frame of a batch, with what to look for while it is still strung."""

import io
from dataclasses import replace
from datetime import date

import pypdf
import pytest

from passport.records.language.worded import speaking
from passport.render.sheets.sheet import match_pdf
from passport.render.voice.bench_voice import voice_of
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.rebuild.match import match
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.strings.batches import batches_of

SET = ["askwell/i", "askwell/ii", "askwell/iii"]


@pytest.fixture(scope="module")
def asked(demo_content):
    """The plan of the demo's set, the shop, and the set's batches."""
    plan = match(Workbench(demo_content, date(2026, 11, 25), 5.0), SET, "")
    return plan, Gatherer(demo_content).shop, batches_of(demo_content, SET)


def text(asked, batches) -> str:
    """What the second page of the sheet says."""
    plan, shop, _ = asked
    page = pypdf.PdfReader(io.BytesIO(match_pdf(plan, shop, "a5", batches))).pages[1]
    return " ".join(page.extract_text().replace("\u202f", " ").split())


def test_the_odd_frame_is_on_the_sheet(asked):
    """Readings, the odd one, by how much in both units, and when it was strung again."""
    said = text(asked, asked[2])
    assert "Strung in one go" in said
    assert "They agree, < 0.1 lb (0.05 kg) apart" in said
    assert "Odd one out: II, 0.9 lb (0.39 kg) below the others, strung again on 4 Jul 2025." in said
    assert "0.2 lb (0.09 kg) is allowed; a frame" in said


def test_what_to_look_for_while_it_is_strung(asked):
    """An odd frame that is still strung so comes with the likely causes."""
    still = [replace(batch, odd_until=None) for batch in asked[2] if batch.odd]
    assert "Look for a clamp that slipped; a knot that drew in;" in text(asked, still)


def test_without_batches_there_is_no_heading(asked):
    """Frames that were never strung in one go have no such section."""
    assert "Strung in one go" not in text(asked, ())


def test_the_causes_are_in_the_shops_language(asked):
    """What to look for is kept in English and put into words on the sheet."""
    still = [replace(batch, odd_until=None) for batch in asked[2] if batch.odd]
    with speaking(voice_of("de")):
        said = text(asked, still)
    assert "eine Zange, die gerutscht ist" in said and "a clamp" not in said
    assert "a clamp that slipped" in still[0].causes
