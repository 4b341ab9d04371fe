"""Quantities as people write them: every unit, both ways of writing a fraction, and refusals that say what to write."""

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError
from pydantic_core import PydanticCustomError

from passport.physics import units as u
from passport.records.schema import quantities as q

DIMENSIONS = [q.MASS, q.LENGTH, q.BALANCE, q.GAUGE, q.TENSION, q.INERTIA, q.DENSITY, q.PERCENT, q.MINUTES, q.SECONDS,
              q.ANGLE, q.RING, q.ANYTHING]  # fmt: skip
TYPES: list[Any] = [q.Mass, q.Length, q.TensionSpread, q.Gauge, q.Tension, q.Inertia, q.LinearDensity, q.Percent,
                    q.Minutes, q.Seconds, q.Angle, q.Ring, q.Anything, q.MassBand, q.InertiaBand]  # fmt: skip


def _refusal(text: str, dimension: q.Dimension) -> dict[str, str]:
    with pytest.raises(PydanticCustomError) as caught:
        q.parse(text, dimension)
    return dict(caught.value.context or {})


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("312.4 g", q.MASS, 312.4),
        ("0.3124 kg", q.MASS, 312.4),
        ("11 oz", q.MASS, 311.844754375),
        ("352 mm", q.LENGTH, 352),
        ("35.2cm", q.LENGTH, 352),
        ("27 in", q.LENGTH, 685.8),
        ("13 7/8 in", q.LENGTH, 352.425),
        ('13 7/8"', q.LENGTH, 352.425),
        ("7/8 in", q.LENGTH, 22.225),
        ("27 lb", q.TENSION, 120.101983612),
        ("27 lbs.", q.TENSION, 120.101983612),
        ("12,2 kg", q.TENSION, 119.64113),
        ("110 N", q.TENSION, 110),
        ("164 kg·cm²", q.INERTIA, 164),
        ("164 kgcm2", q.INERTIA, 164),
        ("164 kg*cm^2", q.INERTIA, 164),
        ("164 KG CM2", q.INERTIA, 164),
        ("1.52 g/m", q.DENSITY, 1.52),
        ("10%", q.PERCENT, 10),
        ("0 %", q.PERCENT, 0),
        ("15 min", q.MINUTES, 15),
        ("2 h", q.MINUTES, 120),
        ("84 d", q.MINUTES, 120_960),
        ("30 s", q.MINUTES, 0.5),
        ("585 Hz", q.RING, 585),
        ("18.6 lb", q.RING, 82.7369220438),
        ("27\u00a0lb", q.TENSION, 120.101983612),
        ("27\u202flb", q.TENSION, 120.101983612),
    ],
)
def test_value_in_the_canonical_unit(text: str, dimension: q.Dimension, value: float) -> None:
    """Each way of writing comes out in g, mm, N, kg·cm², g/m, minutes or Hz.

    The pound, the inch and the ounce are exact by the international yard and pound agreement of 1959; a pound-force is
    4.4482216152605 N and a kilogramme-force 9.80665 N (NIST Special Publication 811, appendix B).
    """
    assert q.parse(text, dimension).value == pytest.approx(value, rel=1e-9)


def test_number_and_unit_are_kept_as_written() -> None:
    """A page can show what the technician typed."""
    quantity = q.parse(" 12,2  kg ", q.TENSION)
    assert (quantity.amount, quantity.unit, quantity.text) == (12.2, "kg", "12,2 kg")


@pytest.mark.parametrize(
    ("text", "dimension", "rule"),
    [
        ("27", q.TENSION, "missing-unit"),
        ("12.2", q.TENSION, "missing-unit"),
        ("7/8", q.LENGTH, "missing-unit"),
        ("27 stone", q.TENSION, "unknown-unit"),
        ("352 mm", q.MASS, "unknown-unit"),
        ("164 kg", q.INERTIA, "unknown-unit"),
        ("2 kg", q.TENSION, "impossible-value"),
        ("3300 g", q.MASS, "impossible-value"),
        ("0 g", q.MASS, "impossible-value"),
        ("-3 g", q.MASS, "impossible-value"),
        ("−3 g", q.MASS, "impossible-value"),
        ("1/0 in", q.LENGTH, "impossible-value"),
        ("13 1/0 in", q.LENGTH, "impossible-value"),
        ("12.5 mm", q.GAUGE, "impossible-value"),
        ("", q.MASS, "bad-value"),
        ("about 330 g", q.MASS, "bad-value"),
        (".5 g", q.MASS, "bad-value"),
        ("1 000 g", q.MASS, "bad-value"),
        ("1.234.5 g", q.MASS, "bad-value"),
        ("1,234.5 g", q.MASS, "bad-value"),
        ("nan g", q.MASS, "bad-value"),
        ("١٢ g", q.MASS, "bad-value"),
        ("9" * 59 + " g", q.MASS, "bad-value"),
    ],
)
def test_refused_with_its_rule(text: str, dimension: q.Dimension, rule: str) -> None:
    """A bare number, a foreign unit, a number that cannot be and what is no quantity are told apart."""
    assert _refusal(text, dimension)["rule"] == rule


