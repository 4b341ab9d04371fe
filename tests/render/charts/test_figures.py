"""The drawings and charts of a page, from its facts."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from typing import get_args

import pytest
from smallshop import facts, frame, of

from passport.records.schema.catalogue import PartKind
from passport.render.charts import figures
from passport.render.theme.formats import Formats

F = Formats("en")
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The facts of the small workshop."""
    return facts(tmp_path_factory.mktemp("small"))


def told(svg: str) -> str:
    """What a screen reader says of a picture: its title and description."""
    root = ET.fromstring(svg)
    return " ".join(root.findtext(f"{SVG}{name}") or "" for name in ("title", "desc"))


def drawn(frame) -> dict[str, str]:
    """All figures of a frame's page."""
    return {name: draw() for name, draw in figures.frame_figures(frame, F).items()}


PARTS = """\
build:
  - {part: thin-overgrip, place: along the handle}
  - {part: lead-tape, place: 3 and 9, length: 40 mm}
  - {part: silicone, place: butt cap, mass: 3 g}
jobs:
  - date: 2026-01-05
    fitted:
      - {part: lead-tape, place: 12, length: 50 mm}
      - {part: lead-tape, place: 12, length: 50 mm}
"""


def test_every_part_has_one_number_from_tip_to_butt(tmp_path):
    """Each fitted part is numbered once, from the tip down, two equal layers apart."""
    found = frame(tmp_path, PARTS)
    listed = figures.numbered(found)
    assert [number for number, _ in listed] == [1, 2, 3, 4, 5]
    assert [p.place.text for _, p in listed] == ["12", "12", "3 and 9", "along the handle", "butt cap"]
    assert sorted(map(repr, (p for _, p in listed))) == sorted(map(repr, found.parts))


@pytest.mark.parametrize("kind", get_args(PartKind))
def test_every_kind_of_part_can_be_drawn(small, kind):
    """There is no part in the catalogue that the drawing does not know how to show."""
    main = of(small, "ada/main")
    part = replace(main.parts[0], kind=kind, mass=None)
    drawn = figures.drawn_piece(part)
    assert drawn.mass_g == 0
    assert drawn.label == part.name
    svg = figures.racquet_figure(replace(main, parts=(part,)), F)
    assert part.name in told(svg)
    assert " g" not in told(svg).replace("\u202f", " "), "nothing is said of a mass that is not known"


def test_the_picture_is_told_in_words(tmp_path):
    """The racquet's description names model, pattern and each part with its number, place and mass."""
    found = frame(tmp_path, PARTS)
    words = told(figures.racquet_figure(found, F)).replace("\u202f", " ").replace("\u00a0", " ")
    assert "Tarn Larch 98" in words
    assert "16 × 19" in words
    assert "3: Lead tape, 3 and 9 o’clock, 1.6 g" in words


def test_the_balance_point_is_drawn_when_measured(small):
    """A measured balance stands on the picture with its figure; without one there is none."""
    twin, fresh = of(small, "ada/twin"), of(small, "ada/fresh")
    assert "329.5\u202fmm" in figures.racquet_figure(twin, F)
    assert "mm" not in figures.racquet_figure(fresh, F)


def test_a_drawing_is_made_when_it_is_asked_for_and_once():
    """Nothing is drawn for a template that leaves a figure out; one that asks twice has it drawn once."""
    calls = []

    def draw() -> str:
        calls.append(1)
        return '<svg xmlns="http://www.w3.org/2000/svg"/>'

    later = figures.Later(draw)
    assert not calls
    assert later
    assert later.__html__() == "<svg/>"
    assert len(calls) == 1
    assert not figures.Later(lambda: "")


def test_no_target_no_strip(small):
    """A quantity without a target, or without a reading, has no strip."""
    made = drawn(of(small, "ada/main"))
    assert set(made) >= {"racquet", "history", "mass", "balance", "swingweight", "twistweight"}
    assert made["mass"]
    assert made["swingweight"] == "", "never measured as the frame is now"
    assert made["twistweight"] == "", "no target"


