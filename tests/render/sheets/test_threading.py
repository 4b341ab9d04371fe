"""The string's path on the bench sheet: only where it is known, with what to cut and every string's two holes."""

import io
import re
from dataclasses import replace

import pypdf
import pytest
from cardfacts import SHOP
from sheetfacts import ordinary

from passport.physics.stringing.holes import HANDS, Drilling, Hole
from passport.physics.stringing.route import Threaded, Tie
from passport.physics.stringing.ways import StrungWay
from passport.physics.units import newtons_from_lb
from passport.render.sheets.sheet import rebuild_pdf
from passport.render.sheets.threading import path_view
from passport.render.theme.formats import Formats


def told(way="one piece", crosses=None, **other):
    """A rebuild whose strings run in a known way, on a blank of the frame's own model."""
    found = ordinary()
    frame, shape = found.frame, found.frame.shape
    skipped = tuple(Hole(hand, end, 8) for end in ("throat", "head") for hand in HANDS)
    path = Threaded(Drilling(shape.mains, shape.crosses, skipped), StrungWay(way, "throat", crosses), **other)
    bed = replace(frame.stringing, path=path, sources=(("path", "worked out"),))
    blank = replace(found.blank, maker=frame.maker, model=frame.model)
    return replace(found, frame=replace(frame, stringing=bed), blank=blank)


def test_what_each_string_is_pulled_with_stands_where_zones_differ():
    """Where strings are pulled by zone each row has its own pull, in the unit that was written; else there is none."""
    found = told()
    assert not path_view(found, Formats(), "k").zoned
    bed, shape = found.frame.stringing, found.frame.shape
    mains = tuple((n, newtons_from_lb(50 if n < 7 else 48)) for n in range(1, shape.mains // 2 + 1))
    crosses = tuple((n, newtons_from_lb(49)) for n in range(1, shape.crosses + 1))
    pounds = {side: replace(getattr(bed, side), written="50 lb") for side in ("mains", "crosses")}
    bed = replace(bed, string_pulls=(mains, crosses), **pounds)
    view = path_view(replace(found, frame=replace(found.frame, stringing=bed)), Formats(), "k")
    pulls = {row.name: row.pull.replace("\u202f", " ") for column in view.columns for row in column}
    assert view.zoned
    assert (pulls["main 1 left"], pulls["main 7 right"], pulls["cross 3"]) == ("50 lb", "48 lb", "49 lb")


def test_nothing_is_drawn_that_nobody_told():
    """Without a known path, or on a blank of another model, there is none."""
    found = told()
    assert path_view(replace(found, frame=replace(found.frame, stringing=None)), Formats(), "k") is None
    assert path_view(replace(found, blank=replace(found.blank, model="Another")), Formats(), "k") is None
    bare = replace(found.frame.stringing, path=None)
    assert path_view(replace(found, frame=replace(found.frame, stringing=bare)), Formats(), "k") is None


def test_every_string_has_its_two_holes():
    """All mains and crosses in the order of the work, each with the holes that it begins and ends in."""
    found = told(ties=(Tie("mains", "throat", 6),))
    view = path_view(found, Formats(), "k")
    rows = [row for column in view.columns for row in column]
    assert [row.order for row in rows] == list(range(1, found.frame.shape.mains + found.frame.shape.crosses + 1))
    assert (rows[0].name, rows[0].start, rows[0].stop) == ("main 1 left", "1T left", "1H left")
    assert any("main 8 left out of 9T left, tied off in 6T left" in line for line in view.lines)
    assert any("its hole not recorded" in line for line in view.lines)


@pytest.mark.parametrize(("way", "crosses", "cuts"), [("one piece", None, 1), ("two pieces", "head", 2)])
def test_what_to_cut(way, crosses, cuts):
    """Each piece has a length to cut with its uncertainty; the side is said to be unknown; metres are plausible."""
    lines = path_view(told(way, crosses), Formats(), "k").lines
    metres = [float(m[1]) for line in lines if (m := re.search(r"cut ([0-9.]+)", line))]
    assert len(metres) == cuts
    assert 9.0 < sum(metres) - 0.6 * (cuts - 1) < 12.5  # 10 to 10.5 m for a 16 × 19 (common practice, no source)
    assert any("nobody recorded the side" in line for line in lines)


def test_holes_without_numbers_and_the_makers_starts_are_said():
    """What is not known or only the maker's is named as such."""
    found = told(numbered=False)
    bed = replace(found.frame.stringing, sources=(("path", "model"),))
    lines = " ".join(path_view(replace(found, frame=replace(found.frame, stringing=bed)), Formats(), "k").lines)
    assert "Nobody recorded which holes the mains skip" in lines and "maker’s pattern" in lines
    assert "9T" not in lines


def test_the_sheet_has_two_more_pages():
    """The drawing and the list are on a leaf of their own, front and back, each on one page."""
    pages = pypdf.PdfReader(io.BytesIO(rebuild_pdf([told()], SHOP))).pages
    assert len(pages) == len(pypdf.PdfReader(io.BytesIO(rebuild_pdf([ordinary()], SHOP))).pages) + 2
    assert "How it is strung" in pages[-2].extract_text() and "Hole by hole" in pages[-1].extract_text()
    assert "cross 1 " in pages[-1].extract_text().replace("\n", " ")
