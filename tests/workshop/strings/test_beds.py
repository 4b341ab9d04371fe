"""String beds from records: whose reading is whose, one age, one scale, and what other beds say."""

import math
from datetime import date

import pytest
from bedshop import LBF, frame, hz, job, shop
from hypothesis import given
from hypothesis import strategies as st

from passport.physics.ageing import PRIOR, AgedReading, Ageing, Rate, fit
from passport.physics.uncertainty import Estimate
from passport.workshop.strings.beds import HERTZ, SHOWN, BedBook, fresh_slope, left

DAY = 1440.0


def book(tmp_path, *jobs: str, **others: str) -> BedBook:
    """The beds of a workshop whose first frame has these jobs."""
    return BedBook(shop(tmp_path, {"one": frame(*jobs), **others}))


def test_a_reading_belongs_to_the_bed_that_was_in(tmp_path):
    """What is read before the work belongs to the bed that is cut out, what is read after it to the new one."""
    beds = book(
        tmp_path,
        job("2026-01-05", "ring: 580 Hz, age: 15 min"),
        job("2026-02-04", "ring: 540 Hz, age: 30 d", strung=False),
        job("2026-03-06", "when: before, ring: 530 Hz, age: 60 d", "ring: 585 Hz, age: 15 min"),
    ).beds["cy/one"]
    assert [[ring.shown.text for ring in bed.rings] for bed in beds] == [["580 Hz", "540 Hz", "530 Hz"], ["585 Hz"]]
    assert [(bed.strung, bed.until) for bed in beds] == [
        (date(2026, 1, 5), date(2026, 3, 6)),
        (date(2026, 3, 6), None),
    ]


def test_a_reading_of_a_bare_frame_is_of_no_bed(tmp_path):
    """What is written beside a reading of the unstrung frame says nothing of its strings."""
    found = book(tmp_path, job("2026-01-05", "state: bare, ring: 580 Hz, age: 15 min", "ring: 570 Hz, age: 15 min"))
    assert [ring.shown.text for ring in found.beds["cy/one"][0].rings] == ["570 Hz"]


def test_an_age_that_was_not_noted_comes_from_the_dates(tmp_path):
    """A later reading without an age is as old as the dates say; one of the same day has no age and is not used."""
    bed = book(tmp_path, job("2026-01-05", "ring: 580 Hz"), job("2026-01-15", "ring: 550 Hz", strung=False)).beds[
        "cy/one"
    ][0]
    assert [(ring.age, ring.dated) for ring in bed.rings] == [(None, False), (10 * DAY, True)]
    assert [reading.minutes for reading in bed.readings] == [10 * DAY]


def test_an_age_from_the_dates_is_less_sure(tmp_path):
    """A day that may be off by half adds to the uncertainty of a reading, most for the youngest bed."""
    ages = [1, 2, 10]
    jobs = [job("2026-01-05"), *(job(f"2026-01-{5 + a:02d}", "ring: 550 Hz", strung=False) for a in ages)]
    dated = [r.u / r.value for r in book(tmp_path / "a", *jobs).beds["cy/one"][0].readings]
    jobs = [
        job("2026-01-05"),
        *(job(f"2026-01-{5 + a:02d}", f"ring: 550 Hz, age: {a} d", strung=False) for a in ages),
    ]
    stated = [r.u / r.value for r in book(tmp_path / "b", *jobs).beds["cy/one"][0].readings]
    assert dated == sorted(dated, reverse=True)
    assert all(a > b for a, b in zip(dated, stated, strict=True))
    # half a day either way, taken as even odds: d(log10 t) = 0.5/√3/t/ln 10, at the prior's rate of loss
    assert math.hypot(stated[0], PRIOR.value * 0.5 / math.sqrt(3) / math.log(10)) == pytest.approx(dated[0])


def test_lb_and_kg_are_one_scale_and_hz_another(tmp_path):
    """27 lb is 27 × 0.45359237 kg on the same reader; a frequency is squared on a scale of its own."""
    bed = book(
        tmp_path,
        job("2026-01-05", "ring: 27 lb, age: 15 min", "ring: 12.24699399 kg, age: 20 min", "ring: 580 Hz, age: 25 min"),
    ).beds["cy/one"][0]
    lb, kg, hertz = bed.readings
    assert (lb.scale, kg.scale, hertz.scale) == (SHOWN, SHOWN, HERTZ)
    assert lb.value == pytest.approx(27 * LBF)
    assert kg.value == pytest.approx(lb.value)
    assert hertz.value == 580**2


@pytest.mark.parametrize("k", [0.03, 0.06])
def test_units_share_one_loss(tmp_path, k):
    """A bed read in lb when fresh and in Hz later, with one day read in both, tells the loss that it was made with."""
    lost = 1 - k * math.log10(DAY / 15)
    found = book(
        tmp_path,
        job("2026-01-05", "ring: 50.0 lb, age: 15 min"),
        job(
            "2026-01-06",
            f"ring: {50 * lost:.2f} lb, age: 1 d",
            f"ring: {hz(600, k, DAY):.2f} Hz, age: 1 d",
            strung=False,
        ),
        job("2026-04-05", f"ring: {hz(600, k, 90 * DAY):.2f} Hz, age: 90 d", strung=False),
    )
    bed = found.beds["cy/one"][0]
    life = found.life(bed)
    assert life.source == "own"
    assert fresh_slope(life.rate).value == pytest.approx(k, abs=0.0015)
    shares = [left(life, reading) for reading in bed.readings]
    assert shares == pytest.approx([1, lost, lost, 1 - k * math.log10(90 * DAY / 15)], abs=0.006)


