"""When a frame should be restrung."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.bench.due import restring_by

DAY = date(2026, 3, 4)


@given(st.floats(1, 21))
def test_at_least_as_many_times_a_year_as_played_a_week(plays):
    """Restringing on the day it is due comes to at least as many times a year as the player plays a week.

    Common practice, no source.
    """
    due = restring_by(DAY, plays)
    assert due is not None
    gap = (due - DAY).days
    assert gap * plays <= 365 < (gap + 1) * plays


@pytest.mark.parametrize("plays", [0.1, 0.5, 1])
def test_at_least_once_a_year(plays):
    """Strings of a player who plays less than once a week are still renewed once a year."""
    assert restring_by(DAY, plays) == DAY + timedelta(days=365)


@pytest.mark.parametrize("plays", [None, 0])
def test_nothing_is_made_up(plays):
    """Where nobody noted how often the player plays there is no date."""
    assert restring_by(DAY, plays) is None
