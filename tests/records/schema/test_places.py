"""Places on a racquet, as the trade says them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic_core import PydanticCustomError

from passport.physics.geometry import RacquetShape
from passport.records.schema.places import NAMED, parse_place

SHAPE = RacquetShape(685, 330, 248, 11, 200, 31, "open", 16, 19)


@pytest.mark.parametrize(
    ("text", "hour"),
    [
        ("12", 0),
        ("6", 6),
        ("3 and 9", 3),
        ("9 and 3", 3),
        ("9 & 3", 3),
        ("9/3", 3),
        ("10+2", 2),
        ("10 and 2 o'clock", 2),
        ("3 o'clock", 3),
        ("3 and 9 o’clock", 3),
        ("9", 3),
        ("10:30 and 1:30", 1.5),
        ("10.5", 1.5),
        ("10.25", 1.75),
        ("12:30", 0.5),
        ("12 and 12", 0),
        ("  10   and  2 ", 2),
    ],
)
def test_clock_positions(text: str, hour: float) -> None:
    """An o'clock position stands for itself and its mirror image, whichever side is named."""
    assert parse_place(text).hour == pytest.approx(hour)


@pytest.mark.parametrize(
    ("text", "at", "side"),
    [
        ("3 only", 3, "right"),
        ("3 o'clock only", 3, "right"),
        ("9 alone", 9, "left"),
        ("10:30 only", 10.5, "left"),
        ("12 only", 0, ""),
        ("6 only", 6, ""),
        ("3", 3, ""),
        ("9 and 3", 3, ""),
    ],
)
def test_one_side_only(text: str, at: float, side: str) -> None:
    """``only`` says that there is one strip; an hour without it stands for the pair, as it always did."""
    place = parse_place(text)
    assert (place.at, place.side) == (at, side)
    assert place.mirrored == (not side and at not in (0, 6))


def test_two_places_are_not_one_only() -> None:
    """A pair that is said to be one strip is asked about."""
    with pytest.raises(PydanticCustomError, match="names two places"):
        parse_place("3 and 9 only")


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("352 mm", (352, 352)),
        ("at 352 mm", (352, 352)),
        ("20 mm to 60 mm", (20, 60)),
        ("20 to 60 mm", (20, 60)),
        ("20 mm to 60", (20, 60)),
        ("20mm–60mm", (20, 60)),
        ("20mm-60mm", (20, 60)),
        ("2 cm to 60 mm", (20, 60)),
        ("1/2 in", (12.7, 12.7)),
    ],
)
def test_spans_along_the_frame(text: str, span: tuple[float, float]) -> None:
    """Millimetres from the butt, one or two of them, with one unit for both where it is written once."""
    assert parse_place(text).span == pytest.approx(span)


@pytest.mark.parametrize("name", NAMED)
def test_named_places_lie_on_the_frame(name: str) -> None:
    """Each named place is a stretch between butt and tip, in any spelling of its letters."""
    place = parse_place(name.upper())
    low, high = place.extent(SHAPE)
    assert place.name == name
    assert 0 <= low < high <= SHAPE.length


def test_named_places_in_order_from_the_butt() -> None:
    """Butt cap, handle, throat and bumper follow each other from the butt to the tip."""
    middle = {name: sum(parse_place(name).extent(SHAPE)) / 2 for name in NAMED}
    order = ["butt cap", "inside the handle", "along the handle", "top of the handle", "throat"]
    order += ["between the mains", "on the string bed", "under the bumper"]
    assert sorted(order, key=middle.__getitem__) == order


@pytest.mark.parametrize(
    ("name", "length", "expected"),
    [
        ("top of the handle", 30, (170, 200)),
        ("along the handle", 150, (0, 150)),
        ("inside the handle", 30, (10, 40)),
        ("butt cap", 4, (3, 7)),
    ],
)
def test_a_length_shortens_a_named_place(name: str, length: float, expected: tuple[float, float]) -> None:
    """What is laid on the handle begins where it is laid from; the rest lies about its middle."""
    assert parse_place(name).extent(SHAPE, length) == pytest.approx(expected)


def test_extent_on_the_hoop_is_the_point_of_the_hour() -> None:
    """Twelve is at the tip, less half the rim, and six at the throat's side of the head."""
    assert parse_place("12").extent(SHAPE) == pytest.approx((679.5, 679.5))
    assert parse_place("6").extent(SHAPE) == pytest.approx((338.5, 338.5))


def test_extent_in_millimetres_is_as_written() -> None:
    """Exact millimetres stand above any proportion, and above a part's length."""
    assert parse_place("20 to 60 mm").extent(SHAPE, 100) == (20, 60)


def test_the_same_place_in_another_spelling() -> None:
    """Two spellings of one place are the same spot; two places are not."""
    assert parse_place("3 and 9").spot == parse_place("9 & 3").spot
    assert parse_place("20 to 60 mm").spot == parse_place("2 cm to 6 cm").spot
    assert parse_place("3 only").spot == parse_place("3:00 alone").spot
    assert len({parse_place(t).spot for t in ("3 and 9", "3 only", "9 only", "12", "throat", "20 mm")}) == 6


@pytest.mark.parametrize(
    "text",
    ["", "0", "13", "13 and 11", "10 and 14", "3 and 8", "12 and 6", "10.30", "1:75", "352", "60 mm to 20 mm", "tip"],
)
def test_unknown_places(text: str) -> None:
    """What no clock shows, pairs that are no mirror image, and unknown words are not places."""
    with pytest.raises(PydanticCustomError) as caught:
        parse_place(text)
    assert (caught.value.context or {})["rule"] == "unknown-place"


@pytest.mark.parametrize(
    ("text", "rule"),
    [("2 m", "impossible-value"), ("20 kg to 60 kg", "unknown-unit"), ("20 to 60", "missing-unit")],
)
def test_a_span_is_refused_as_a_length_is(text: str, rule: str) -> None:
    """A span with a unit that is none, without one, or beyond any racquet is refused by the rules of lengths."""
    with pytest.raises(PydanticCustomError) as caught:
        parse_place(text)
    assert (caught.value.context or {})["rule"] == rule


def test_a_misspelt_name_is_suggested() -> None:
    """A near miss of a named place names it."""
    with pytest.raises(PydanticCustomError) as caught:
        parse_place("top of handle")
    assert (caught.value.context or {})["do"] == "Did you mean 'top of the handle'?"


@given(st.integers(1, 12), st.integers(0, 59))
def test_every_time_equals_its_mirror_image(hours: int, minutes: int) -> None:
    """A time on the clock and its mirror image are one place, named alone or together."""
    total = (60 * hours + minutes) % 720
    other = (720 - total) % 720
    one, two = (f"{t // 60 or 12}:{t % 60:02d}" for t in (total, other))
    assert parse_place(one).hour == pytest.approx(parse_place(two).hour)
    assert parse_place(f"{one} and {two}").hour == pytest.approx(parse_place(one).hour)
    assert 0 <= (parse_place(one).hour or 0.0) <= 6


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text raises anything but a refusal with a rule and two sentences."""
    try:
        parse_place(text)
    except PydanticCustomError as refusal:
        assert set(refusal.context or {}) == {"rule", "what", "do"}
