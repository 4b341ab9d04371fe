"""Readings as figures: off the machine, or timed."""

import math
from datetime import date

import pytest

from passport.records.schema.frame import Reading
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.measured import estimates, figures

DAY = date(2026, 5, 1)
BENCH = Instruments()


def estimate(**given: object):
    """The estimates of one reading on a frame of 700 mm."""
    return estimates(Reading.model_validate(given), DAY, 700.0, BENCH)


def test_each_quantity_that_was_read():
    """A reading gives what it has and no more."""
    assert set(estimate(mass="300 g", balance="350 mm", ring="500 Hz")) == {"mass", "balance"}
    assert set(estimate(ring="500 Hz")) == set()


def test_a_machine_with_its_axis_elsewhere():
    """A swingweight about 4 in is brought to 10 cm: I₁₀₀ = I − M(B − 101.6)² + M(B − 100)² (parallel axes)."""
    found = estimate(mass="300 g", balance="350 mm", swingweight="306.4 kgcm2", axis="4 in")
    expected = 306.4 + 300 * (250**2 - 248.4**2) / 1e5
    assert found["swingweight"].value == pytest.approx(expected)


def test_another_axis_without_mass_says_nothing():
    """Without mass and balance a figure about another axis cannot be brought to the usual one."""
    assert estimate(swingweight="306.4 kgcm2", axis="4 in") == {}
    assert "swingweight" in estimate(swingweight="306.4 kgcm2", axis="100 mm")


def test_a_rod_as_a_pendulum():
    """A rod of 300 g and 700 mm about 100 mm with T0 = 1.2899407 s (MuJoCo, elliptic integral) swings 310 kg·cm²."""
    found = estimate(mass="300 g", balance="350 mm", pendulum={"pivot": "100 mm", "period": "1.2899407 s"})
    assert found["swingweight"].value == pytest.approx(310.0, abs=1e-4)
    assert 0.3 < found["swingweight"].u < 3.0


def test_more_swings_are_surer():
    """A watch started and stopped by hand matters less the more swings it counts."""
    one = estimate(mass="300 g", balance="350 mm", pendulum={"pivot": "100 mm", "time": "1.29 s", "swings": "1"})
    many = estimate(mass="300 g", balance="350 mm", pendulum={"pivot": "100 mm", "time": "64.50 s", "swings": "50"})
    assert many["swingweight"].u < one["swingweight"].u / 5


def test_wires_level_and_tip_down():
    """I = M·g·D²·T²/(16π²·h) (any mechanics text): level it is I_cm, tip down the twistweight."""
    period = 4 * math.pi * math.sqrt(14e-4 * 0.9 / (0.3 * 9.80665 * 0.1**2))
    wires = {"spacing": "100 mm", "wires": "900 mm", "time": f"{20 * period:.6f} s", "swings": "20"}
    level = estimate(mass="300 g", balance="350 mm", bifilar=wires)
    down = estimate(mass="300 g", balance="350 mm", bifilar={**wires, "hung": "tip down"})
    assert level["swingweight"].value == pytest.approx(14.0 + 300 * 250**2 / 1e5, abs=1e-3)
    assert down["twistweight"].value == pytest.approx(14.0, abs=1e-4)
    assert "twistweight" not in level and "swingweight" not in down


def test_each_reading_has_errors_of_its_own():
    """Two readings share what their instruments share, and gravity, and nothing else."""
    pendulum = {"pivot": "0 mm", "period": "1.400 s"}
    reading = Reading.model_validate({"mass": "300 g", "balance": "350 mm", "pendulum": pendulum})
    one, other = (
        {name for f in figures(reading, DAY, 700.0, BENCH, label).values() for name in f.inputs} for label in "ab"
    )
    assert one & other == {"scale, unchecked", "balance board, unchecked", "gravity"}
