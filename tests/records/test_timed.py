"""Readings that give a timing in place of a swingweight."""

import math

import pytest
from pydantic import ValidationError

from passport.records import timed
from passport.records.schema.frame import Reading


def reading(**given: object) -> Reading:
    """A reading of a 300 g frame that balances at 350 mm."""
    return Reading.model_validate({"mass": "300 g", "balance": "350 mm", **given})


def test_rod_timed_by_its_period() -> None:
    """A uniform rod of 300 g and 700 mm swung about a pin at 100 mm with T0 = 1.2899407 s swings 310 kg·cm².

    Period by MuJoCo simulation and by the elliptic integral with g = 9.80665 m/s²; 310 is m·(L²/12 + 250²).
    """
    swung = timed.swingweight(reading(pendulum={"pivot": "100 mm", "period": "1.2899407 s"}), 700)
    assert swung == pytest.approx(310.0, abs=1e-4)


def test_time_of_many_swings_is_divided() -> None:
    """Ten swings in ten times the period, with the amplitude of half a radian taken out, are the same rod."""
    swings = {"pivot": "100 mm", "time": "13.103895 s", "swings": "10", "amplitude": f"{math.degrees(0.5):.9f} deg"}
    assert timed.swingweight(reading(pendulum=swings), 700) == pytest.approx(310.0, abs=1e-4)


def test_two_wires_level_give_the_swingweight() -> None:
    """A rod's I_cm = 122.5 kg·cm² turns on two wires in T = 4π·√(I·h/(M·g·D²)) (any mechanics text)."""
    period = 4 * math.pi * math.sqrt(122.5e-4 * 0.9 / (0.3 * 9.80665 * 0.5**2))
    wires = {"spacing": "500 mm", "wires": "900 mm", "time": f"{10 * period:.9f} s", "swings": "10"}
    assert timed.swingweight(reading(bifilar=wires), 700) == pytest.approx(310.0, abs=1e-4)
    assert timed.twistweight(reading(bifilar=wires)) is None


def test_two_wires_tip_down_give_the_twistweight() -> None:
    """Hung by the handle the same timing is the twistweight, and no swingweight."""
    period = 4 * math.pi * math.sqrt(14e-4 * 0.9 / (0.3 * 9.80665 * 0.1**2))
    wires = {"hung": "tip down", "spacing": "100 mm", "wires": "900 mm", "time": f"{period:.9f} s", "swings": "1"}
    assert timed.twistweight(reading(bifilar=wires)) == pytest.approx(14.0, abs=1e-4)
    assert timed.swingweight(reading(bifilar=wires), 700) is None


def test_without_a_timing_there_is_nothing() -> None:
    """A plain reading gives neither."""
    assert timed.swingweight(reading(), 700) is None
    assert timed.twistweight(reading()) is None


def test_hung_at_its_balance_point() -> None:
    """A frame that does not swing raises, in words."""
    with pytest.raises(ValueError, match="move the pivot"):
        timed.swingweight(reading(pendulum={"pivot": "350 mm", "period": "1.3 s"}), 700)


@pytest.mark.parametrize("given", [{"period": "1.3 s", "swings": "10"}, {"swings": "10"}, {}, {"time": "13 s"}])
def test_a_swing_is_timed_in_one_way(given: dict[str, str]) -> None:
    """Half a timing, or two, are refused."""
    with pytest.raises(ValidationError, match="timed either by"):
        reading(pendulum={"pivot": "0 mm", **given})
