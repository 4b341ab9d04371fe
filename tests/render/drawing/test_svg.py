"""The outer element of drawings, short numbers, safe text."""

import xml.etree.ElementTree as ET

import pytest

from passport.render.drawing.svg import document, num, nums, plain, safe_id, text
from passport.render.theme.palette import CSS_PAINT, PRINT_PAINT


@pytest.mark.parametrize(
    ("value", "written"), [(0.04, "0"), (-0.04, "0"), (12.0, "12"), (12.34, "12.3"), (-0.06, "-0.1"), (100.0, "100")]
)
def test_numbers_are_short(value: float, written: str) -> None:
    """Numbers are rounded to a tenth, without trailing zeros or a minus zero."""
    assert num(value) == written


def test_whole_numbers_keep_their_zeros() -> None:
    """Rounding to no places does not eat the zeros of a whole number."""
    assert num(100.4, 0) == "100"


def test_minus_parts_numbers() -> None:
    """A space is left out where a minus sign parts two numbers."""
    assert nums(1, -2.5, 3) == "1-2.5 3"


@pytest.mark.parametrize(("key", "name"), [("4Q7-K2 target", "d-4q7-k2-target"), ("<b>", "d-b"), ("", "d-x")])
def test_ids_are_plain(key: str, name: str) -> None:
    """An id made from any key has letters, digits and hyphens only."""
    assert safe_id(key) == name


def test_document_is_named_for_screen_readers() -> None:
    """Title comes first, title and description are what aria-labelledby points at, and markup in them is inert."""
    svg = ET.fromstring(document("<g/>", key="k", title="A <b> & c", desc="Why", box=(0, 0, 10, 5), paint=CSS_PAINT))
    ids = {e.get("id"): e.text for e in svg.iter() if e.get("id")}
    assert [ids[i] for i in svg.get("aria-labelledby", "").split()] == ["A <b> & c", "Why"]
    assert svg[0].tag.endswith("title")
    assert (svg.get("role"), svg.get("viewBox"), svg.get("class")) == ("img", "0 0 10 5", "drawing")


def test_document_for_print_names_its_font() -> None:
    """In print the drawing carries the typeface itself, and takes its size from the caller."""
    out = document("", key="k", title="t", desc="", box=(0, 0, 1, 1), paint=PRINT_PAINT, extra='width="10mm"')
    assert 'font-family="House Text"' in out
    assert 'width="10mm"' in out
    assert "class=" not in out
    assert "<desc" not in out


def test_text_is_escaped() -> None:
    """Text from a record cannot open an element."""
    assert ET.fromstring(text(1, 2, "<i>&", size=9, paint="", anchor="end", strong=True)).text == "<i>&"


def test_characters_that_xml_forbids_become_spaces() -> None:
    """Control characters and broken pairs in a record do not break the drawing."""
    out = document("", key="k", title="a\x00b\nc\ud800", desc="\x1b[31m", box=(0, 0, 1, 1), paint=CSS_PAINT)
    assert ET.fromstring(out)[0].text == "a b c "
    assert plain("Łódź ½ → ✓") == "Łódź ½ → ✓"
