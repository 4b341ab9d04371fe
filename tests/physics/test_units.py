"""Unit conversions: exact factors, round trips and refusals."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics import units

PAIRS: list[tuple[Callable[[float], float], Callable[[float], float]]] = [
    (units.newtons_from_lb, units.lb_from_newtons),
    (units.newtons_from_kg, units.kg_from_newtons),
]


@settings(deadline=None)  # the machine may be busy
@given(st.floats(1e-3, 1e6), st.sampled_from(PAIRS))
def test_there_and_back(value, pair):
    """Each conversion and its inverse give the value back."""
    there, back = pair
    assert back(there(value)) == pytest.approx(value, rel=1e-14)


@settings(deadline=None)  # the machine may be busy
@given(st.floats(-40, 40), st.floats(500, 750))
def test_points_there_and_back(points, length):
    """Balance points turned into mm and back are unchanged, head heavy and head light being opposite signs."""
    balance = units.balance_from_head_heavy(points, length)
    assert units.points_head_heavy(balance, length) == pytest.approx(points, abs=1e-9)
    assert units.points_head_light(balance, length) == pytest.approx(-points, abs=1e-9)
    assert units.balance_from_head_light(-points, length) == pytest.approx(balance)


def test_a_centred_balance_has_no_points():
    """A frame that balances at half its length is neither head light nor head heavy."""
    assert units.points_head_heavy(342.9, 685.8) == 0


def test_more_balance_is_more_head_heavy():
    """A balance nearer to the tip is head heavy."""
    assert units.points_head_heavy(360, 685.8) > 0
    assert units.points_head_light(320, 685.8) > 0
