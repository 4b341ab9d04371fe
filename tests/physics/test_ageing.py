"""The life of a string bed: fits, pools, predictions and their bands."""

import math
import random
import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics.ageing import PRIOR, AgedReading, Ageing, Rate
from passport.physics.bedfit import BedSums, fit, own_rate
from passport.physics.pooling import BETWEEN_BEDS, pool
from passport.physics.uncertainty import Estimate

DAY, WEEK, MONTH = 1440.0, 10080.0, 43200.0
USUAL_AGES = (10.0, 60.0, DAY, WEEK, MONTH)


def remain(k: float, minutes: float) -> float:
    """The law under test, written down again: the share of the five-minute value that remains."""
    return 1 - k * math.log10(minutes / 5)


def readings(
    seed: int, k: float, ages: tuple[float, ...] = USUAL_AGES, start: float = 55.0, noise: float = 0.005
) -> list[AgedReading]:
    """Synthetic readings of one bed with normal noise of a share of the reading."""
    dice = random.Random(seed)
    return [AgedReading(t, start * remain(k, t) * (1 + dice.gauss(0, noise)), start * noise) for t in ages]


def beds(*rates: tuple[float, float]) -> list[BedSums]:
    """Beds that tell their k with a standard uncertainty each, and nothing of play."""
    return [BedSums(None, k, 0.0, u**-2, 0.0, 0.0, 0.0, 1, 0.0, 0.0) for k, u in rates]


def hits(seeds: int, inside) -> int:
    """How many of the seeds satisfy the condition."""
    return sum(bool(inside(seed)) for seed in range(seeds))


def covers(found: Estimate, truth: float) -> bool:
    """Whether the stated 95 % band holds the truth."""
    low, high = found.interval()
    return low <= truth <= high


@pytest.mark.parametrize("ages", [(5.0, DAY), (5.0, DAY, WEEK), USUAL_AGES], ids=["two", "three", "five"])
@pytest.mark.parametrize("k", [0.015, 0.04, 0.08])
def test_fits_recover_known_constants(k, ages):
    """The stated band holds the true k and the true five-minute value in at least 93 of 100 seeds."""
    fits = [fit(readings(seed, k, ages)) for seed in range(100)]
    assert hits(100, lambda seed: covers(fits[seed].rate, k)) >= 93
    assert hits(100, lambda seed: fits[seed].at(5).low <= 55 <= fits[seed].at(5).high) >= 93


@pytest.mark.parametrize("k", [0.015, 0.04, 0.08])
def test_predictions_hold_in_the_future(k):
    """The band at three months holds the true value in at least 93 of 100 seeds, as does the time to lose 15 %."""
    truth = 55 * remain(k, 3 * MONTH)
    when = 5 * 10 ** (0.15 / k)
    fits = [fit(readings(seed, k)) for seed in range(100)]
    later = [found.at(3 * MONTH) for found in fits]
    spans = [found.minutes_to_loss(0.15) for found in fits]
    assert hits(100, lambda seed: later[seed].low <= truth <= later[seed].high) >= 93
    assert hits(100, lambda seed: spans[seed].early <= when <= spans[seed].late or when > 5e10) >= 93


def test_a_new_reading_falls_into_its_band():
    """With the reading's own uncertainty the band holds a later reading in at least 93 of 100 seeds."""

    def inside(seed: int) -> bool:
        reading = random.Random(1000 + seed).gauss(1, 0.005) * 55 * remain(0.05, 3 * MONTH)
        band = fit(readings(seed, 0.05)).at(3 * MONTH, reading_u=0.005)
        return band.low <= reading <= band.high

    assert hits(100, inside) >= 93


def test_bands_are_not_merely_wide():
    """Five readings of 0.5 % pin k down at least three times better than the prior, and the future to under 2 %."""
    found = fit(readings(1, 0.05))
    assert found.rate.u < PRIOR.u / 3
    later = found.at(3 * MONTH)
    assert later.u / later.value < 0.02


def test_exact_readings_give_the_exact_law():
    """Readings without noise give k and the start back to within the little that the prior pulls."""
    exact = [AgedReading(t, 55 * remain(0.06, t), 55e-5) for t in USUAL_AGES]
    found = fit(exact)
    assert found.rate.value == pytest.approx(0.06, abs=1e-6)
    assert found.at(5).value == pytest.approx(55, rel=1e-6)
    assert found.source == "own"
    assert found.stretch == 1
    assert found.readings == 5


@settings(deadline=None)  # the machine may be busy
@given(st.floats(0.01, 0.1), st.floats(1e-3, 1e6))
def test_the_unit_does_not_matter(k, factor):
    """The same bed read in another unit has the same k, and its predictions scale with the unit."""
    one = readings(3, k)
    other = [AgedReading(r.minutes, r.value * factor, r.u * factor) for r in one]
    assert fit(other).rate.value == pytest.approx(fit(one).rate.value, abs=1e-9)
    assert fit(other).at(MONTH).value == pytest.approx(fit(one).at(MONTH).value * factor)


