"""The text types that all records are made of."""

from datetime import date
from typing import Annotated, Any

import pytest
from pydantic import TypeAdapter, ValidationError

from passport.records.schema import base
from passport.records.schema.base import Record
from passport.records.schema.numbers import new_key, with_check
from passport.records.schema.visibility import Public


class Shelf(Record):
    """A record for these tests."""

    name: Public[base.Text]
    items: Public[Annotated[tuple[base.Text, ...], base.OneOrMore]] = ()


def _refusal(kind: Any, value: object) -> dict[str, str]:
    with pytest.raises(ValidationError) as caught:
        TypeAdapter(kind).validate_python(value)
    (error,) = caught.value.errors()
    return error["ctx"]


def test_records_are_immutable() -> None:
    """A record's field cannot be changed."""
    shelf = Shelf(name="Left")
    with pytest.raises(ValidationError, match="frozen"):
        shelf.name = "Right"  # type: ignore[misc]


def test_unknown_keys_are_refused() -> None:
    """A key that no field knows is an error, not ignored."""
    with pytest.raises(ValidationError, match="Extra inputs"):
        Shelf.model_validate({"name": "Left", "nmae": "Right"})


def test_text_is_stripped() -> None:
    """Spaces around a text are no part of it."""
    assert Shelf.model_validate({"name": "  Left "}).name == "Left"


@pytest.mark.parametrize("value", [["a", "b"], ("a", "b")])
def test_a_list_is_a_tuple(value: object) -> None:
    """A list in a file is an immutable tuple in the record."""
    assert Shelf.model_validate({"name": "Left", "items": value}).items == ("a", "b")


def test_one_value_may_stand_for_a_list() -> None:
    """A single value where a list is meant is a list of one."""
    assert Shelf.model_validate({"name": "Left", "items": "a"}).items == ("a",)


@pytest.mark.parametrize("text", ["2026-03-04", " 2026-03-04 "])
def test_days(text: str) -> None:
    """A date is year, month, day."""
    assert TypeAdapter(base.Day).validate_python(text) == date(2026, 3, 4)


def test_a_date_that_was_read_is_taken_as_it_is() -> None:
    """Records can be made of dates as well as of text."""
    assert TypeAdapter(base.Day).validate_python(date(2026, 3, 4)) == date(2026, 3, 4)


@pytest.mark.parametrize(
    "text", ["4.3.2026", "3/4/2026", "2026-3-4", "20260304", "2026-03", "today", "", "２０２６-03-04"]
)
def test_other_forms_of_a_date_are_refused(text: str) -> None:
    """No guess is made at which number is the month."""
    assert _refusal(base.Day, text)["rule"] == "bad-date"


@pytest.mark.parametrize("text", ["2026-02-29", "2026-13-01", "2026-00-10", "0000-01-01"])
def test_days_that_are_not_in_the_calendar(text: str) -> None:
    """The form alone does not make a day."""
    assert "no day" in _refusal(base.Day, text)["what"]


def test_numbers_and_keys_are_checked() -> None:
    """A sound number and a sound key are taken, others refused by their own rules."""
    assert TypeAdapter(base.Number).validate_python(with_check(1042)) == with_check(1042)
    key = new_key()
    assert TypeAdapter(base.Key).validate_python(key) == key
    assert _refusal(base.Number, "1042-1")["rule"] == "bad-number"
    assert _refusal(base.Key, key[:-1])["what"] == "This key has 25 characters."
    assert _refusal(base.Key, "O" + key[1:])["what"] == "A key holds no 'O'."


@pytest.mark.parametrize("text", ["José Ñandú", "日本", "tab\there", "two\nlines", "a\u200db", "\u05d0\u200f", "🎾"])
def test_text_of_any_writing_is_taken(text: str) -> None:
    """Accents, other scripts, line breaks, tabs, joiners and emoji are text."""
    assert TypeAdapter(base.Text).validate_python(text) == text


@pytest.mark.parametrize(
    "character", ["\x00", "\x07", "\x1b", "\r", "\x7f", "\x85", "\u2028", "\u202e", "\u2066", "\ufeff"]
)
def test_text_cannot_steer_a_terminal_or_turn_the_writing_around(character: str) -> None:
    """Control characters, line separators and directional overrides are refused and named."""
    refusal = _refusal(base.Text, f"a{character}b")
    assert refusal["rule"] == "control-character"
    assert f"U+{ord(character):04X}" in refusal["what"]


def test_colours_are_hexadecimal() -> None:
    """A colour is # and six digits, in small letters once read."""
    assert TypeAdapter(base.Colour).validate_python("#0B5560") == "#0b5560"
    assert {_refusal(base.Colour, text)["rule"] for text in ("petrol", "#0b5", "0b5560", "#0b556g")} == {"bad-value"}


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("https://cards.shop.example", "https://cards.shop.example"),
        ("https://cards.shop.example/p/", "https://cards.shop.example/p"),
        ("http://localhost:8000", "http://localhost:8000"),
    ],
)
def test_web_addresses(text: str, read: str) -> None:
    """An address has its scheme, and no slash at its end once read."""
    assert TypeAdapter(base.WebAddress).validate_python(text) == read


@pytest.mark.parametrize(
    "text",
    [
        "cards.shop.example",
        "javascript:alert(1)",
        "ftp://shop.example",
        "https://a b.example",
        "https://x/?q=1",
        "https://",
    ],
)
def test_what_is_no_web_address(text: str) -> None:
    """Other schemes, spaces and queries are refused."""
    assert _refusal(base.WebAddress, text)["rule"] == "bad-address"


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("Butt cap (L3)", "butt-cap-l3"),
        ("  Été 1,25 ", "ete-1-25"),
        ("日本", "deep-petrol-125"),
        ("a" * 59 + " b", "a" * 59),
    ],
)
def test_a_suggested_name_is_one_that_would_be_taken(text: str, slug: str) -> None:
    """The suggestion for a catalogue name keeps what it can, and is always sound."""
    assert base.slug_of(text) == slug
    assert base.SLUG.fullmatch(base.slug_of(text))
