"""The command that changes the program at drawn places: what it changes, and that it tells noticed from unnoticed."""

import sys
import time

import mutants
import pytest
from places import ROOT

SMALL = '''"""A module."""
from dataclasses import dataclass

def more(a: int | None, b: "int" = 2) -> int | None:
    """Words."""
    c: int | str = a + b
    return c if a < b else 0
'''


def test_what_runs_is_changed_and_annotations_are_not():
    """Signs, comparisons and numbers are places; the sign between two types is none."""
    found = [(place.begin, place.operator.rpartition("/")[2]) for place in mutants.places("x.py", SMALL)]
    lines = {begin[0] for begin, _ in found}
    assert lines == {4, 6, 7}
    assert {operator for _, operator in found} >= {"ReplaceBinaryOperator_Add_Sub", "ReplaceComparisonOperator_Lt_LtE"}
    assert not [operator for _, operator in found if "Operator_BitOr_" in operator]


def test_a_sample_is_the_same_each_time_and_takes_each_place_once():
    """By its seed; another seed draws others."""
    modules = ["passport/records/ledger/lines.py", "passport/render/pages/seal.py"]
    first, places = mutants.drawn(ROOT, modules, 12, 3)
    assert first == mutants.drawn(ROOT, modules, 12, 3)[0] != mutants.drawn(ROOT, modules, 12, 4)[0]
    assert len(first) == 12 < places
    for change in first:
        text = (ROOT / change.module).read_text(encoding="utf-8")
        assert change.text != text
        assert text.splitlines()[change.line - 1].strip() == change.before


def test_named_changes_are_of_lines_that_still_stand():
    """A reason for a change of a line that is gone would hide the next one."""
    for name, why in mutants.NAMED.items():
        module, _, change = name.partition(": ")
        lines = [line.strip() for line in (ROOT / module).read_text(encoding="utf-8").splitlines()]
        assert any(change.startswith(f"{line} → ") for line in lines if line), name
        assert why


@pytest.mark.skipif(sys.platform == "win32", reason="forks are POSIX")
def test_work_in_a_fork_is_answered_or_ended():
    """What it gives comes back; what breaks, or takes longer than it may, gives nothing, and soon."""
    assert mutants.in_a_fork(lambda: [1, "x"], 5, 20) == [1, "x"]
    start = time.monotonic()
    assert mutants.in_a_fork(lambda: time.sleep(60), 5, 0.3) is None
    assert mutants.in_a_fork(lambda: sys.exit(3), 5, 20) is None
    assert time.monotonic() - start < 15


def test_every_group_is_there():
    """Modules and tests of each group stand in the checkout."""
    for name, (_, tests) in mutants.GROUPS.items():
        assert all((ROOT / module).is_file() for module in mutants.chosen([name])[name])
        assert all((ROOT / test).exists() for test in tests), name
    assert list(mutants.chosen(["ledger/repair"])) == ["ledger"]
    assert mutants.chosen(["ledger/repair"])["ledger"] == ["passport/records/ledger/repair.py"]
