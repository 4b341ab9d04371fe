"""What makers print, read as it is printed: patterns, head sizes, tension ranges, gauge numbers, classes, grips."""

import math

import pytest
from pydantic import ValidationError
from pydantic_core import PydanticCustomError

from passport.records.schema import as_printed, typical
from passport.records.schema.catalogue import FrameModel, StringType
from passport.records.sportrules import RULES

LEAST = {"maker": "Corvane", "name": "Aubier", "sport": "tennis", "head": "100 sq in"}


@pytest.mark.parametrize(
    ("text", "counts"), [("16x19", ("16", "19")), ("18 × 20", ("18", "20")), ("14/18", ("14", "18"))]
)
def test_patterns(text, counts):
    """Mains and crosses as they are printed."""
    assert as_printed.pattern_counts(text) == counts


@pytest.mark.parametrize(
    ("text", "mm2"),
    [
        ("100 sq in", 64516.0),
        ("100 sq. in.", 64516.0),
        ("100 in²", 64516.0),
        ("645 cm²", 64500.0),
        ("98 square inches", 63225.68),
    ],
)
def test_head_sizes(text, mm2):
    """A square inch is 645.16 mm² (1 in = 25.4 mm, exact, agreement of 1959)."""
    assert as_printed.read_area(text).value == pytest.approx(mm2)


@pytest.mark.parametrize("text", ["100", "1000 sq in", "10 sq in", "100 in"])
def test_head_sizes_that_are_none(text):
    """Without a unit of area, or of a size that no head has, it is an error that says what to write."""
    with pytest.raises(PydanticCustomError) as caught:
        as_printed.read_area(text)
    assert "sq in" in caught.value.context["do"]


@pytest.mark.parametrize(
    ("text", "ends"),
    [("50-60 lb", ("50 lb", "60 lb")), ("9–13 kg", ("9 kg", "13 kg")), ("20 lb to 28 lb", ("20 lb", "28 lb"))],
)
def test_tension_ranges(text, ends):
    """Both ends have the unit that stands behind the second."""
    assert as_printed.span(text) == ends


@pytest.mark.parametrize("number", ["17", "16 ga", "16L", "22 gauge"])
def test_gauge_numbers_are_the_mm_that_is_meant(number):
    """A number lies within the mm that makers print for it, and is remembered as a number."""
    found = as_printed.read_gauge(number)
    low, high = as_printed.gauge_span(found)
    assert low <= found.value <= high and found.unit == "ga" and found.text == number
    assert as_printed.gauge_span(as_printed.read_gauge("1.25 mm")) is None


def test_gauges_get_thinner():
    """A higher number is a thinner string, and an L a bit thinner than without."""
    middles = [sum(span) for span in as_printed.GAUGES.values()]
    assert middles == sorted(middles, reverse=True)


@pytest.mark.parametrize(("text", "low", "high"), [("4U", 80, 84.9), ("3U", 85, 89.9), ("300 g", 300, 300)])
def test_printed_masses(text, low, high):
    """Badminton's classes are 5 g apart downwards (from memory); a figure stands for itself."""
    found = as_printed.read_mass(text)
    assert (found.low, found.high) == (low, high)


@pytest.mark.parametrize(
    ("text", "sport", "mm"),
    [
        ("L3", "tennis", 111.125),
        ("3", "tennis", 111.125),
        ("4 3/8", "tennis", 111.125),
        ("3 1/4", "badminton", 82.55),
        ("G5", "badminton", None),
        ("3", "badminton", None),
    ],
)
def test_grips(text, sport, mm):
    """Tennis sizes are 4 + n/8 in (common practice); badminton's G numbers have no mm of their own."""
    assert as_printed.grip_mm(text, sport) == (None if mm is None else pytest.approx(mm))
    assert as_printed.is_grip(text, sport)


@pytest.mark.parametrize("text", ["L33", "4 3/9", "55", "G9"])
def test_grips_that_are_none(text):
    """A slip is no size."""
    assert not as_printed.is_grip(text, "tennis")


@pytest.mark.parametrize("sport", typical.USUAL)
def test_a_model_needs_four_things(sport):
    """Maker, name, sport and head size are enough; the rest is assumed within the sport's rules, and says so."""
    size = {"tennis": "100 sq in", "squash": "75 sq in", "badminton": "345 cm²", "racketball": "88 sq in"}[sport]
    shape = FrameModel.model_validate({**LEAST, "sport": sport, "head": size}).shape()
    assert {"length", "rim", "handle", "mains", "aspect", "throat"} <= {name for name, _ in shape.assumed}
    assert shape.head_area == pytest.approx(as_printed.read_area(size).value)
    limits = RULES[sport]
    assert (
        shape.length <= limits.length
        and shape.head_length <= limits.head_length
        and shape.head_width <= limits.head_width
    )


