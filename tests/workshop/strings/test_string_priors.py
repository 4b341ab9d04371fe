"""What was known of a string and of the reader when a bed was strung: the beds before it, by the readings until then."""

import math
import random
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics import pooling
from passport.physics.ageing import PRIOR
from passport.physics.bedfit import STATED
from passport.workshop.strings.string_priors import ENOUGH_PLAYED, POOL_SIZE, Evidence, StringPriors

STRING = ("flint-120", "flint-120")
DAY = date(2026, 3, 14)
DAYS = st.dates(date(2020, 1, 1), date(2026, 12, 31))
MINUTES = 1440.0


def told(
    strung: date, *taken: date, k=0.05, h=0.0, noise=(), string=STRING, frame="ada/main", job=0, hours=0.0
) -> Evidence:
    """A bed read at a quarter of an hour and on other days, with ``hours`` played on each day of its age."""
    ages = [15.0, *(max(1, (day - strung).days) * MINUTES for day in taken)]
    off = [*noise, *([0.0] * len(ages))]
    rows = [
        (
            day,
            age,
            v := 50 * (1 - k * math.log10(age / 5) - h * hours * age / MINUTES) * math.exp(error),
            v * 0.004,
            "N",
        )
        for day, age, error in zip((strung, *taken), ages, off, strict=False)
    ]
    played = tuple((day, age, hours * age / MINUTES) for day, age in zip(taken, ages[1:], strict=True)) if hours else ()
    return Evidence(frame, job, string, strung, tuple(rows), played)


def pooled(*beds: Evidence, by: date = date(2026, 3, 1)):
    """What some beds say by a day, without hours of play."""
    noise = pooling.noise_of([[bed.by(by, played=True) for bed in beds if len(bed.by(by)) > 2]])
    return pooling.pool([pooling.line_of(bed.by(by), noise) for bed in beds], noise)


def test_nothing_told_is_the_stated_prior():
    """Without any bed of the string the belief is the stated prior, and without any bed the noise the stated one."""
    other = told(date(2025, 1, 1), date(2025, 2, 1), string=("reed-125", "reed-125"))
    assert StringPriors([other]).belief(STRING, DAY) == PRIOR
    assert StringPriors([]).noise(DAY) == STATED


@pytest.mark.parametrize(("taken", "beds"), [(date(2026, 2, 28), 1), (date(2026, 3, 1), 0), (date(2026, 4, 2), 0)])
def test_only_readings_before_the_month_count(taken, beds):
    """A reading speaks for the beds that were strung in a later month than it was taken in."""
    known = StringPriors([told(date(2026, 1, 5), taken)])
    assert known.belief(STRING, DAY).beds == beds


def test_a_bed_speaks_by_the_readings_it_had():
    """A bed that was read again later speaks by the readings it had then."""
    bed = told(date(2025, 1, 5), date(2025, 2, 1), date(2026, 3, 20), noise=(0.0, 0.0, 0.02))
    known = StringPriors([bed])
    assert known.belief(STRING, DAY) == pooled(told(date(2025, 1, 5), date(2025, 2, 1)))
    later = DAY + timedelta(days=40)
    assert known.belief(STRING, later) == pooled(bed, by=later.replace(day=1))


def test_the_newest_beds_speak():
    """Of many beds the newest are pooled, and no more than the pool holds."""
    day = date(2024, 1, 1)
    beds = [told(day + timedelta(days=n), date(2025, 1, 1), k=0.02 + n / 3e3, job=n) for n in range(100)]
    assert StringPriors(beds).belief(STRING, DAY) == pooled(*reversed(beds[-POOL_SIZE:]))


@settings(deadline=None)
@given(DAYS, DAYS, DAYS, st.floats(0.01, 0.1))
def test_later_readings_change_nothing(strung, other, taken, rate):
    """A reading taken in the month of a stringing or after it changes neither belief, noise nor scatter for it."""
    before = told(date(2019, 5, 1), date(2019, 7, 1), date(2019, 9, 1), k=0.05, noise=(0, 0.01))
    bed = told(min(other, taken), taken, k=rate, frame="bo/only")
    one, two = StringPriors([before]), StringPriors([before, Evidence("bo/only", 0, STRING, other, bed.readings[1:])])
    whole = StringPriors([before, Evidence("bo/only", 0, STRING, strung, bed.readings)])
    if taken >= strung.replace(day=1):
        assert one.belief(STRING, strung) == two.belief(STRING, strung) == whole.belief(STRING, strung)
        assert one.noise(strung) == two.noise(strung) == whole.noise(strung)
        assert one.scatter(strung) == two.scatter(strung) == whole.scatter(strung)


