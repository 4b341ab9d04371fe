"""What was known of a string when a bed was strung: the beds before it, by the readings taken until then."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.physics import ageing
from passport.physics.ageing import PRIOR, AgedReading
from passport.physics.uncertainty import Estimate
from passport.workshop.strings.string_priors import POOL_SIZE, Evidence, StringPriors, rates_by_day

STRING = ("flint-120", "flint-120")
DAY = date(2026, 3, 14)
DAYS = st.dates(date(2020, 1, 1), date(2026, 12, 31))


def told(strung: date, *rates: tuple[date, float, float], string=STRING, frame="ada/main", job=0) -> Evidence:
    """One bed's rates."""
    return Evidence(frame, job, string, strung, rates)


def test_nothing_told_is_the_stated_prior():
    """Without any bed of the string the belief is the stated prior."""
    other = told(date(2025, 1, 1), (date(2025, 2, 1), 0.09, 0.01), string=("reed-125", "reed-125"))
    assert StringPriors([other]).belief(STRING, DAY) == PRIOR


@pytest.mark.parametrize(("taken", "beds"), [(date(2026, 2, 28), 1), (date(2026, 3, 1), 0), (date(2026, 4, 2), 0)])
def test_only_readings_before_the_month_count(taken, beds):
    """A reading speaks for the beds that were strung in a later month than it was taken in."""
    known = StringPriors([told(date(2026, 1, 5), (taken, 0.06, 0.01))])
    assert known.belief(STRING, DAY).beds == beds


def test_a_rate_is_taken_as_it_stood():
    """A bed that was read again later speaks by the readings it had then."""
    bed = told(date(2025, 1, 5), (date(2025, 2, 1), 0.06, 0.01), (date(2026, 3, 20), 0.03, 0.01))
    known = StringPriors([bed])
    assert known.belief(STRING, DAY) == ageing.pool([Estimate(0.06, 0.01)])
    assert known.belief(STRING, DAY + timedelta(days=40)) == ageing.pool([Estimate(0.03, 0.01)])


def test_the_newest_beds_speak():
    """Of many beds the newest are pooled, and no more than the pool holds."""
    day = date(2024, 1, 1)
    beds = [told(day + timedelta(days=n), (date(2025, 1, 1), 0.02 + n / 1e4, 0.01), job=n) for n in range(100)]
    newest = [Estimate(0.02 + n / 1e4, 0.01) for n in range(99, 99 - POOL_SIZE, -1)]
    assert StringPriors(beds).belief(STRING, DAY) == ageing.pool(newest)


@given(DAYS, DAYS, DAYS, st.floats(0.01, 0.1))
def test_later_readings_change_nothing(strung, other, taken, rate):
    """A reading taken in the month of a stringing or after it changes neither belief nor scatter for that stringing."""
    before = told(date(2019, 5, 1), (date(2019, 7, 1), 0.05, 0.01))
    one, two = StringPriors([before]), StringPriors([before, told(other, (taken, rate, 0.01), frame="bo/only")])
    if taken >= strung.replace(day=1):
        assert one.belief(STRING, strung) == two.belief(STRING, strung)
        assert one.scatter(strung) == two.scatter(strung)
    elif other < strung.replace(day=1):
        assert two.belief(STRING, strung).beds == one.belief(STRING, strung).beds + 1


@given(st.permutations(range(8)))
def test_the_order_of_beds_does_not_matter(order):
    """Beds told in any order give the same belief and scatter, to the last digit."""
    beds = [told(date(2025, 1 + n % 5, 1), (date(2025, 9, 1), 0.03 + n / 300, 0.01), frame=f"p{n}/a") for n in range(8)]
    one, two = StringPriors(beds), StringPriors([beds[i] for i in order])
    assert one.belief(STRING, DAY) == two.belief(STRING, DAY)
    assert one.scatter(DAY) == two.scatter(DAY)


def test_scatter_between_beds():
    """Beds that hardly differ pull the scatter below the stated one, beds that differ a lot push it above."""
    read, rates = date(2025, 9, 1), (0.04, 0.0401, 0.0399, 0.04)
    assert StringPriors([]).scatter(DAY) == ageing.BETWEEN_BEDS
    alike = [told(date(2025, 1, 1), (read, rate, 0.001), job=n) for n, rate in enumerate(rates)]
    apart = [told(date(2025, 1, 1), (read, rate * (n + 1), 0.001), job=n) for n, rate in enumerate(rates)]
    assert StringPriors(alike).scatter(DAY) < ageing.BETWEEN_BEDS < StringPriors(apart).scatter(DAY)


def test_rates_by_day():
    """Each day's readings give the rate of all until then; a day that adds no second age gives none."""
    fresh, next_day, old = (AgedReading(m, v, v * 0.002) for m, v in ((15, 100.0), (1440, 93.0), (100_000, 86.0)))
    rows = [(DAY, fresh), (DAY + timedelta(days=1), next_day), (DAY + timedelta(days=70), old)]
    found = list(rates_by_day(rows))
    assert [day for day, _, _ in found] == [day for day, _ in rows[1:]]
    whole = ageing.own_rate([fresh, next_day, old])
    assert whole
    assert found[-1][1:] == (whole.value, whole.u)
    assert list(rates_by_day(rows[:1])) == []
    both = ageing.own_rate([fresh, next_day])
    assert both
    assert list(rates_by_day([(DAY, fresh), (DAY, next_day)])) == [(DAY, both.value, both.u)]
