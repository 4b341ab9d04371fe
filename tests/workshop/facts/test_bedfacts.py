"""The facts of a bed's life: what is left at an age or on a day, which reading was last, which reason comes first."""

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.workshop.facts.bedfacts import BatchFacts, BatchMember, BedLife, BedPoint, DueFacts, DueReason

DAY = date(2026, 1, 5)


def life(rate: float = 0.05, rate_u: float = 0.002, points: tuple[BedPoint, ...] = ()) -> BedLife:
    """A life with a known rate."""
    return BedLife(DAY, None, "Reed", points, rate, rate_u, "own", 1.0, 2, 0)


def point(age: float | None, left: float | None = None) -> BedPoint:
    """A reading of some age."""
    return BedPoint(580, "Hz", DAY, age, left)


def test_fresh_is_the_whole():
    """A quarter of an hour after stringing all of the fresh tension is left, for certain."""
    found = life().left(15)
    assert (found.value, found.low, found.high) == (1, 1, 1)


@given(st.floats(16, 1e6), st.floats(1.01, 100))
def test_each_tenfold_age_takes_the_same(minutes, factor):
    """What is left falls with the logarithm of the age, and never rises."""
    found = life()
    fall = found.left(minutes).value - found.left(minutes * factor).value
    assert fall == pytest.approx(0.05 * math.log10(factor), abs=1e-9)


def test_the_band_is_two_standard_uncertainties():
    """The band widens with the age: ± 2·u of the rate for each decade (k = 2, JCGM 100, 6.3.3)."""
    found = life().left(15 * 1000)
    assert found.value == pytest.approx(0.85)
    assert (found.low, found.high) == (pytest.approx(0.85 - 2 * 0.002 * 3), pytest.approx(0.85 + 2 * 0.002 * 3))


def test_nothing_is_less_than_nothing():
    """A band that would reach below nothing ends there."""
    assert life(0.3, 0.2).left(1e7).low == 0


def test_a_day_is_taken_at_noon():
    """A day after the stringing stands for its noon; the day itself, and any before, for a day's age."""
    found = life()
    assert found.left_on(DAY + timedelta(days=10)) == found.left(10.5 * 1440)
    assert found.left_on(DAY) == found.left(1440) == found.left_on(DAY - timedelta(days=3))


def test_the_last_reading_is_the_oldest_bed():
    """The last reading is the one taken at the greatest age, and one without an age is none."""
    assert life(points=(point(15, 1.0), point(900, 0.9), point(None), point(60, 0.98))).last.age == 900
    assert life(points=(point(None),)).last is None
    assert life().last is None


def test_the_first_reason_is_the_day():
    """Due is the day of the first reason."""
    reasons = (DueReason("loss", DAY, 0.2), DueReason("plays", DAY + timedelta(days=3), 4))
    found = DueFacts(reasons, DAY)
    assert (found.day, found.first.kind) == (DAY, "loss")


def test_the_odd_member():
    """The odd member is the one marked so; a batch without one has none."""
    members = tuple(BatchMember(str(n), str(n), 600, "Hz", 15, 0.0, n == 2) for n in range(3))
    assert BatchFacts(DAY, 15, members, True, 1, 1, "outside").odd is members[2]
    assert BatchFacts(DAY, 15, members[:2], True, 1, 1, "inside").odd is None
