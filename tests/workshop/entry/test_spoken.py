"""Days to come and changes of tension as they are said over the counter."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.workshop.entry.phrases import Unclear, is_change, pulled_from
from passport.workshop.entry.spoken import MOST_AHEAD, coming_day

TODAY = date(2026, 11, 25)
"""A Wednesday: day 3 of ISO 8601's week 2026-W48."""


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("friday", 27),
        ("Fri", 27),
        ("thursday", 26),
        ("tomorrow", 26),
        ("today", 25),
        ("in 3 days", 28),
        ("in a day", 26),
        ("in two days", 27),
        ("2026-11-30", 30),
    ],
)
def test_a_day_is_understood(text, day):
    """Weekdays are the next one of that name."""
    assert coming_day(text, TODAY) == date(2026, 11, day)


@given(st.dates(date(2020, 1, 1), date(2040, 1, 1)), st.integers(1, 7))
def test_a_weekday_is_within_the_next_seven_days(today, iso):
    """The day named is one to seven days ahead and has the ISO 8601 weekday of its name, whatever today is."""
    name = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")[iso - 1]
    found = coming_day(name, today)
    assert timedelta(days=1) <= found - today <= timedelta(days=7)
    assert found.isoweekday() == iso


@pytest.mark.parametrize(
    "text", ["yesterday", "2026-11-24", "2027-11-30", "t", "in no days", "soon", "in 400 days ago"]
)
def test_a_day_that_cannot_be_meant_is_refused(text):
    """What is over, more than a year away or no day at all."""
    with pytest.raises(Unclear):
        coming_day(text, TODAY)
    assert MOST_AHEAD == 366


@pytest.mark.parametrize(
    ("text", "last", "now"),
    [
        # 1 lb is 0.45359237 kg (exact, international pound), so 1 kg is 2.2046 lb
        ("two pounds looser", "51 lb", "49 lb"),
        ("-2 lb", "24.5 kg", "23.6 kg"),
        ("+1 kg", "51 lb", "53.2 lb"),
        ("half a kilo less", "24.5 kg", "24 kg"),
        ("a pound up", "51 lb", "52 lb"),
        ("1.5 lbs tighter", "51.5 lb", "53 lb"),
        ("−2 lb", "51 lb", "49 lb"),
    ],
)
def test_a_change_of_tension_is_worked_out_in_the_last_ones_unit(text, last, now):
    """In words or with a sign, in lb or kg, to the tenth."""
    assert is_change(text)
    assert pulled_from(text, last) == now


@pytest.mark.parametrize("text", ["52 lb", "looser", "2 looser", "-2 lb looser", "52/50 lb", "", "2 mm looser", "+2"])
def test_what_is_no_change_is_not_taken_for_one(text):
    """A tension by itself, a direction without an amount, a sign and a word at once."""
    assert not is_change(text)


@pytest.mark.parametrize(("text", "last"), [("60 lb looser", "51 lb"), ("2 lb looser", ""), ("90 kg up", "24 kg")])
def test_a_change_that_leads_nowhere_is_refused(text, last):
    """Nothing left, nothing to start from, or more than any racquet is strung with."""
    with pytest.raises(Unclear):
        pulled_from(text, last)
