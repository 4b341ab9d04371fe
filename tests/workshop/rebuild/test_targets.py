"""What a rebuilt frame must meet."""

import pytest
from rebuildshop import SETUP, bench

from passport.workshop.measuring.states import Missing
from passport.workshop.rebuild.targets import aims, window_of
from passport.workshop.solver.problem import Bounds

READ = "{mass: 330.4 g, balance: 320.5 mm, swingweight: 317 kgcm2, twistweight: 13.6 kgcm2}"


def test_the_setup_first_and_the_readings_for_the_rest(tmp_path):
    """What the setup asks for is exact; what it is silent about is read off the old frame, if it is known at all."""
    found = {a.quantity: a for a in aims(bench(tmp_path, readings=READ), "ada/main")}
    assert (found["mass"].target, found["mass"].u, found["mass"].source) == (330.0, 0.0, "setup")
    assert found["twistweight"].source == "readings" and found["twistweight"].u > 0
    bare = {a.quantity for a in aims(bench(tmp_path / "bare"), "ada/main")}
    assert bare == {"mass", "balance", "swingweight"}


def test_own_tolerances_and_the_workshops(tmp_path):
    """A target without a tolerance of its own has the workshop's."""
    setup = "setup: {mass: 330 g ± 0.4 g, balance: 320 mm, swingweight: 318 kgcm2}\n"
    found = {a.quantity: a.tolerance for a in aims(bench(tmp_path, setup=setup), "ada/main")}
    assert found == {"mass": 0.4, "balance": 2.0, "swingweight": 1.5}


def test_a_balance_in_points(tmp_path):
    """5 points head light of a frame of 685.8 mm is 5/8 in before its middle."""
    setup = "setup: {mass: 330 g, balance: 5 pt HL ± 1 pt, swingweight: 318 kgcm2}\n"
    found = {a.quantity: a for a in aims(bench(tmp_path, setup=setup), "ada/main")}
    assert found["balance"].target == pytest.approx(685.8 / 2 - 5 * 25.4 / 8)
    assert found["balance"].tolerance == pytest.approx(25.4 / 8)


def test_nothing_to_go_by(tmp_path):
    """A frame without a setup and without readings has no target, and what lacks is named."""
    with pytest.raises(Missing, match=r"no mass of ada/main.*names no target"):
        aims(bench(tmp_path, setup=""), "ada/main")


def test_as_a_window(tmp_path):
    """The search takes the targets as bands, and leaves the rest free."""
    found = window_of(aims(bench(tmp_path, setup=SETUP), "ada/main"))
    assert found.mass == Bounds(330, 1) and found.balance == Bounds(320, 1.5) and found.twistweight is None
