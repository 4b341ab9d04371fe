"""The mass of what is on a frame."""

from typing import Any

import pytest

from passport.physics.geometry import RacquetShape
from passport.records.masses import (
    added_mass,
    counted,
    densities,
    fitted_mass,
    linear_density,
    string_mass,
    strip_count,
)
from passport.records.schema.catalogue import Part, StringType
from passport.records.schema.frame import Fitted, Frame, Reading, Stringing
from passport.records.timeline import Holding, now

SHAPE = RacquetShape(685, 330, 248, 11, 200, 31, "open", 16, 19)
PARTS = {
    "tape": Part.model_validate({"kind": "tape", "name": "Tape", "per_length": "20 g/m"}),
    "thin": Part.model_validate({"kind": "overgrip", "name": "Thin", "mass": "5 g"}),
    "putty": Part.model_validate({"kind": "putty", "name": "Putty"}),
}
STRINGS = {
    "reed": StringType.model_validate(
        {"maker": "m", "name": "n", "material": "nylon", "gauge": "1.25 mm", "weighed": "1.42 g/m"}
    ),
    "flint": StringType.model_validate({"maker": "m", "name": "n", "material": "polyester", "gauge": "1.20 mm"}),
    "odd": StringType.model_validate({"maker": "m", "name": "n", "material": "other", "gauge": "1.20 mm"}),
}


def _fitted(part: str, place: str, **more: str) -> Fitted:
    return Fitted.model_validate({"part": part, "place": place, **more})


def _strung(mains: str, crosses: str | None = None, **more: str) -> Stringing:
    data: dict[str, Any] = {"mains": {"string": mains, "tension": "24 kg", **more}}
    if crosses:
        data["crosses"] = {"string": crosses, "tension": "23 kg"}
    return Stringing.model_validate(data)


@pytest.mark.parametrize(
    ("place", "count"),
    [("12", 1), ("6", 1), ("3 and 9", 2), ("9", 2), ("throat", 1), ("352 mm", 1), ("12 and 12", 1)],
)
def test_strips(place: str, count: int) -> None:
    """An o'clock position has two strips, but at 12 and 6, and anywhere else, there is one piece."""
    assert strip_count(_fitted("tape", place)) == count


@pytest.mark.parametrize(
    ("fitted", "mass"),
    [
        (_fitted("tape", "12", length="60 mm"), 1.2),
        (_fitted("tape", "3 and 9", length="60 mm"), 2.4),
        (_fitted("tape", "3 and 9", length="60 mm", mass="2.2 g"), 2.2),
        (_fitted("tape", "12"), None),
        (_fitted("thin", "along the handle"), 5.0),
        (_fitted("thin", "along the handle", mass="4.6 g"), 4.6),
        (_fitted("putty", "butt cap"), None),
        (_fitted("putty", "butt cap", mass="3 g"), 3.0),
        (_fitted("unheard-of", "12"), None),
        (_fitted("unheard-of", "12", mass="3 g"), 3.0),
    ],
)
def test_mass_of_a_fitted_part(fitted: Fitted, mass: float | None) -> None:
    """As weighed; else tape by its length on both sides; else a piece by the catalogue; else nobody knows."""
    found = fitted_mass(fitted, PARTS)
    assert found == (None if mass is None else pytest.approx(mass))


def test_a_weighed_string_wins_over_the_estimate() -> None:
    """The catalogue's g/m is taken where there is one."""
    assert linear_density(STRINGS["reed"]) == 1.42


def test_another_gauge_scales_a_weighed_string() -> None:
    """The mass of a solid round string goes with the square of its diameter (any geometry text)."""
    thin = _strung("reed", gauge="1.15 mm").mains
    assert linear_density(STRINGS["reed"], thin) == pytest.approx(1.42 * (1.15 / 1.25) ** 2)


def test_a_string_of_unknown_material_has_no_estimate() -> None:
    """Nothing is made up where neither weight nor material is known."""
    assert linear_density(STRINGS["odd"]) is None
    assert densities(_strung("reed", "odd"), STRINGS) is None
    assert densities(_strung("unheard-of"), STRINGS) is None
    assert string_mass(_strung("odd"), STRINGS, SHAPE) is None