def test_the_shown_digits_limit_a_reading(tmp_path):
    """A last digit leaves half of it either way with even odds, u = step/√12 (JCGM 100, F.2.2.1); of Hz it counts twice."""
    rings = (
        book(
            tmp_path,
            job("2026-01-05", "ring: 27 lb, age: 15 min", "ring: 27.0 lb, age: 16 min", "ring: 600 Hz, age: 17 min"),
        )
        .beds["cy/one"][0]
        .rings
    )
    expected = [1 / 27 / math.sqrt(12), 0.1 / 27 / math.sqrt(12), 2 / 600 / math.sqrt(12)]
    assert [ring.digits for ring in rings] == pytest.approx(expected)
    assert [r.u / r.value for ring in rings if (r := ring.aged(digits_only=True))] == pytest.approx(expected)


def fast(day: str, later: str, **options: str) -> tuple[str, str]:
    """A bed that loses 8 % a decade, read fresh and after 20 days."""
    return (
        job(day, "ring: 600 Hz, age: 15 min", **options),
        job(later, f"ring: {hz(600, 0.08, 20 * DAY):.1f} Hz, age: 20 d", strung=False),
    )


def test_a_bed_with_one_reading_goes_by_the_beds_of_its_string(tmp_path):
    """One reading tells no loss; beds of the same string at this workshop do, in whichever frame they were."""
    found = book(
        tmp_path,
        job("2026-03-05", "ring: 580 Hz, age: 15 min"),
        two=frame(*fast("2026-01-05", "2026-01-25")),
        three=frame(*fast("2026-01-06", "2026-01-26")),
    )
    life = found.life(found.current("cy/one"))
    assert (life.source, life.beds, life.readings) == ("pooled", 2, 1)
    assert fresh_slope(life.rate).value > 0.06
    other = found.life(found.current("cy/two"))
    assert (other.source, other.readings) == ("own", 2)


def test_another_string_says_nothing(tmp_path):
    """Beds of another string, or with another string in the crosses, are not pooled: the stated prior holds."""
    found = book(
        tmp_path,
        job("2026-03-05", "ring: 580 Hz, age: 15 min"),
        two=frame(*fast("2026-01-05", "2026-01-25", mains="flint-120, tension: 50 lb")),
        three=frame(*fast("2026-01-05", "2026-01-25", crosses="flint-120, tension: 50 lb")),
    )
    life = found.life(found.current("cy/one"))
    assert (life.source, life.beds) == ("prior", 0)
    assert life.rate.value == PRIOR.value


def test_a_frame_without_strings_has_no_bed(tmp_path):
    """Before its first stringing a frame has no bed, and a reading then belongs to none."""
    found = book(tmp_path, job("2026-01-05", "ring: 580 Hz, age: 15 min", strung=False))
    assert found.current("cy/one") is None
    assert found.beds["cy/one"] == ()


def test_play_is_noted_with_its_age(tmp_path):
    """Hours of play count for the bed that was in; more than the bed's age do not fit."""
    bed = book(
        tmp_path,
        job("2026-01-05"),
        job("2026-01-15", "played: 8 h", strung=False),
        job("2026-02-04", "when: before, played: 2000 h"),
    ).beds["cy/one"][0]
    assert [(note.minutes, note.age, note.fits) for note in bed.played] == [
        (480, 10 * DAY, True),
        (120000, 30 * DAY, False),
    ]


@given(st.floats(0.005, 0.12), st.floats(1, 300000))
def test_the_fresh_slope_is_the_law_seen_from_a_quarter_of_an_hour(k, minutes):
    """v(t)/v(15 min) of the law v = v₅·[1 − k·log₁₀(t/5 min)] is 1 − k′·log₁₀(t/15 min) at every age."""
    law = [1 - k * math.log10(t / 5) for t in (15, minutes)]
    slope = fresh_slope(Estimate(k, 0.0)).value
    assert law[1] / law[0] == pytest.approx(1 - slope * math.log10(minutes / 15), abs=1e-9)


def test_the_fresh_slope_carries_the_uncertainty():
    """The uncertainty of the slope is that of k times the derivative, here by a small difference."""
    low, high = (fresh_slope(Estimate(k, 0.0)).value for k in (0.0499, 0.0501))
    assert fresh_slope(Estimate(0.05, 0.002)).u == pytest.approx(0.002 * (high - low) / 0.0002, rel=1e-4)


def test_left_is_relative_to_the_fresh_reading():
    """A reading at the fresh age is the whole, whatever the unit."""
    readings = [AgedReading(15, 40.0, 0.1, "a"), AgedReading(15, 500.0, 1.0, "b")]
    life: Ageing = fit(readings, Rate(0.05, 0.001, "prior"))
    assert [left(life, reading) for reading in readings] == pytest.approx([1, 1])