@settings(deadline=None, max_examples=20)
@given(st.permutations(range(8)))
def test_the_order_of_beds_does_not_matter(order):
    """Beds told in any order give the same belief, noise and scatter, to the last digit."""
    beds = [told(date(2025, 1 + n % 5, 1), date(2025, 8, 1), date(2025, 9, 1), k=0.03 + n / 300, frame=f"p{n}/a")
            for n in range(8)]  # fmt: skip
    one, two = StringPriors(beds), StringPriors([beds[i] for i in order])
    assert one.belief(STRING, DAY) == two.belief(STRING, DAY)
    assert one.noise(DAY) == two.noise(DAY)
    assert one.scatter(DAY) == two.scatter(DAY)


def test_scatter_between_beds():
    """Beds that hardly differ pull the scatter down, beds that differ a lot push it up."""
    read, rates = date(2025, 9, 1), (0.04, 0.0401, 0.0399, 0.04)
    nothing = StringPriors([]).scatter(DAY)
    alike = [told(date(2025, 1, 1), read, k=rate, job=n) for n, rate in enumerate(rates)]
    apart = [told(date(2025, 1, 1), read, k=rate + n * 0.03, job=n) for n, rate in enumerate(rates)]
    assert StringPriors(alike).scatter(DAY) < nothing < StringPriors(apart).scatter(DAY)


@pytest.mark.parametrize("true", [0.004, 0.01])
def test_noise_is_learned_from_the_beds(true):
    """Thirty beds of two strings tell by how much readings scatter beyond the stated 0.4 %, and none of it is their rate."""
    dice = random.Random(4)
    days = [date(2025, 1, 3), date(2025, 1, 15), date(2025, 3, 1)]
    beds = [
        told(date(2025, 1, 1), *days, k=dice.gauss(0.05, 0.01), noise=[dice.gauss(0, true) for _ in range(4)],
             string=(name, name), job=n)
        for n in range(15) for name in ("one", "other")
    ]  # fmt: skip
    assert StringPriors(beds).noise(DAY).factor == pytest.approx(true / 0.004, rel=0.2)


def test_play_is_told_apart_where_hours_are_noted():
    """Beds with noted hours tell what an hour of play takes; a bed without notes goes by what all of them lose."""
    dice = random.Random(2)
    beds = [
        told(date(2025, 1, 1), date(2025, 1, 20), date(2025, 3, 1), k=dice.gauss(0.05, 0.005), h=0.003,
             hours=dice.uniform(0.1, 0.8), job=n)
        for n in range(20)
    ]  # fmt: skip
    known = StringPriors(beds)
    apart, whole = known.belief(STRING, DAY, played=True), known.belief(STRING, DAY)
    assert apart.play == pytest.approx(0.003, abs=2 * apart.play_u)
    assert apart.play_u < PRIOR.play_u / 3
    assert apart.value == pytest.approx(0.05, abs=0.004)
    assert whole.value > apart.value + 0.008
    assert whole.play == 0


def test_beds_without_hours_step_back_for_one_with():
    """Where enough beds have their hours noted, the others say nothing of a bed whose hours are known."""
    noted = [told(date(2025, 1, 1), date(2025, 3, 1), hours=0.3, job=n) for n in range(ENOUGH_PLAYED)]
    silent = [told(date(2025, 1, 1), date(2025, 3, 1), job=100 + n) for n in range(9)]
    assert StringPriors([*noted, *silent]).belief(STRING, DAY, played=True).beds == ENOUGH_PLAYED
    assert StringPriors([*noted[1:], *silent]).belief(STRING, DAY, played=True).beds == ENOUGH_PLAYED + 8
    assert StringPriors([*noted, *silent]).belief(STRING, DAY).beds == ENOUGH_PLAYED + 9
