"""A bed's life as facts: each reading with its share, the bed tension kept apart, the source named."""

from datetime import date

import pytest
from bedshop import frame, hz, job, shop

from passport.workshop.strings.beds import BedBook
from passport.workshop.strings.life import bed_life


def life(tmp_path, *jobs: str):
    """The life of the newest bed of a frame with these jobs."""
    book = BedBook(shop(tmp_path, {"one": frame(*jobs)}))
    return bed_life(book.current("cy/one"), book)


def test_each_reading_has_its_share(tmp_path):
    """Readings keep number and unit as shown, and say what was left: of a frequency the square counts."""
    found = life(
        tmp_path,
        job("2026-01-05", "ring: 600 Hz, age: 15 min"),
        job("2026-02-04", f"ring: {hz(600, 0.05, 30 * 1440):.1f} Hz, age: 30 d", strung=False),
    )
    first, later = found.points
    assert (first.amount, first.unit, first.age, first.taken) == (600, "Hz", 15, date(2026, 1, 5))
    assert first.left == pytest.approx(1, abs=0.003)
    assert later.left / first.left == pytest.approx((later.amount / first.amount) ** 2)
    assert (found.source, found.readings, found.until) == ("own", 2, None)


def test_a_reading_without_an_age_is_shown_but_says_nothing(tmp_path):
    """A reading of unknown age stands among the readings without a share."""
    found = life(tmp_path, job("2026-01-05", "ring: 600 Hz"))
    assert [(p.amount, p.age, p.left) for p in found.points] == [(600, None, None)]
    assert (found.readings, found.source, found.held) == (0, "prior", None)


def test_the_bed_tension_is_that_of_the_latest_reading_in_hz(tmp_path):
    """The bed tension names the reading it was worked out from; the crosses hold the ratio of their pulls."""
    found = life(
        tmp_path,
        job(
            "2026-01-05",
            "ring: 600 Hz, age: 15 min",
            mains="reed-125, tension: 50 lb",
            crosses="flint-120, tension: 45 lb",
        ),
        job("2026-01-06", "ring: 570 Hz, age: 24 h", "ring: 27 lb, age: 25 h", strung=False),
    )
    assert (found.held.hz, found.held.age, found.held.taken) == (570, 1440, date(2026, 1, 6))
    assert found.held.crosses / found.held.mains == pytest.approx(0.9)
    assert 0.02 < found.held.u < 0.1


def test_pounds_give_no_bed_tension(tmp_path):
    """What a reader shows in lb is on its own scale: no bed tension is made of it."""
    assert life(tmp_path, job("2026-01-05", "ring: 27 lb, age: 15 min")).held is None


def test_a_hybrid_is_named_by_both(tmp_path):
    """Two strings are named mains first, one string once."""
    assert life(tmp_path / "a", job("2026-01-05", crosses="flint-120, tension: 45 lb")).string == "Reed / Flint"
    assert life(tmp_path / "b", job("2026-01-05")).string == "Reed"