def test_frequencies_count_squared():
    """A bed read by frequency has the k of its tension, because the tension goes with the square."""
    pounds = readings(5, 0.05)
    hertz = [AgedReading.of_frequency(r.minutes, 80 * math.sqrt(r.value), 80 * math.sqrt(r.value) / 2 * r.u / r.value)
             for r in pounds]  # fmt: skip
    assert fit(hertz).rate.value == pytest.approx(fit(pounds).rate.value)
    assert fit(hertz).rate.u == pytest.approx(fit(pounds).rate.u)
    assert math.sqrt(fit(hertz).at(DAY, "Hz²").value) == pytest.approx(80 * math.sqrt(fit(pounds).at(DAY).value))


def test_two_instruments_share_one_loss():
    """Readings on two scales, one reading each at first, still give one k from both, and a start for each."""
    truth = 0.05
    mixed = [
        AgedReading(5, 55, 0.1, "lb"),
        AgedReading(DAY, 55 * remain(truth, DAY), 0.1, "lb"),
        AgedReading.of_frequency(5, 600, 1),
        AgedReading.of_frequency(WEEK, 600 * math.sqrt(remain(truth, WEEK)), 1),
    ]
    found = fit(mixed)
    assert found.rate.value == pytest.approx(truth, abs=0.001)
    assert found.at(5, "lb").value == pytest.approx(55, rel=1e-3)
    assert math.sqrt(found.at(WEEK, "Hz²").value) == pytest.approx(600 * math.sqrt(remain(truth, WEEK)), rel=1e-3)
    assert found.rate.u < fit(mixed[:2]).rate.u


def test_one_reading_on_a_second_scale_tells_nothing_of_the_loss():
    """A single reading of another instrument leaves k as it is and only adds its own start."""
    own = readings(7, 0.05)
    both = fit([*own, AgedReading(WEEK, 12.0, 0.1, "other")])
    assert both.rate.value == pytest.approx(fit(own).rate.value, abs=1e-9)
    assert both.rate.u == pytest.approx(fit(own).rate.u)
    assert both.at(WEEK, "other").value == pytest.approx(12)


def test_one_reading_lives_on_the_prior():
    """A bed with one reading starts from it and loses as the prior says, and says so."""
    found = fit([AgedReading(10, 52, 0.2)])
    assert (found.source, found.own_share, found.readings) == ("prior", 0, 1)
    assert (found.rate.value, found.rate.u) == pytest.approx((PRIOR.value, PRIOR.u))
    assert found.at(10).value == pytest.approx(52)
    assert found.at(10).u == pytest.approx(0.2)
    assert found.at(MONTH).u > 5 * found.at(10).u


def test_no_reading_gives_a_loss_but_no_value():
    """A bed that was never read has a predicted share of loss, and no value to predict."""
    found = fit([])
    assert found.loss_at(DAY).value == pytest.approx(PRIOR.value * math.log10(DAY / 5))
    assert found.readings == 0
    with pytest.raises(KeyError, match="no reading"):
        found.at(DAY)


def test_readings_of_one_age_tell_nothing_of_the_loss():
    """Two readings at the same age leave the source of k where it was."""
    found = fit([AgedReading(10, 52, 0.2), AgedReading(10, 52.2, 0.2)])
    assert found.source == "prior"
    assert found.own_share == pytest.approx(0)
    assert found.at(10).value == pytest.approx(52.1, abs=0.001)


def test_the_source_says_pooled_when_the_pool_was_used():
    """With a pool in hand and one own reading the source is the pool, with the number of its beds."""
    pooled = pool(beds((0.05, 0.004)) * 4)
    found = fit([AgedReading(10, 52, 0.2)], pooled)
    assert (found.source, found.beds) == ("pooled", 4)
    assert found.rate.value == pytest.approx(pooled.value)
    assert fit(readings(2, 0.05), pooled).source == "own"


def test_scatter_beyond_the_stated_widens_the_band():
    """Readings that scatter three times as much as stated are found out, and the band is widened for it."""
    ages = (5.0, 30.0, 300.0, DAY, 4000.0, WEEK, 20000.0, MONTH)
    loose = [replace(r, u=r.u / 3) for r in readings(11, 0.05, ages, noise=0.012)]
    found = fit(loose)
    assert 2 < found.stretch < 4.5
    assert found.rate.u > 2 * fit(readings(11, 0.05, ages, noise=0.004)).rate.u


def test_a_reading_moved_and_moved_back():
    """A reading brought to another age and back is itself, and more uncertain while it is away."""
    found = fit(readings(4, 0.05))
    reading = AgedReading(10, 54, 0.1)
    there = found.moved(reading, WEEK)
    assert there.value < 54
    assert there.u > 0.1 * there.value / 54
    stayed = found.moved(reading, 10)
    assert (stayed.minutes, stayed.value, stayed.u) == pytest.approx((10, 54, 0.1))
    assert found.moved(there, 10).value == pytest.approx(54)


