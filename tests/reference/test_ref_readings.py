"""Readings against simulated racquets whose truth is known: coverage, verdicts, and what two bodies have in common."""

import math
from datetime import date

import numpy as np
import pytest
import simulatedbench
from rebuildshop import bench, strung_frame

from passport.physics.uncertainty import conformity
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.instruments import through as corrected_by
from passport.workshop.rebuild.match import match

COUNT = 1500
SPREAD = math.sqrt(0.9545 * 0.0455 / COUNT)
"""How much the share within two standard uncertainties scatters in so many draws (binomial)."""


@pytest.mark.parametrize("kinds", simulatedbench.KINDS, ids=["usual", "coarse"])
def test_simulated_racquets_lie_within_what_is_stated(kinds, counted):
    """95.45 % of true masses, balances and swingweights lie within ± two u, and z has a standard deviation of 1.

    Three standard deviations of the share in so many draws are allowed to either side; a reference known to half a gramme
    and nothing better is no normal distribution, so that ± two u cover up to 3 % more there (a rectangle: all of it).
    `tests/support/simulatedbench.py 20000` is the full form: 94 to 96 % on the usual bench.
    """
    told = simulatedbench.simulate(COUNT, kinds, 11)
    for line in simulatedbench.table(COUNT, told):
        counted(f"simulated racquets, {line}")
    for quantity in simulatedbench.TARGETS:
        assert (
            0.9545 - 3 * SPREAD
            <= told.covered[quantity] / COUNT
            <= (0.9545 if kinds is simulatedbench.KINDS[0] else 0.985) + 3 * SPREAD
        )
        assert np.std(told.errors[quantity]) == pytest.approx(1, abs=4 / math.sqrt(2 * COUNT))


@pytest.mark.parametrize("kinds", simulatedbench.KINDS, ids=["usual", "coarse"])
def test_a_truth_outside_is_called_inside_no_more_often_than_stated(kinds):
    """Of those called inside so many are outside as the stated probabilities add up to, within three roots of that."""
    told = simulatedbench.simulate(COUNT, kinds, 12)
    for quantity in simulatedbench.TARGETS:
        expected = told.expected[quantity]
        assert told.wrongly[quantity] <= expected + 3 * math.sqrt(expected) + 1
        assert told.wrongly[quantity] <= 0.0228 * max(1, told.inside[quantity]) + 3


def test_two_readings_alike_on_one_unchecked_machine(tmp_path):
    """A frame and one to match it that read alike on a machine that was never checked are alike with p near 0.99.

    As if their corrections were independent p would be 0.265 (worked by hand from u = √2·1 % of the swingweight).
    """
    figures = "mass: 330 g, balance: 320 mm, swingweight: 318 kgcm2"
    frames = {"one": strung_frame("One", figures), "two": strung_frame("Two", figures)}
    shop = (
        "name: Bench Nine\naddress: https://cards.bench-nine.example\ninstruments:\n"
        "  - {kind: swing machine, name: M, resolution: 0.5 kgcm2, repeatability: 0.25 kgcm2}\n"
        "  - {kind: scale, name: S, resolution: 0.1 g}\n  - {kind: balance board, name: B, resolution: 0.5 mm}\n"
    )
    work = bench(tmp_path, frames=frames, workshop=shop)
    found = match(work, ["ada/two"], "ada/one").members[0].plans[0]
    swing = next(o for o in found.outlook if o.quantity == "swingweight")
    assert not found.additions
    assert swing.probability > 0.99
    alone = work.known(work.frame("ada/one"), work.as_measured(work.frame("ada/one"))[1]).body.swingweight()
    assert conformity(0.0, math.sqrt(2) * alone.u, -1.5, 1.5).probability == pytest.approx(0.265, abs=0.01)


def test_a_first_check_of_the_cradle_is_worth_it():
    """An unchecked cradle adds 0.2 kg·cm² to the uncertainty of a twistweight (common practice, no source)."""
    one = Instruments().twistweight(13.4, date(2026, 5, 1), "t", 0.1)
    look = math.hypot(0.1 / math.sqrt(12), 0.1)
    assert corrected_by(one.corrected, one.inputs).u == pytest.approx(math.hypot(0.2, look, 0.134), rel=1e-3)
