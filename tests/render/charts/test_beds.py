"""All beds of a frame on one scale: a line for each, told apart by string, the one that is in marked."""

import re
import xml.etree.ElementTree as ET

import pytest

from passport.render.charts.beds import BedLine, beds_chart
from passport.render.charts.life import LEFT, RIGHT
from passport.render.theme.palette import CSS_PAINT

SVG = "{http://www.w3.org/2000/svg}"


def bed(string: str, days: float, last: float, now: bool = False) -> BedLine:
    """A bed that falls evenly to what was left at its last reading."""
    return BedLine(string, lambda d: 1 - (1 - last) * d / days, days, ((0.01, 1.0), (days, last)), now)


def chart(*beds: BedLine) -> ET.Element:
    """A chart of beds."""
    return ET.fromstring(beds_chart(beds, key="k", paint=CSS_PAINT))


def texts(found: ET.Element) -> list[str]:
    """All text in the picture."""
    return [e.text or "" for e in found.iter(f"{SVG}text")]


def lines(found: ET.Element, css: str, width: str) -> list[str]:
    """The path data of the beds' lines of one colour and width, each begun by an M."""
    data = "".join(e.get("d", "") for e in found if e.get("class") == css and e.get("stroke-width") == width)
    return [f"M{part}" for part in data.split("M") if part]


def test_each_bed_is_one_line():
    """As many thin lines as earlier beds, and a thick one for the bed that is in."""
    found = chart(bed("Reed", 60, 0.8), bed("Reed", 70, 0.8), bed("Flint", 50, 0.7), bed("Reed", 20, 0.85, now=True))
    assert len(lines(found, "s-petrol", "1.2")) == 2
    assert len(lines(found, "s-plum", "1.2")) == 1
    assert len(lines(found, "s-petrol", "2.4")) == 1


def test_the_string_that_is_in_comes_first():
    """The string of the bed that is in has the house colour and stands first in the key, with its count of beds."""
    shown = texts(chart(bed("Flint", 50, 0.7), bed("Reed", 60, 0.8), bed("Reed", 20, 0.85, now=True)))
    keys = [t for t in shown if "bed" in t and t[0].isupper() and "," in t and "ension" not in t]
    assert keys == ["Reed, 2 beds", "Flint, one bed"]


def test_lines_end_where_the_bed_was_last_read():
    """One scale: a bed read for half as long ends half as far along, lower where less was left."""
    found = chart(bed("Reed", 100, 0.7), bed("Flint", 50, 0.9))
    ends = []
    for css in ("s-petrol", "s-plum"):
        (line,) = lines(found, css, "1.2")
        x = float(re.findall(r"[MLH]([\d.]+)", line)[-1])
        ends.append((x - LEFT) / (RIGHT - LEFT))
    assert ends[0] == pytest.approx(2 * ends[1], rel=0.01)


def test_only_a_bed_that_is_in_has_the_mark_of_now():
    """A triangle marks the bed that is in; a frame out of play has none, and no word for it."""
    assert [e for e in chart(bed("Reed", 60, 0.8, now=True)) if e.get("class") == "f-ink s-ground"]
    out = chart(bed("Reed", 60, 0.8), bed("Reed", 50, 0.8))
    assert not [e for e in out if e.get("class") == "f-ink s-ground"]
    assert "now" not in texts(out)


def test_many_strings_are_told_apart_by_more_than_colour():
    """The first four strings differ in dashes as well; each is in the key."""
    names = ("One", "Two", "Three", "Four", "Five")
    found = chart(*(bed(name, 60, 0.8) for name in names))
    dashes = [
        e.get("stroke-dasharray") for e in found if e.get("stroke-width") == "2" and e.get("d", "").endswith("H24")
    ]
    assert len(set(dashes[:4])) == 4
    assert all(any(t.startswith(name) for t in texts(found)) for name in names)


def test_it_is_told_in_words():
    """The description tells each string's beds: how much was left, how long after stringing."""
    desc = chart(bed("Reed", 60, 0.8), bed("Reed", 70, 0.82), bed("Flint", 50, 0.7))[1].text.replace("\u202f", " ")
    assert "Reed, 2 beds: 80 %–82 % left when last read, 60–70 days after stringing." in desc
    assert "Flint, one bed: 70 % left when last read, 50 days after stringing." in desc


def test_no_bed_is_an_error():
    """A chart without beds is refused."""
    with pytest.raises(ValueError, match="at least one"):
        chart()