def test_a_strip_says_what_the_page_says(small):
    """The strip carries the reading, target and limits of its quantity in the page's own formats."""
    main = of(small, "ada/main")
    row = figures.target_row(main.spec("mass"), F)
    assert (row.measured, row.target, row.tolerance, row.verdict) == (331.1, 330, 2, "inside")
    assert (row.low_text, row.high_text) == ("328", "332")
    assert "331.1" in told(drawn(main)["mass"])
    assert figures.target_row(main.spec("twistweight"), F) is None
    rows = [row for spec in main.specs if (row := figures.target_row(spec, F))]
    assert [row.name for row in rows] == ["Mass", "Balance", "Swingweight"]


def test_history_needs_two_visits(small, tmp_path):
    """One visit is no history; two are drawn, with their dates told."""
    assert drawn(of(small, "ada/twin"))["history"] == ""
    words = told(drawn(of(small, "ada/main"))["history"])
    assert "5 Jan 2026" in words
    assert "2 Mar 2026" in words
    assert "2 Apr 2026" not in words, "an acoustic reading is neither a pull tension nor a swingweight"


def test_history_keeps_to_readings_of_the_finished_frame(tmp_path):
    """Swingweights measured unstrung or without a grip are not on the chart."""
    found = frame(
        tmp_path,
        """\
jobs:
  - date: 2026-01-05
    readings: {state: bare, mass: 310 g, balance: 325 mm, swingweight: 290 kgcm2}
  - date: 2026-02-05
    strings: {mains: {string: reed-125, tension: 24 kg}}
    readings: {mass: 330 g, balance: 325 mm, swingweight: 318 kgcm2}
  - date: 2026-03-05
    readings: {without: overgrip, mass: 325 g, balance: 328 mm, swingweight: 317 kgcm2}
  - date: 2026-04-05
    readings: {mass: 330 g, balance: 325 mm, swingweight: 319 kgcm2}
""",
    )
    words = told(drawn(found)["history"])
    assert "318" in words
    assert "319" in words
    assert "290" not in words
    assert "317" not in words


def test_equality_is_drawn_for_frames_that_can_be_compared(small):
    """A set with readings has a chart; a single frame, or frames without readings, have none."""
    pair = next(g for g in small.players[0].groups if g.matched)
    words = told(figures.equality_figure(pair, F, "k")).replace("\u202f", " ")
    assert "331.1 g" in words
    assert "331.5 g" in words
    assert "0.4 g" in words
    assert "Swingweight" not in words, "only one of the two was measured"
    assert figures.equality_figure(replace(pair, frames=pair.frames[:1]), F, "k") == ""
    open_ = tuple(replace(e, spread=None) for e in pair.equality)
    assert figures.equality_figure(replace(pair, equality=open_), F, "k") == ""


def test_a_common_target_is_the_middle(small):
    """Frames with one target are shown about it, others about the middle of their readings."""
    pair = next(g for g in small.players[0].groups if g.matched)
    mass = pair.equality[0]
    main, twin = pair.frames
    apart = figures._equal_quantity(mass, pair, F)
    assert (apart.aimed, apart.target) == (False, pytest.approx(331.3))
    same = replace(pair, frames=(main, replace(twin, specs=main.specs)))
    assert (figures._equal_quantity(mass, same, F).aimed, figures._equal_quantity(mass, same, F).target) == (True, 330)


def test_ids_are_unique_on_a_page(demo_facts):
    """No two figures of one page share an element id."""
    for found in demo_facts.frames:
        svgs = drawn(found).values()
        ids = re.findall(r'\bid="([^"]+)"', "".join(svgs))
        assert len(ids) == len(set(ids)), found.number
        for svg in filter(None, svgs):
            ET.fromstring(svg)
