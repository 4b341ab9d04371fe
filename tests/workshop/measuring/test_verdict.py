"""Verdicts on a measured quantity, and what a setup asks for."""

import math

import pytest

from passport.physics.uncertainty import Estimate
from passport.records.schema.frame import Setup
from passport.workshop.measuring.verdict import judge, wanted


@pytest.mark.parametrize(("value", "u", "verdict"), [
    (100.0, 0.1, "inside"), (100.8, 0.1, "inside"), (100.9, 0.1, "undecided"), (101.1, 0.1, "undecided"),
    (101.3, 0.1, "outside"), (98.7, 0.1, "outside"), (100.0, 0.6, "undecided"),
])  # fmt: skip
def test_guarded_acceptance(value, u, verdict):
    """Inside only two standard uncertainties within both limits, outside only so far beyond one (JCGM 106, 8.3)."""
    assert judge(Estimate(value, u), 100.0, 1.0).verdict == verdict


def test_exact_figure_on_the_limit_is_inside():
    """A figure without uncertainty that sits on its limit is inside, though 330.3 − 330 is not quite 0.3 in binary."""
    assert judge(Estimate(330.3, 0.0), 330.0, 0.3).verdict == "inside"


def test_probability_is_that_of_a_normal_distribution():
    """At one standard uncertainty from a limit 84.13 % conform (table of the normal distribution, JCGM 106, 7.4)."""
    found = judge(Estimate(102.0, 1.0), 100.0, 3.0)
    assert found.probability == pytest.approx(0.841344, abs=1e-5)


@pytest.mark.parametrize("given", [(None, 100.0, 1.0), (Estimate(1, 1), None, 1.0), (Estimate(1, 1), 100.0, None)])
def test_open_without_a_figure_or_a_target(given):
    """Where a figure is missing nothing is judged."""
    found = judge(*given)
    assert (found.verdict, found.probability) == ("open", None)


def test_what_a_setup_asks_for():
    """Targets come with their own tolerance or without, a balance in points by the frame's length (1 point = 1/8 in)."""
    setup = Setup.model_validate({"mass": "312 ± 2 g", "balance": "4 pt HL", "swingweight": "310 kgcm2"})
    assert wanted(setup, "mass", 685.8) == (312.0, 2.0)
    assert wanted(setup, "balance", 685.8) == (pytest.approx(685.8 / 2 - 4 * 25.4 / 8), None)
    assert wanted(setup, "swingweight", 685.8) == (310.0, None)
    assert wanted(setup, "twistweight", 685.8) == (None, None)
    assert math.isclose(wanted(Setup.model_validate({"balance": "320 mm ± 1 mm"}), "balance", 1.0)[1], 1.0)
