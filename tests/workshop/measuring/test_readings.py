"""Which reading holds now, and to which string bed an acoustic one belongs."""

from datetime import date

import pytest
from smallshop import frame

STRUNG = "jobs:\n  - date: 2026-01-05\n    strings: {mains: {string: reed-125, tension: 24 kg}}\n"
FIRST = STRUNG + "    readings: {mass: 330 g, balance: 325 mm, swingweight: 318 kgcm2}\n"


def value(facts, quantity="mass"):
    """The value of a quantity that a page shows."""
    return facts.spec(quantity).value


@pytest.mark.parametrize("other", ["state: bare", "without: overgrip", "when: before"])
def test_only_readings_of_the_finished_frame_hold(tmp_path, other):
    """A reading unstrung, without a part, or on arrival is not what the player holds."""
    found = frame(tmp_path, f"{FIRST}  - date: 2026-02-05\n    readings: {{{other}, mass: 311 g}}\n")
    assert value(found) == 330


def test_each_quantity_has_its_own_latest_reading(tmp_path):
    """A later weighing renews the mass alone, with its date; balance and swingweight keep theirs."""
    found = frame(tmp_path, f"{FIRST}  - date: 2026-02-05\n    readings: {{mass: 330.4 g}}\n")
    assert (value(found), found.spec("mass").taken) == (330.4, date(2026, 2, 5))
    assert (value(found, "balance"), found.spec("balance").taken) == (325, date(2026, 1, 5))
    assert value(found, "twistweight") is None


def test_the_last_of_several_readings_of_one_job_holds(tmp_path):
    """Of two weighings in one job the later one counts."""
    assert value(frame(tmp_path, STRUNG + "    readings: [{mass: 330 g}, {mass: 331 g}]\n")) == 331


@pytest.mark.parametrize(
    "work",
    [
        "fitted: {part: lead-tape, place: 12, length: 50 mm}",
        "fitted: {part: silicone, place: butt cap, mass: 3 g}",
        "removed: {part: thin-overgrip, place: along the handle}",
        "strings: {mains: {string: flint-120, tension: 24 kg}}",
        "strings: {mains: {string: reed-125, tension: 24 kg}, crosses: {string: flint-120, tension: 23 kg}, pieces: 2}",
    ],
)
def test_a_reading_ends_with_what_it_was_taken_of(tmp_path, work):
    """Once a part or a kind of string has changed, the figures from before say nothing about the frame."""
    build = "build: {part: thin-overgrip, place: along the handle}\n"
    found = frame(tmp_path, f"{build}{FIRST}  - date: 2026-02-05\n    {work}\n")
    assert [spec.value for spec in found.specs] == [None] * 4
    assert {spec.verdict for spec in found.specs} == {"open"}


@pytest.mark.parametrize(
    "work",
    [
        "fitted: {part: thin-overgrip, place: along the handle}",
        "strings: {mains: {string: reed-125, tension: 22 kg}}",
    ],
)
def test_like_for_like_keeps_the_reading(tmp_path, work):
    """A renewed overgrip, or the same string again, leaves the figures as they were."""
    build = "build: {part: thin-overgrip, place: along the handle}\n"
    assert value(frame(tmp_path, f"{build}{FIRST}  - date: 2026-02-05\n    {work}\n")) == 330


def test_swingweight_is_about_the_usual_axis(tmp_path):
    """A swingweight read about an axis at 4 in is shown as it is about 10 cm.

    Parallel axis theorem (any mechanics text): I₁₀ = I + M[(B − 100)² − (B − 101.6)²], here with 330 g and 325 mm.
    """
    reading = "mass: 330 g, balance: 325 mm, swingweight: 318 kgcm2, axis: 4 in"
    found = frame(tmp_path, f"{STRUNG}    readings: {{{reading}}}\n")
    assert value(found, "swingweight") == pytest.approx(318 + 0.33 * (22.5**2 - 22.34**2), abs=1e-9)
    assert found.jobs[0].measured[0].swingweight == value(found, "swingweight")


def test_swingweight_about_another_axis_needs_mass_and_balance(tmp_path):
    """Without mass and balance a swingweight about another axis cannot be brought to the usual one and is not shown."""
    found = frame(tmp_path, f"{STRUNG}    readings: {{mass: 330 g, swingweight: 318 kgcm2, axis: 4 in}}\n")
    assert value(found, "swingweight") is None


RESTRUNG = """\
jobs:
  - date: 2026-01-05
    readings: {when: before, ring: 500 Hz}
  - date: 2026-02-05
    strings: {mains: {string: reed-125, tension: 24 kg}}
    readings:
      - {ring: 590 Hz, age: 15 min}
      - {when: before, ring: 490 Hz}
  - date: 2026-03-05
    readings: {ring: 560 Hz, age: 28 d}
  - date: 2026-04-05
    strings: {mains: {string: reed-125, tension: 23 kg}}
    readings:
      - {when: before, ring: 550 Hz, age: 59 d}
      - {ring: 585 Hz, age: 2 h}
"""


def test_acoustic_readings_belong_to_the_bed_that_was_in(tmp_path):
    """A reading on arrival belongs to the strings that are then cut out, one after the work to the new ones."""
    found = frame(tmp_path, RESTRUNG)
    rings = [[(r.amount, r.age) for r in bed.readings] for bed in found.beds]
    assert rings == [[(590, 15), (560, 28 * 1440), (550, 59 * 1440)], [(585, 120)]]
    assert found.stringing == found.beds[-1]


def test_a_reading_before_the_first_stringing_belongs_to_nobody(tmp_path):
    """A reading of strings that the workshop did not put in is no bed's of its own."""
    found = frame(tmp_path, RESTRUNG)
    assert found.jobs[0].stringing is None
    assert not {500.0, 490.0} & {r.amount for bed in found.beds for r in bed.readings}


def test_a_reading_keeps_its_unit_and_day(tmp_path):
    """An acoustic reading is shown as the reader showed it, in its unit, with the day it was taken."""
    found = frame(tmp_path, RESTRUNG.replace("585 Hz", "35.8 lb"))
    last = found.beds[-1].readings[0]
    assert (last.amount, last.unit, last.taken) == (35.8, "lb", date(2026, 4, 5))
