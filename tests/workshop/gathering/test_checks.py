"""Checks that take the bench's sums: what they report, where, and when they are silent."""

from datetime import date

import pytest
from bedshop import frame, job, shop

from passport.workshop.gathering import checks

TODAY = date(2026, 11, 25)
GOOD, LOW = "ring: 600 Hz, age: 15 min", "ring: 590 Hz, age: 15 min"


def faults(tmp_path, **frames: str):
    """What these checks say of frames."""
    return checks.run(shop(tmp_path, frames), TODAY)


def test_the_odd_frame_of_a_batch_is_named(tmp_path):
    """The frame that reads below the others is reported at its reading, with what to look for."""
    (fault,) = faults(
        tmp_path,
        a=frame(job("2026-01-05", GOOD), label="A"),
        b=frame(job("2026-01-05", LOW), label="B"),
        c=frame(job("2026-01-05", GOOD), label="C"),
    )
    assert (fault.rule, fault.severity) == ("batch-spread", "warning")
    assert fault.place.file.endswith("b.yaml")
    assert "590 Hz" in fault.place.excerpt
    assert fault.what.startswith("B is 1.")
    assert "below the 2 others" in fault.what
    assert "0.2 lb" in fault.what
    assert "a clamp that slipped" in fault.do


def test_two_that_differ_are_both_named(tmp_path):
    """Of two frames that differ each is reported, since neither is known to be wrong."""
    found = faults(tmp_path, a=frame(job("2026-01-05", GOOD)), b=frame(job("2026-01-05", LOW)))
    assert [f.place.file.rpartition("/")[2] for f in found] == ["a.yaml", "b.yaml"]
    assert all("2 frames strung in one go differ" in f.what for f in found)


def test_an_odd_bed_that_was_cut_out_is_history(tmp_path):
    """Nothing is said of an odd frame that has been strung again: there is nothing left to do."""
    again = job("2026-01-06", GOOD)
    frames = {"a": frame(job("2026-01-05", GOOD)), "b": frame(job("2026-01-05", LOW), again)}
    assert faults(tmp_path, **frames, c=frame(job("2026-01-05", GOOD))) == []


def test_frames_that_agree_are_fine(tmp_path):
    """A batch within its tolerance is not mentioned."""
    assert faults(tmp_path, a=frame(job("2026-01-05", GOOD)), b=frame(job("2026-01-05", GOOD))) == []


def test_more_play_than_time(tmp_path):
    """Hours of play that do not fit between stringing and reading are reported at their place."""
    (fault,) = faults(tmp_path, a=frame(job("2026-01-05"), job("2026-01-15", "played: 400 h", strung=False)))
    assert (fault.rule, fault.severity) == ("hours-over-age", "warning")
    assert "played: 400 h" in fault.place.excerpt
    assert fault.what == "400 hours of play do not fit into the 10 days since stringing."


@pytest.mark.parametrize(
    ("day", "age", "wrong"),
    [("2026-01-15", "10 d", False), ("2026-01-15", "9 d", False), ("2026-01-06", "15 min", False),
     ("2026-01-15", "15 min", True), ("2026-01-15", "70 d", True), ("2026-01-05", "3 d", True)],
)  # fmt: skip
def test_an_age_that_the_dates_deny(tmp_path, day, age, wrong):
    """An age more than a day and a half off the dates is reported; a day's difference is not."""
    own = day == "2026-01-05"
    jobs = [job(day, f"ring: 600 Hz, age: {age}")] if own else [
        job("2026-01-05"), job(day, f"ring: 600 Hz, age: {age}", strung=False)
    ]  # fmt: skip
    found = faults(tmp_path, a=frame(*jobs))
    assert [f.rule for f in found] == (["age-off-dates"] if wrong else [])


def test_sentences_for_a_person(tmp_path):
    """What is wrong and what to do are whole sentences, each on one line."""
    found = faults(
        tmp_path,
        a=frame(job("2026-01-05", GOOD), job("2026-01-15", "played: 400 h", "ring: 550 Hz, age: 90 d", strung=False)),
        b=frame(job("2026-01-05", LOW)),
    )
    assert {f.rule for f in found} == {"batch-spread", "hours-over-age", "age-off-dates"}
    for fault in found:
        for sentence in (fault.what, fault.do):
            assert sentence[0].isupper() or sentence[0].isdigit()
            assert sentence.endswith(".")
            assert "\n" not in sentence


def test_the_demo_is_quiet(demo_content):
    """The demo's batches that are still strung agree, its hours and ages fit."""
    assert checks.run(demo_content, TODAY) == []
