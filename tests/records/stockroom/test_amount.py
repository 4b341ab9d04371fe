"""Amounts of what is in stock."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pint import UnitRegistry
from pydantic_core import PydanticCustomError

from passport.records.stockroom.amount import parse_amount, told


@pytest.mark.parametrize(
    ("text", "value", "measure"),
    [
        ("200 m", 200, "m"),
        ("1250 cm", 12.5, "m"),
        ("40 ft", 12.192, "m"),  # international foot, 0.3048 m exactly (pint agrees, below)
        ("300 g", 300, "g"),
        ("1.5 kg", 1500, "g"),
        ("12 pieces", 12, "pieces"),
        ("1 piece", 1, "pieces"),
        ("3 sets", 3, "pieces"),
        ("0.5 sets", 0.5, "pieces"),
        ("0 m", 0, "m"),
        ("0 pieces", 0, "pieces"),
    ],
)
def test_an_amount(text: str, value: float, measure: str) -> None:
    """A length, a mass or a count, in the measure that lots are kept in."""
    found = parse_amount(text)
    assert (found.value, found.measure, found.text) == (pytest.approx(value), measure, text)


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "ft", "g", "kg", "oz"])
def test_units_are_pints(unit: str) -> None:
    """Each unit has the factor that pint gives it."""
    found = parse_amount(f"7 {unit}")
    assert found.value == pytest.approx(UnitRegistry().Quantity(7, unit).to(found.measure).magnitude)


@pytest.mark.parametrize("text", ["", "200", "12 lb of tension", "-3 m", "3.7 sets", "many", "12,,5 m"])
def test_no_amount(text: str) -> None:
    """What is none is refused with what to write."""
    with pytest.raises(PydanticCustomError) as caught:
        parse_amount(text)
    assert (caught.value.context or {})["do"]


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text raises anything but a refusal."""
    try:
        assert parse_amount(text).value >= 0
    except PydanticCustomError as error:
        assert (error.context or {})["what"]


def test_told() -> None:
    """Amounts in words, with their measure."""
    assert [told(43.21, "m"), told(1200, "g"), told(1, "pieces"), told(2.5, "pieces")] == [
        "43.2 m", "1200 g", "1 piece", "2.5 pieces",
    ]  # fmt: skip
