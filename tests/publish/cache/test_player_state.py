"""Unit conversions: exact factors, round trips and refusals."""

import math
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics import units

PAIRS: list[tuple[Callable[[float], float], Callable[[float], float]]] = [
    (units.newtons_from_lb, units.lb_from_newtons),
    (units.newtons_from_kg, units.kg_from_newtons),
    (units.grams_from_oz, units.oz_from_grams),
    (units.mm_from_inches, units.inches_from_mm),
    (units.kgcm2_from_ozin2, units.ozin2_from_kgcm2),
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


def test_grip_sizes_step_by_an_eighth_of_an_inch():
    """Each tennis grip size is 3.175 mm (an eighth of an inch) larger than the one before."""
    sizes = list(units.TENNIS_GRIP_MM.values())
    steps = [b - a for a, b in pairwise(sizes)]
    assert steps == pytest.approx([3.175] * 5)


def test_grip_mark_is_read_however_it_is_typed():
    """A grip mark may be typed in lower case or with blanks around it."""
    assert units.tennis_grip_mm(" l2 ") == units.tennis_grip_mm("L2")


@pytest.mark.parametrize("mark", ["G4", "L6", "", "4 3/8"])
def test_other_grip_marks_are_refused(mark):
    """A badminton size or any other mark is refused with the list of those that exist."""
    with pytest.raises(ValueError, match="L0, L1, L2, L3, L4, L5"):
        units.tennis_grip_mm(mark)


def test_the_grip_table_cannot_be_changed():
    """The grip table is read-only."""
    with pytest.raises(TypeError):
        units.TENNIS_GRIP_MM["L6"] = math.nan  # type: ignore[index]
