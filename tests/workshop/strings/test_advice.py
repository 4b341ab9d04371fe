"""Which string held: told only where a frame's own readings support it, and by how much."""

import math

import pytest
from bedshop import frame, hz, job, shop

from passport.workshop.strings.advice import advice
from passport.workshop.strings.beds import BedBook

FLINT = "flint-120, tension: 50 lb"


def history(*beds: tuple[str, float]) -> str:
    """A frame whose beds, each of a string and a loss a decade, were read fresh and when they were cut out."""
    jobs, before = [], ""
    for month, (mains, k) in enumerate(beds, start=1):
        readings = [before] if before else []
        jobs.append(job(f"2025-{month:02d}-01", *readings, "ring: 600.0 Hz, age: 15 min", mains=mains))
        days = 31 if month in (1, 3, 5, 7, 8, 10) else 30 if month != 2 else 28
        before = f"when: before, ring: {hz(600, k, days * 1440):.1f} Hz, age: {days} d"
    jobs.append(job(f"2025-{len(beds) + 1:02d}-01", before, mains=beds[-1][0]))
    return frame(*jobs)


def told(tmp_path, *beds: tuple[str, float], more: dict[str, str] | None = None):
    """What is said of a frame with these beds."""
    book = BedBook(shop(tmp_path, {"one": history(*beds), **(more or {})}))
    return advice(book, book.beds["cy/one"])


REED = "reed-125, tension: 50 lb"


def test_a_clear_difference_is_told_with_its_size(tmp_path):
    """Three beds at 3 % a decade beside three at 7 %: the first held, by 4 % times the decades, within its band."""
    found = told(tmp_path, (REED, 0.03), (FLINT, 0.07), (REED, 0.03), (FLINT, 0.07), (REED, 0.03), (FLINT, 0.07))
    assert (found.better, found.other, found.beds) == ("Reed", "Flint", (3, 3))
    assert found.told
    expected = 0.04 * math.log10(found.days * 1440 / 15)
    assert found.points == pytest.approx(expected, abs=0.01)
    assert found.low <= expected <= found.high
    assert found.low > 0
    assert 28 <= found.days <= 31


def test_no_difference_is_said_to_be_none(tmp_path):
    """Two strings that lose the same are not told apart."""
    found = told(tmp_path, (REED, 0.04), (FLINT, 0.041), (REED, 0.041), (FLINT, 0.04))
    assert not found.told
    assert found.low < 0 < found.high


def test_one_bed_each_tells_little(tmp_path):
    """One bed of each string may differ by chance: a small difference is not told."""
    found = told(tmp_path, (REED, 0.035), (FLINT, 0.045))
    assert found.beds == (1, 1)
    assert not found.told


def test_one_string_is_no_comparison(tmp_path):
    """With a single string in the frame's history there is nothing to say."""
    assert told(tmp_path, (REED, 0.03), (REED, 0.05)) is None


def test_a_string_that_was_not_read_often_enough_does_not_count(tmp_path):
    """A string whose beds were read once only is not compared."""
    book = BedBook(
        shop(
            tmp_path,
            {"one": frame(
                job("2025-01-01", "ring: 600 Hz, age: 15 min"),
                job("2025-02-01", "when: before, ring: 560 Hz, age: 31 d", "ring: 610 Hz, age: 15 min", mains=FLINT),
            )},
        )
    )  # fmt: skip
    assert advice(book, book.beds["cy/one"]) is None


def test_other_frames_do_not_advise(tmp_path):
    """Only the frame's own history counts, whatever other frames say of the strings."""
    other = {"two": history((REED, 0.03), (FLINT, 0.07))}
    assert told(tmp_path, (REED, 0.03), (REED, 0.03), more=other) is None


def test_the_best_is_held_against_the_newest(tmp_path):
    """Of three strings the one that held best is compared with the one that was in last."""
    third = "birch-130, tension: 50 lb"
    found = told(tmp_path, (REED, 0.02), (third, 0.04), (FLINT, 0.07), (REED, 0.02), (third, 0.04), (FLINT, 0.07))
    assert (found.better, found.other) == ("Reed", "Flint")
