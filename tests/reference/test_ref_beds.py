"""What is said of string beds, against the trade's rules of thumb, published figures, and another reader of calendars."""

import math
from datetime import date

import icalendar
import pytest
import stringnets
from bedshop import LBF, frame, job, shop
from hypothesis import given
from hypothesis import strategies as st
from smallshop import FILES, facts, of

from passport.render.pages.calendar import restring_reminder
from passport.workshop.strings.batches import batches
from passport.workshop.strings.beds import SHOWN, BedBook
from passport.workshop.strings.bedtension import forecast, membrane
from passport.workshop.strings.due import restring_by
from passport.workshop.strings.life import bed_life

WORKED = """\
worked:
  maker: Tarn
  name: Worked bed
  sport: tennis
  length: 685 mm
  head: {length: 340 mm, width: 250 mm}
  rim: 11 mm
  handle: {length: 200 mm, width: 31 mm}
  pattern: {mains: 16, crosses: 19, main_spacing: 13 mm, cross_spacing: 13 mm}
"""


def test_a_tenth_goes_in_the_first_day(tmp_path):
    """Of 50 lb read at five minutes about 45 lb is expected after 12 to 24 hours: 10 % (common practice, no source)."""
    book = BedBook(shop(tmp_path, {"one": frame(job("2026-01-05", "ring: 50.0 lb, age: 5 min"))}))
    life = book.life(book.current("cy/one"))
    expected = [life.at(60 * hours, SHOWN) for hours in (12, 18, 24)]
    assert [p.value / LBF for p in expected] == pytest.approx([45, 45, 45], abs=0.7)
    assert all(p.low < 45 * LBF < p.high for p in expected)


@pytest.mark.parametrize(("spread", "agree"), [(0.0, True), (0.1, True), (0.2, True), (0.5, False), (1.0, False)])
def test_a_batch_reads_within_a_fifth_of_a_pound(tmp_path, spread, agree):
    """Frames of one batch, read at one age, agree within 0.1 to 0.2 lb (common practice, no source)."""
    readings = (50.0, 50.0 + spread / 2, 50.0 + spread)
    frames = {f"f{i}": frame(job("2026-01-05", f"ring: {lb:.2f} lb, age: 15 min")) for i, lb in enumerate(readings)}
    content = shop(tmp_path, frames)
    (batch,) = batches(BedBook(content), content)
    assert (batch.verdict == "inside") == agree


def test_readings_at_different_ages_are_not_compared_as_they_are(tmp_path):
    """Readings taken at different ages cannot be compared directly (common practice, no source): at one age they agree.

    The readings fall by a tenth from five minutes to 18 hours, as the trade expects of one and the same job.
    """
    frames = {
        "young": frame(job("2026-01-05", "ring: 50.0 lb, age: 5 min")),
        "old": frame(job("2026-01-05"), job("2026-01-06", "ring: 45.0 lb, age: 18 h", strung=False)),
    }
    content = shop(tmp_path, frames)
    (batch,) = batches(BedBook(content), content)
    assert batch.spread < 1 * LBF
    assert batch.verdict != "outside"


@given(st.integers(1, 14))
def test_as_many_times_a_year_as_a_week(plays):
    """Restrung whenever it is due, a racquet is restrung at least as often a year as it is played a week.

    Common practice, no source.
    """
    day, times = date(2025, 1, 1), 0
    while (following := restring_by(day, plays)) and following <= date(2026, 1, 1):
        day, times = following, times + 1
    assert times >= plays


def test_the_worked_bed(tmp_path):
    """A 340 × 250 mm head of 1.30 mm nylon, 13 mm apart, that rings as 16 × 19 single strings at 200 N do holds 200 N.

    The smooth membrane of that mass rings at 689.97 Hz (scipy's Mathieu functions, DLMF ch. 28, and again by a Ritz
    method), the strings, tied crossing by crossing, up to 2 % below. The density of nylon is 1.14 g/cm³ (Morton & Hearle,
    Physical Properties of Textile Fibres, Tables 5.1–5.2).
    """
    nylon = 1.14 * math.pi * 1.3**2 / 4
    single = stringnets.Bed(
        340, lambda xi: 125 * math.sqrt(1 - xi * xi), 16, (13, 13), [13 * (j - 9) for j in range(19)], 13,
        (nylon, nylon), (200, 200),
    )  # fmt: skip
    hz = stringnets.net_frequency(single)
    assert 0.98 * 689.97 < hz < 689.97
    changes = {
        "catalogue/frames.yaml": FILES["catalogue/frames.yaml"] + WORKED,
        "players/cy/one.yaml": frame(
            job("2026-01-05", f"ring: {hz:.2f} Hz, age: 15 min", mains="birch-130, tension: 60 lb")
        ).replace("larch-98", "worked"),
    }
    book = BedBook(shop(tmp_path, {}, changes=changes))
    bed = book.current("cy/one")
    assert book.held(bed, bed.rings[0]).value == pytest.approx(200, rel=1e-3)