def test_equal_beds_read_at_different_ages_agree_when_moved():
    """Two equal beds, one read after ten minutes and one after a day, agree once they are brought to one age."""
    law = fit([AgedReading(t, 55 * remain(0.05, t), 0.01) for t in USUAL_AGES])
    early, late = AgedReading(10, 50 * remain(0.05, 10), 0.1), AgedReading(DAY, 50 * remain(0.05, DAY), 0.1)
    assert early.value - late.value > 2
    assert law.moved(late, 10).value == pytest.approx(early.value, rel=1e-4)


def test_time_to_a_loss_matches_the_loss_at_that_time():
    """At the age at which a share is lost the loss is that share, and faster beds get there earlier."""
    found = fit(readings(6, 0.05))
    span = found.minutes_to_loss(0.15)
    assert found.loss_at(span.best).value == pytest.approx(0.15)
    assert 5 < span.early < span.best < span.late
    assert found.minutes_to_loss(0.10).best < span.best


def test_a_bed_that_may_not_lose_has_an_open_end():
    """Where a loss of nothing lies within the band, the late end of the time is infinite."""
    flat = Ageing(Estimate(0.01, 0.01), "prior", 0.0, 0, 0, 1.0, ())
    assert flat.minutes_to_loss(0.02).late == math.inf
    assert flat.minutes_to_loss(0.02).best == pytest.approx(500)
    assert replace(flat, rate=Estimate(-0.01, 0.001)).minutes_to_loss(0.02).best == math.inf


@pytest.mark.parametrize(
    "bad", [(0, 50, 1), (5, 0, 1), (5, 50, 0), (-5, 50, 1), (5, math.nan, 1), (5, -50, 1), (5, 50, -1)]
)
def test_readings_without_age_value_or_weight_are_refused(bad):
    """An age, a value or an uncertainty that is not above 0 is refused."""
    with pytest.raises(ValueError, match="above 0"):
        AgedReading(*bad)


def test_ages_before_the_stringing_are_refused():
    """No bed has an age of 0 minutes or less."""
    with pytest.raises(ValueError, match="above 0 minutes"):
        fit([]).loss_at(0)


def test_own_rate_needs_two_ages():
    """A bed goes into a pool only when its own readings tell its k."""
    assert own_rate([]) is None
    assert own_rate([AgedReading(5, 55, 0.2)]) is None
    assert own_rate([AgedReading(5, 55, 0.2), AgedReading(5, 55, 0.2)]) is None
    assert own_rate([AgedReading(5, 55, 0.2), AgedReading(6, 55, 0.2)]) is None
    found = own_rate([AgedReading(5, 55, 0.2), AgedReading(DAY, 50, 0.2)])
    assert found is not None
    assert found.value == pytest.approx((1 - 50 / 55) / math.log10(DAY / 5), rel=1e-4)


def test_an_empty_pool_is_the_prior():
    """With no other beds the stated prior stands."""
    assert pool([]) is PRIOR


def test_one_bed_in_the_pool_counts_but_not_for_everything():
    """One other bed moves the belief most of the way to its k, and leaves at least the stated scatter between beds."""
    pooled = pool(beds((0.08, 0.004)))
    assert 0.06 < pooled.value < 0.08
    assert BETWEEN_BEDS < pooled.u < PRIOR.u
    assert (pooled.source, pooled.beds) == ("pooled", 1)


@pytest.mark.parametrize("scatter", [0.002, 0.01, 0.015])
def test_a_pool_holds_a_new_bed(scatter):
    """The pooled band holds the k of a new bed of the same string in at least 93 of 100 seeds."""

    def inside(seed: int) -> bool:
        dice = random.Random(seed)
        truths = [dice.gauss(0.06, scatter) for _ in range(12)]
        rates = [own_rate(readings(100 * seed + i, k)) for i, k in enumerate(truths)]
        pooled = pool(beds(*((rate.value, rate.u) for rate in rates if rate is not None)))
        return covers(Estimate(pooled.value, pooled.u), dice.gauss(0.06, scatter))

    assert hits(100, inside) >= 93


def test_many_beds_learn_the_scatter():
    """Forty beds that hardly differ give a narrower belief than the stated scatter; beds that differ a lot a wider."""
    dice = random.Random(1)
    alike = pool(beds(*((0.05 + dice.gauss(0, 0.002), 0.002) for _ in range(40))))
    mixed = pool(beds(*((0.05 + dice.gauss(0, 0.02), 0.002) for _ in range(40))))
    assert alike.u < 0.5 * BETWEEN_BEDS
    assert mixed.u > 1.5 * BETWEEN_BEDS


def test_a_strong_prior_holds_against_a_weak_reading():
    """A belief much surer than the readings stays the source."""
    sure = Rate(0.03, 0.0005, "pooled", 30)
    found = fit(readings(9, 0.05, (5.0, DAY)), sure)
    assert found.source == "pooled"
    assert found.rate.value == pytest.approx(0.03, abs=0.002)


def test_importing_loads_no_heavy_library():
    """The module loads neither numpy nor scipy."""
    code = "import sys, passport.physics.ageing; sys.exit(bool({'numpy', 'scipy'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
