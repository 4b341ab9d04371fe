"""The figures of a frame's strings from its facts: the life with its dates, and all beds."""

import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date

import pytest
from smallshop import FILES, facts, frame, of

from passport.render.charts.figures_strings import beds_figure, life_figure
from passport.render.theme.formats import Formats
from passport.workshop.facts.bedfacts import DueFacts, DueReason

F = Formats("en")
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def main(tmp_path_factory):
    """A frame with two beds, both read twice."""
    return of(facts(tmp_path_factory.mktemp("small")), "ada/main")


def texts(svg: str) -> list[str]:
    """All text that is drawn, with plain spaces."""
    return [(e.text or "").replace("\u202f", " ") for e in ET.fromstring(svg).iter(f"{SVG}text")]


def test_the_life_shows_readings_dates_and_the_due_day(main):
    """The readings as shown, the day of the stringing, the months and the day by which to restring are on the chart."""
    shown = texts(life_figure(main, F))
    assert {"585 Hz", "560 Hz", "2 Mar", "May", "restring by 1 Jul"} <= set(shown)


def test_the_day_axis_fits_the_chart(main):
    """Short lives have days, long ones months, and a new year is named."""
    reasons = (DueReason("plays", date(2026, 3, 12), 21),)
    short = texts(life_figure(replace(main, restring=DueFacts(reasons, date(2026, 3, 9))), F))
    assert "16 Mar" in short
    reasons = (DueReason("plays", date(2027, 3, 1), 1),)
    long = texts(life_figure(replace(main, restring=DueFacts(reasons, date(2027, 1, 1))), F))
    assert "Jan 2027" in long
    assert "16 Mar" not in long


def test_without_a_due_day_there_is_still_a_life(main):
    """Strings that nothing makes due are shown for some months."""
    shown = texts(life_figure(replace(main, restring=None), F))
    assert "585 Hz" in shown
    assert not any("restring" in t for t in shown)


def test_the_workshops_limit_is_shown_where_it_is_near(tmp_path):
    """A limit that the curve comes near is drawn; one far below it is not."""
    for loss, seen in (("10 %", True), ("40 %", False)):
        changes = {"workshop.yaml": FILES["workshop.yaml"] + f"restring: {{loss: {loss}}}\n"}
        main = of(facts(tmp_path / loss[:2], changes), "ada/main")
        assert ("the workshop's limit" in texts(life_figure(main, F))) == seen


def test_no_strings_no_life(main):
    """A frame without a life has no figure of it."""
    assert life_figure(replace(main, life=None), F) == ""


def test_all_beds_from_two_on(main, tmp_path):
    """Two beds that were read again are drawn; a single one, or beds read only when fresh, are not."""
    svg = beds_figure(main, F)
    assert {"Reed / Flint, one bed", "Reed, one bed", "now"} <= set(texts(svg))
    assert beds_figure(replace(main, past=()), F) == ""
    once = frame(
        tmp_path,
        """\
jobs:
  - {date: 2026-01-05, strings: {mains: {string: reed-125, tension: 24 kg}}, readings: {ring: 580 Hz, age: 15 min}}
  - {date: 2026-02-05, strings: {mains: {string: reed-125, tension: 24 kg}}, readings: {ring: 580 Hz, age: 15 min}}
""",
    )
    assert len(once.past) == 1
    assert beds_figure(once, F) == ""


def test_a_frame_out_of_play_still_shows_its_beds(main):
    """The beds of a broken frame are drawn without one that is in now."""
    beds = (*main.past, replace(main.life, until=date(2026, 6, 1)))
    shown = texts(beds_figure(replace(main, life=None, past=beds), F))
    assert "Reed, one bed" in shown
    assert "now" not in shown


def test_demo_figures_stay_small(demo_facts):
    """No figure of the demo's strings is larger than 6 kB."""
    for found in demo_facts.frames:
        for svg in (life_figure(found, F), beds_figure(found, F)):
            assert len(svg.encode()) < 6000
            if svg:
                ET.fromstring(svg)
