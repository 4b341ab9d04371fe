"""Dates: none in the future, oldest first."""

from datetime import date
from pathlib import Path

import pytest
from overlay import THIRD, checked, rules, third, underlined

SHOP = "name: A\naddress: https://a.example\ninstruments:\n  - kind: scale\n    name: S\n    resolution: 0.1 g\n    check_every: 366 d\n    checks:\n"
CHECK = "      - {{date: {}, known: 200 g, reads: 200 g}}\n"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        (THIRD, "model: larch-98\nlabel: Third\nsince: {}\n"),
        (THIRD, "model: larch-98\nlabel: Third\njobs: [{{date: {}}}]\n"),
        ("blanks/b.yaml", "model: larch-98\nreceived: {}\n"),
        ("workshop.yaml", SHOP + CHECK),
    ],
)
def test_tomorrow_is_a_fault_and_today_is_not(tmp_path: Path, name: str, text: str) -> None:
    """Every date of every record is held against today, which is the checker's, not the clock's."""
    today = date(2026, 11, 25)
    assert checked(tmp_path / "today", {name: text.format("2026-11-25")}, today)[1] == []
    (fault,) = checked(tmp_path / "tomorrow", {name: text.format("2026-11-26")}, today)[1]
    assert (fault.rule, underlined(fault)) == ("future-date", "2026-11-26")
    assert checked(tmp_path / "later", {name: text.format("2026-11-26")}, date(2026, 11, 26))[1] == []


def test_two_jobs_on_one_day_are_in_order(tmp_path: Path) -> None:
    """A frame may come in twice on one day."""
    assert third(tmp_path, "jobs: [{date: 2026-05-01}, {date: 2026-05-01}, {date: 2026-05-02}]\n") == []


def test_each_job_is_compared_with_the_one_above_it(tmp_path: Path) -> None:
    """One date out of place is one fault, at the job that is older than its predecessor."""
    text = "jobs: [{date: 2026-05-01}, {date: 2026-05-31}, {date: 2026-05-03}, {date: 2026-05-04}]\n"
    (fault,) = third(tmp_path, text)
    assert (fault.rule, underlined(fault)) == ("date-order", "2026-05-03")
    assert "2026-05-31" in fault.what


def test_checks_of_an_instrument_are_in_order(tmp_path: Path) -> None:
    """The newest check stands last, because the check in force is found by its place."""
    _, faults = checked(tmp_path, {"workshop.yaml": SHOP + CHECK.format("2026-05-03") + CHECK.format("2026-05-01")})
    assert rules(faults) == ["date-order"]
    assert underlined(faults[0]) == "2026-05-01"