@pytest.mark.parametrize("pull", [50, 55, 60])
def test_usual_tennis_beds_are_expected_where_they_ring(tmp_path, pull):
    """Typical string beds ring at 500 to 700 Hz (Cross 2006, "Measuring String Tension")."""
    book = BedBook(shop(tmp_path, {"one": frame(job("2026-01-05", mains=f"birch-130, tension: {pull} lb"))}))
    bed = book.current("cy/one")
    expected = forecast(membrane(bed.stringing, book.model(bed), book.strings), bed.stringing, book.model(bed))
    assert 500 < expected.value < 700


def test_a_fresh_bed_holds_well_below_its_pull(tmp_path):
    """A bed that rings as expected holds about 30 % less than the pull (Cross & Bower 2001, Sports Engineering 4:165–175).

    The three numbers stand apart in the facts: the pull in the recipe, the reading as shown, the bed tension.
    """
    book = BedBook(shop(tmp_path / "a", {"one": frame(job("2026-01-05"))}))
    bed = book.current("cy/one")
    hz = forecast(membrane(bed.stringing, book.model(bed), book.strings), bed.stringing, book.model(bed)).value
    book = BedBook(shop(tmp_path / "b", {"one": frame(job("2026-01-05", f"ring: {hz:.1f} Hz, age: 15 min"))}))
    found = bed_life(book.current("cy/one"), book)
    assert found.held.mains == pytest.approx(0.7 * 50 * LBF, rel=0.002)
    assert found.points[0].amount == pytest.approx(hz, abs=0.05)


@pytest.mark.parametrize("material", ["gut", "polyester"])
def test_the_prior_holds_the_slowest_and_the_fastest_strings(tmp_path, material):
    """Natural gut loses least, polyester most (Cross, Lindsey & Andruczyk 2000, Sports Engineering 3:219–230, from memory).

    The stated prior makes no difference between them, so its band must hold both: half and one and a half times the
    usual tenth in a day (common practice, no source).
    """
    book = BedBook(shop(tmp_path, {"one": frame(job("2026-01-05"))}))
    found = bed_life(book.current("cy/one"), book)
    lost = {"gut": 0.05, "polyester": 0.15}[material]
    band = found.left(1440)
    k = lost / math.log10(1440 / 5)
    since_fresh = (1 - lost) / (1 - k * math.log10(15 / 5))
    assert band.low < since_fresh < band.high


def test_a_reminder_that_moved_is_the_same_event(tmp_path):
    """When a new reading moves the day, the calendar sees the same event, newer, on another day (icalendar, RFC 5545)."""
    stated = {"workshop.yaml": "name: Bench\naddress: https://b.example\nrestring: {loss: 9 %}\n"}
    before = of(facts(tmp_path / "a", stated), "ada/main")
    text = (tmp_path / "a/players/ada/main.yaml").read_text(encoding="utf-8")
    later = "  - date: 2026-04-20\n    readings:\n      - {ring: 556 Hz, age: 49 d}\nprivate_note"
    after = of(
        facts(
            tmp_path / "b",
            {**stated, "players/ada/main.yaml": text.replace("private_note: SECRET-FRAME", later + ": x")},
        ),
        "ada/main",
    )
    assert before.due != after.due
    site = facts(tmp_path / "a", stated)
    one, two = (
        icalendar.Calendar.from_ical(restring_reminder(found, site.shop)).walk("VEVENT")[0] for found in (before, after)
    )
    assert one["UID"] == two["UID"]
    assert (one["DTSTART"].dt, two["DTSTART"].dt) == (before.due, after.due)
    assert two["DTSTAMP"].dt > one["DTSTAMP"].dt