def test_a_missing_unit_is_shown_with_the_number_as_written() -> None:
    """The advice repeats the number with a unit behind it, and names the others."""
    assert _refusal("27", q.TENSION)["do"] == "Add the unit, as in '27 lb' (one of: lb, kg, N)."


def test_an_impossible_value_is_told_its_range_in_its_own_unit() -> None:
    """The advice gives the limits in the unit that was written."""
    assert "at most 45.89 kg" in _refusal("122 kg", q.TENSION)["do"]
    assert "at least 0 and" in _refusal("50 %", q.PERCENT)["do"]


@pytest.mark.parametrize("dimension", DIMENSIONS, ids=lambda d: d.example)
def test_each_example_is_itself_sound(dimension: q.Dimension) -> None:
    """The example that a refusal shows would be accepted."""
    assert q.parse(dimension.example, dimension).text == dimension.example


@pytest.mark.parametrize("dimension", DIMENSIONS, ids=lambda d: d.example)
def test_each_unit_that_is_offered_is_known_and_none_is_left_out(dimension: q.Dimension) -> None:
    """The units that a refusal lists are those of the dimension, one spelling for each of them."""
    what = _refusal("1 furlong", dimension)["do"]
    offered = re.findall(r"[^\s,]+", what.partition(": ")[2].partition(". For example")[0])
    factors = [dimension.units[unit.lower().replace("·", "").replace("²", "2")] for unit in offered]
    shadowed = {u.N_PER_KGF} if dimension is q.ANYTHING else set()  # there a kg is a mass
    assert set(factors) | shadowed == set(dimension.units.values())


@given(st.text(max_size=80), st.sampled_from(DIMENSIONS))
def test_any_text_is_read_or_refused(text: str, dimension: q.Dimension) -> None:
    """No text raises anything but a refusal with a rule and two sentences, and none comes out of range."""
    try:
        value = q.parse(text, dimension).value
    except PydanticCustomError as refusal:
        assert set(refusal.context or {}) == {"rule", "what", "do"}
    else:
        assert dimension.low < value <= dimension.high


@given(st.decimals(1, 900, places=2), st.sampled_from(["g", "G", " g", " grams"]))
def test_every_number_comes_back(amount: Any, unit: str) -> None:
    """What is written with two decimals is read as just that, whichever mark stands before them."""
    for text in (f"{amount}{unit}", f"{amount}{unit}".replace(".", ",", 1)):
        assert q.parse(text, q.MASS).value == float(amount)


@pytest.mark.parametrize(
    ("text", "target", "tolerance"),
    [
        ("312 g ± 1 g", 312, 1),
        ("312 ± 1 g", 312, 1),
        ("312 g ± 1", 312, 1),
        ("312 g +/- 1.5 g", 312, 1.5),
        ("312 g +- 1 g", 312, 1),
        ("0.312 kg ± 1 g", 312, 1),
        ("312 g", 312, None),
    ],
)
def test_bands(text: str, target: float, tolerance: float | None) -> None:
    """A target stands with or without its tolerance, and one unit serves both."""
    band = q.parse_band(text, q.MASS)
    assert band.target.value == pytest.approx(target)
    assert (band.tolerance.value if band.tolerance else None) == tolerance
    assert band.text == text


@pytest.mark.parametrize("text", ["312 ± 1", "± 1 g", "312 g ±", "312 g ± 0 g", "312 g ± 1 mm"])
def test_bands_that_are_refused(text: str) -> None:
    """A band needs a unit, a target and a tolerance above nothing."""
    with pytest.raises(PydanticCustomError):
        q.parse_band(text, q.MASS)


def test_a_tolerance_may_be_smaller_than_any_target() -> None:
    """The range of a target does not bind its tolerance."""
    tension = q.parse_band("50 lb ± 0.2 lb", q.TENSION)
    assert tension.tolerance is not None
    assert tension.tolerance.amount == 0.2


@pytest.mark.parametrize("kind", TYPES)
@pytest.mark.parametrize("value", [27, 27.5, True, None, ["27 lb"], {"value": 27}])
def test_only_text_is_read(kind: Any, value: object) -> None:
    """A list, a block or a bare native number where a quantity is needed is refused with an example."""
    with pytest.raises(ValidationError, match="A single value is needed here"):
        TypeAdapter(kind).validate_python(value)


def test_a_quantity_that_was_read_is_taken_as_it_is() -> None:
    """Records can be made of quantities as well as of text."""
    mass = q.parse("312 g", q.MASS)
    assert TypeAdapter(q.Mass).validate_python(mass) is mass


@pytest.mark.parametrize("kind", TYPES)
def test_each_type_shows_editors_an_example_that_it_reads(kind: Any) -> None:
    """The JSON Schema's example is accepted by the type, and by the schema's own pattern."""
    adapter: TypeAdapter[Any] = TypeAdapter(kind)
    schema = adapter.json_schema()
    (example,) = schema["examples"]
    adapter.validate_python(example)
    assert re.search(schema["pattern"], example)