def test_a_hybrid_has_two_densities() -> None:
    """Mains and crosses are weighed apart; without crosses of their own they are like the mains."""
    mains, crosses = densities(_strung("reed", "flint"), STRINGS) or (0.0, 0.0)
    assert mains == 1.42
    assert crosses == linear_density(STRINGS["flint"])
    assert densities(_strung("reed"), STRINGS) == (1.42, 1.42)


def test_string_mass_is_length_times_density() -> None:
    """A bed of one string weighs its g/m times the length of all strings inside the ellipse."""
    lengths = sum(map(SHAPE.main_length, SHAPE.main_positions())) + sum(
        map(SHAPE.cross_length, SHAPE.cross_positions())
    )
    assert string_mass(_strung("reed"), STRINGS, SHAPE) == pytest.approx(1.42 * lengths / 1000)


def test_a_string_bed_weighs_less_than_a_set_of_string() -> None:
    """A set for one tennis frame is 12 m long, and not all of it lies inside the head (common practice, no source)."""
    mass = string_mass(_strung("reed"), STRINGS, SHAPE)
    assert mass is not None
    assert 0.6 * 12 * 1.42 < mass < 12 * 1.42


@pytest.mark.parametrize(
    ("reading", "mass"),
    [
        ({"state": "bare"}, 5 + 1.2),
        ({"state": "bare", "without": "overgrip"}, 1.2),
        ({"state": "bare", "without": ["overgrip", "tape"]}, 0.0),
    ],
)
def test_added_mass_in_the_state_of_a_reading(reading: dict[str, Any], mass: float) -> None:
    """What a reading leaves off is not counted, nor are strings on a bare frame."""
    holding = Holding((_fitted("thin", "along the handle"), _fitted("tape", "12", length="60 mm")), _strung("reed"))
    assert added_mass(holding, Reading.model_validate(reading), PARTS, STRINGS, SHAPE) == pytest.approx(mass)


def test_strings_are_added_to_a_strung_reading() -> None:
    """The difference between strung and bare is the mass of the strings."""
    holding = Holding((_fitted("thin", "along the handle"),), _strung("reed"))
    strung, bare = (
        added_mass(holding, Reading.model_validate({"state": s}), PARTS, STRINGS, SHAPE) for s in ("strung", "bare")
    )
    assert strung is not None and bare is not None
    assert strung - bare == pytest.approx(string_mass(_strung("reed"), STRINGS, SHAPE))


@pytest.mark.parametrize("state", ["strung", "bare"])
def test_one_unknown_mass_makes_the_sum_unknown(state: str) -> None:
    """A sum that leaves something out would be wrong without saying so."""
    holding = Holding((_fitted("thin", "along the handle"), _fitted("putty", "butt cap")), _strung("reed"))
    assert added_mass(holding, Reading.model_validate({"state": state}), PARTS, STRINGS, SHAPE) is None


def test_a_strung_reading_without_known_strings_is_unknown() -> None:
    """A frame that came in strung, with nobody knowing what with, has no known added mass."""
    assert added_mass(Holding(), Reading(), PARTS, STRINGS, SHAPE) is None
    assert added_mass(Holding(), Reading(state="bare"), PARTS, STRINGS, SHAPE) == 0


def test_unknown_parts_are_counted_as_on_the_frame() -> None:
    """Only a part whose kind is known can be left off by kind."""
    assert counted(_fitted("unheard-of", "12"), PARTS, ["overgrip"])
    assert not counted(_fitted("thin", "along the handle"), PARTS, ["overgrip"])


def test_a_whole_record() -> None:
    """From a record's text to grammes: tape of 20 g/m, 60 mm on both sides, replaced by 40 mm."""
    frame = Frame.model_validate(
        {
            "model": "m",
            "label": "l",
            "jobs": [
                {"date": "2026-01-01", "fitted": {"part": "tape", "place": "3 and 9", "length": "60 mm"}},
                {"date": "2026-02-01", "fitted": {"part": "tape", "place": "9 and 3", "length": "40 mm"}},
            ],
        }
    )
    assert added_mass(now(frame, PARTS), Reading(state="bare"), PARTS, STRINGS, SHAPE) == pytest.approx(1.6)
