"""When an instrument's check is overdue, and in which unit it must be written."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from passport.records.checks import instruments
from passport.records.load import load

CHECKED = date(2026, 3, 1)


def faults(tmp_path: Path, lines: str, days: int) -> list[str]:
    """The rules broken by a workshop with one instrument, ``days`` after its check."""
    text = f"name: N\naddress: https://n.example\ninstruments:\n  - {{{lines}}}\n"
    (tmp_path / "workshop.yaml").write_text(text, encoding="utf-8")
    content, found = load(tmp_path)
    assert not [fault for fault in found if "workshop" in fault.place.file], found
    today = CHECKED + timedelta(days=days)
    return [f.rule for check in (instruments.overdue, instruments.units) for f in check(content, today)]


HEAD = "kind: tension head, name: H, resolution: 0.1 lb, checks: [{date: 2026-03-01, known: 50 lb, reads: 50 lb}]"


@pytest.mark.parametrize(("extra", "days", "rules"), [
    ("", 7, []),  # a tension head every week, a scale every month (common practice, no source)
    ("", 8, ["check-overdue"]),
    (", check_every: 30 d", 30, []),
    (", check_every: 30 d", 31, ["check-overdue"]),
])  # fmt: skip
def test_overdue_the_day_after(tmp_path: Path, extra: str, days: int, rules: list[str]) -> None:
    """A check holds up to and including the last day that its instrument allows."""
    assert faults(tmp_path, HEAD + extra, days) == rules


def test_a_scale_is_checked_every_month(tmp_path: Path) -> None:
    """A month has 31 days at most (common practice, no source, for how often)."""
    scale = "kind: scale, name: S, resolution: 0.1 g, checks: [{date: 2026-03-01, known: 200 g, reads: 200 g}]"
    assert faults(tmp_path, scale, 31) == []
    assert faults(tmp_path, scale, 32) == ["check-overdue"]


def test_the_newest_check_counts(tmp_path: Path) -> None:
    """Of several checks the newest says how old they are, in whatever order they stand."""
    two = HEAD.replace("checks: [", "checks: [{date: 2026-08-28, known: 25 lb, reads: 25 lb}, ")
    assert faults(tmp_path, two, 184) == []


def test_no_checks_no_warning(tmp_path: Path) -> None:
    """An instrument without any check is left alone: there is no date to count from."""
    assert faults(tmp_path, "kind: scale, name: S, resolution: 0.1 g", 4000) == []


def test_a_check_in_another_unit(tmp_path: Path) -> None:
    """Grammes on a tension head are refused; kilogrammes are what some show."""
    assert faults(tmp_path, HEAD.replace("known: 50 lb", "known: 200 g"), 1) == ["wrong-unit"]
    assert faults(tmp_path, HEAD.replace("known: 50 lb", "known: 22 kg"), 1) == []
