"""What a bare figure means."""

import pytest

from passport.physics.units import N_PER_KGF
from passport.records.schema.quantities import TENSION, parse
from passport.records.schema.workshop import Units
from passport.workshop.entry.bare import lent, unit_of, with_units

METRIC = Units.model_validate("metric")
POUNDS = Units.model_validate({"tension": "lb", "balance": "points"})


def test_the_shop_says_what_a_bare_figure_means():
    """One figure or two for mains and crosses, with a decimal comma too; what has a unit keeps it."""
    said = {"tension": "24,5/23.5", "before_balance": "319.5", "mass": "330", "ring": "578", "fit": ["1"], "note": "5"}
    assert with_units(said, METRIC) == {
        "tension": "24,5/23.5 kg",
        "before_balance": "319.5 mm",
        "mass": "330 g",
        "ring": "578",
        "fit": ["1"],
        "note": "5",
    }
    assert with_units({"tension": "52 lb", "balance": "4 HL"}, METRIC) == {"tension": "52 lb", "balance": "4 HL"}
    assert (unit_of("mains_tension", POUNDS), unit_of("balance", POUNDS)) == ("lb", "pt")


def test_a_shop_without_units_has_no_bare_figures():
    """Nothing is guessed: the figure stays bare, and whoever reads it asks for its unit."""
    said = {"tension": "52", "mass": "330", "balance": "320"}
    assert with_units(said, Units()) == said


def test_a_kilogram_of_pull_is_the_standard_one():
    """24 kg of pull are 235.36 N: standard gravity, 9.80665 m/s² (CGPM 1901), so that units only change the writing."""
    assert parse(lent("24", unit_of("tension", METRIC)), TENSION).value == pytest.approx(24 * 9.80665)
    assert pytest.approx(9.80665) == N_PER_KGF


@pytest.mark.parametrize("word", ["metrical", "kg", ""])
def test_another_word_names_no_units(word):
    """An unknown word is an error with what to write."""
    with pytest.raises(ValueError, match="names no units"):
        Units.model_validate(word)
