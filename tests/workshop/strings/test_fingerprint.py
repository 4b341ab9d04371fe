"""The fingerprint of a stringing: the youngest reading of its own job, and how near another one of the same bed comes."""

import random
from datetime import date

import pytest

from passport.records.schema.frame import Job
from passport.records.schema.workshop import Workshop
from passport.workshop.strings.fingerprint import fingerprint
from passport.workshop.strings.reader import BedReader

SHOP = {"name": "Bench", "address": "https://bench.example"}
READER = {"kind": "ring reader", "name": "Box on the sill", "resolution": "1 Hz", "repeatability": "1 Hz"}


def found(*readings: dict[str, str], readers: tuple[dict[str, str], ...] = (READER,), strung: bool = True):
    """The fingerprint of a job with some readings."""
    strings = {"strings": {"mains": {"string": "reed", "tension": "24 kg"}}} if strung else {}
    job = Job.model_validate({"date": "2026-05-01", **strings, "readings": list(readings)})
    return fingerprint(job, BedReader.of(Workshop.model_validate({**SHOP, "instruments": list(readers)})))


def test_the_youngest_reading_of_the_job_is_it():
    """Of several the one of the least age, with what it was taken with; 70 °F are (70 − 32)/1.8 = 21.1 °C."""
    told = found(
        {"ring": "549 Hz", "age": "24 h"},
        {"ring": "578 Hz", "age": "15 min", "setting": "polyester 1.25, 98 sq in", "temperature": "70 °F"},
    )
    assert (told.amount, told.unit, told.age, told.taken) == (578, "Hz", 15, date(2026, 5, 1))
    assert (told.setting, told.reader) == ("polyester 1.25, 98 sq in", "Box on the sill")
    assert told.temperature == pytest.approx(21.11, abs=0.01)
    assert told.source("reader") == "worked out"


@pytest.mark.parametrize(
    ("readings", "strung"),
    [
        ([{"ring": "578 Hz"}], True),
        ([{"ring": "549 Hz", "age": "25 h"}], True),
        ([{"ring": "517 Hz", "age": "70 d", "when": "before"}], True),
        ([{"mass": "330 g"}], True),
        ([{"ring": "578 Hz", "age": "15 min"}], False),
    ],
)
def test_no_reading_from_right_after_no_fingerprint(readings, strung):
    """An age that nobody noted, a day gone by, the old strings, no reading and no stringing give none."""
    assert found(*readings, strung=strung) is None


def test_two_readings_of_one_bed_lie_within_the_figure_95_times_in_100():
    """Pairs drawn with the stated repeatability (1 Hz) and rounded to the step of the display (1 Hz): no step less will do."""
    within = found({"ring": "578 Hz", "age": "15 min"}).within
    # 2·√2·√(1² + 1²/12) = 2.94 Hz (JCGM 100, 5.1.2), and readings differ by whole steps
    assert within == pytest.approx(3.0)
    dice, count = random.Random(11), 20_000
    beds = [dice.uniform(577.5, 578.5) for _ in range(count)]
    apart = [abs(round(dice.gauss(bed, 1)) - round(dice.gauss(bed, 1))) for bed in beds]
    assert sum(gap <= within for gap in apart) / count > 0.95 > sum(gap <= within - 1 for gap in apart) / count


def test_nothing_is_said_of_sameness_without_a_stated_repeatability():
    """Without one, or with one on another scale than the reading's, there is no figure."""
    plain = {name: value for name, value in READER.items() if name != "repeatability"}
    assert found({"ring": "578 Hz", "age": "15 min"}, readers=(plain,)).within is None
    assert found({"ring": "32.2 lb", "age": "15 min"}).within is None
    assert found({"ring": "578 Hz", "age": "15 min"}, readers=()).within is None


def test_of_two_readers_the_one_that_was_named():
    """Each has its own repeatability; without a name nobody knows which it was, and none is named."""
    other = {"kind": "ring reader", "name": "The old one", "resolution": "0.1 lb", "repeatability": "0.2 lb"}
    told = found({"ring": "32.2 lb", "age": "15 min", "reader": "The old one"}, readers=(READER, other))
    assert told.source("reader") == "recorded"
    assert told.within == pytest.approx(0.6)  # 2·√2·√(0.2² + 0.1²/12) = 0.57 lb, in steps of 0.1
    assert found({"ring": "578 Hz", "age": "15 min"}, readers=(READER, other)).reader == ""