def test_what_is_recorded_is_not_assumed():
    """A dimension that somebody measured is no longer among the assumed ones."""
    shape = FrameModel.model_validate(
        {**LEAST, "length": "27 in", "rim": "12 mm", "pattern": "16x19", "throat": "open"}
    ).shape()
    assert {name for name, _ in shape.assumed} == {"aspect", "handle", "handle_width"}
    assert (shape.length, shape.mains, shape.crosses) == (685.8, 16, 19)


@pytest.mark.parametrize(
    "change", [{"pattern": "16 and 19"}, {"tension": "60 lb"}, {"head": {"length": "340 mm"}}, {"head": "100"}]
)
def test_what_is_not_plain_is_an_error_with_the_fix(change):
    """What could mean two things is refused."""
    with pytest.raises(ValidationError) as caught:
        FrameModel.model_validate({**LEAST, **change})
    assert caught.value.errors()[0]["ctx"]["do"]


def test_a_string_may_have_a_number():
    """A string's packet says 17."""
    assert StringType(maker="Brisevent", name="Sablier", material="nylon", gauge="17").gauge.unit == "ga"


@pytest.mark.parametrize("text", ["17 / 1.25 mm", "17 (1.25 mm)", "1.25 mm / 17", "1.25 mm (17)", "16L/1,25 mm"])
def test_of_a_number_and_mm_the_mm_count(text):
    """Packets print both; the mm are no guess."""
    found = as_printed.read_gauge(text)
    assert (found.value, as_printed.gauge_span(found), as_printed.gauge_u(found)) == (1.25, None, 0.0)


def test_a_gauge_number_widens():
    """17 is 1.16 to 1.25 mm: half of that over √3 (JCGM 100, 4.3.7), as a share of the middle."""
    assert as_printed.gauge_u(as_printed.read_gauge("17")) == pytest.approx(0.045 / math.sqrt(3) / 1.205, rel=0.01)


def test_a_class_is_badmintons():
    """4U on a tennis frame is an error with the fix."""
    assert FrameModel.model_validate({**LEAST, "sport": "badminton", "head": "345 cm²", "mass": "4U"}).mass.is_class
    with pytest.raises(ValidationError) as caught:
        FrameModel.model_validate({**LEAST, "mass": "4U"})
    assert "'300 g'" in caught.value.errors()[0]["ctx"]["do"]


def test_inches_in_words():
    """27 in, 27 inches and 27" are one length."""
    assert {
        FrameModel.model_validate({**LEAST, "length": text}).length.value for text in ("27 in", "27 inches", '27"')
    } == {685.8}


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("100 sq in", {"size": "100 sq in"}),
        ("76 sq in teardrop", {"size": "76 sq in", "form": "teardrop"}),
        ("490 cm², Egg", {"size": "490 cm²", "form": "egg"}),
        ("330 x 246 mm", {"length": "330 mm", "width": "246 mm"}),
        ("34.2 × 18.4 cm teardrop", {"length": "34.2 cm", "width": "18.4 cm", "form": "teardrop"}),
        ("13in x 9.7 in, ellipse", {"length": "13 in", "width": "9.7 in", "form": "ellipse"}),
        ("wide", {"size": "wide"}),
    ],
)
def test_a_head_in_one_line(text, parts):
    """Size, or length and width, and the form behind it; what is none of these is read as a size and refused there."""
    assert as_printed.head_parts(text, ("ellipse", "egg", "teardrop")) == parts


def test_the_form_that_was_written_is_not_assumed():
    """A squash head in one line has its outline and its printed area, and nothing of its form is assumed."""
    shape = FrameModel.model_validate({**LEAST, "sport": "squash", "head": "76 sq in teardrop"}).shape()
    assert shape.joined
    assert not shape.is_assumed("outline")
    assert shape.head_area == pytest.approx(76 * 25.4**2)


@pytest.mark.parametrize(("text", "what"), [("62 mm", "62 mm"), ("62 at 40 mm", "62"), ("62 mm at high", "high")])
def test_widths_that_are_none(text, what):
    """A width without its height, without a unit, or at no height is refused with what is wrong."""
    with pytest.raises(PydanticCustomError, match=what):
        as_printed.read_width(text)
