"""Balance as the trade writes it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic_core import PydanticCustomError

from passport.records.schema.balance import parse_balance


@pytest.mark.parametrize(
    ("text", "length", "mm"),
    [
        ("322 mm", 685, 322),
        ("32.2 cm", 685, 322),
        ("12 5/8 in", 685.8, 320.675),
        ("4 pt HH", 685.8, 355.6),
        ("4 pts HL", 685.8, 330.2),
        ("4 points head-light", 685.8, 330.2),
        ("4 point head heavy", 685.8, 355.6),
        ("4HL", 685.8, 330.2),
        ("4,5 pt HL", 685.8, 328.6125),
        ("-4 pt HL", 685.8, 355.6),
        ("0 pt", 685.8, 342.9),
        ("even", 685.8, 342.9),
        ("EB", 685.8, 342.9),
        ("0 pt EB", 685.8, 342.9),
    ],
)
def test_balance_in_mm(text: str, length: float, mm: float) -> None:
    """Points are eighths of an inch from the middle of the length (common practice, no source)."""
    assert parse_balance(text).mm(length) == pytest.approx(mm)


@pytest.mark.parametrize(
    ("text", "tolerance"),
    [
        ("322 mm ± 2 mm", 2),
        ("322 ± 2 mm", 2),
        ("322 mm ± 2", 2),
        ("32.2 cm +/- 1 mm", 1),
        ("4 pt HH ± 2 mm", 2),
        ("4 pt HH ± 0.5 pt", 1.5875),
        ("even ± 1 mm", 1),
        ("4 pt HH", None),
        ("322 mm", None),
    ],
)
def test_tolerance_in_mm(text: str, tolerance: float | None) -> None:
    """A tolerance is in millimetres, in another length, or in points of an eighth of an inch."""
    assert parse_balance(text).tolerance_mm == tolerance


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("4 pt", "missing-unit"),
        ("322", "missing-unit"),
        ("322 ± 2", "missing-unit"),
        ("4 pt left", "unknown-unit"),
        ("99 pt HH", "impossible-value"),
        ("4 pt EB", "impossible-value"),
        ("2 m", "impossible-value"),
        ("in the middle", "bad-value"),
        ("4 pt HH ±", None),
    ],
)
def test_refused_with_its_rule(text: str, rule: str | None) -> None:
    """Points without a side, bare numbers and what cannot be are refused; a lone ± says nothing and harms nothing."""
    if rule is None:
        assert parse_balance(text).tolerance_mm is None
        return
    with pytest.raises(PydanticCustomError) as caught:
        parse_balance(text)
    assert (caught.value.context or {})["rule"] == rule


@given(st.floats(0.1, 59.9), st.floats(500, 750))
def test_head_light_and_head_heavy_are_mirror_images(points: float, length: float) -> None:
    """As many points head light as head heavy lie as far on the other side of the middle."""
    light, heavy = (parse_balance(f"{points:.3f} pt {side}").mm(length) for side in ("HL", "HH"))
    assert light + heavy == pytest.approx(length)
    assert light < heavy


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text raises anything but a refusal with a rule and two sentences."""
    try:
        parse_balance(text)
    except PydanticCustomError as refusal:
        assert set(refusal.context or {}) == {"rule", "what", "do"}
