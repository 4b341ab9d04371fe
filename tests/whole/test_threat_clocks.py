"""Slips of hand and clock, from THREATS.md: F3. The same twice, a day that cannot be meant, a clock set back."""

import re
from datetime import UTC, datetime, timedelta

import pytest
import smallshop
from commandline import passport, tree

from passport.cli.shared import change as asking
from passport.records.ledger import ledger

MAIN = "players/ada/main.yaml"
AGAIN = ("--again", "--no-build")


def clock(days: int) -> dict[str, str]:
    """The environment of a command that takes place some days after the tests' day, or before it."""
    day = datetime.combine(smallshop.TODAY, datetime.min.time(), UTC) + timedelta(days=days)
    return {"SOURCE_DATE_EPOCH": str(int(day.timestamp()))}


@pytest.fixture
def content(tmp_path):
    """The small workshop, with its ledger begun."""
    root = smallshop.write(tmp_path / "content")
    assert passport("build", root, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    return root


def jobs(content) -> int:
    """How many jobs a record has."""
    return (content / MAIN).read_text(encoding="utf-8").count("- date:")


@pytest.mark.parametrize("second", [(), ("--tension", "25 kg"), ("--note", "Another word.")])
def test_the_same_day_twice_is_asked_about(content, second):
    """F3: a second stringing of one day, alike or not, is not written unasked, and not by --yes either."""
    first = passport("log", content, "ada/main", *AGAIN, "--yes")
    assert first.exit_code == 0
    before = tree(content)
    result = passport("log", content, "ada/main", *AGAIN, *second, "--yes")
    assert result.exit_code == 1
    assert "already" in result.stderr
    assert "--sure" in result.stderr
    assert passport("log", content, "ada/main", *AGAIN, *second).exit_code == 1
    assert tree(content) == before
    assert passport("log", content, "ada/main", *AGAIN, *second, "--yes", "--sure").exit_code == 0
    assert jobs(content) == 5


def test_a_person_who_is_asked_may_say_no(content, monkeypatch):
    """F3: at a terminal it is asked, and Enter alone does not agree."""
    passport("log", content, "ada/main", *AGAIN, "--yes")
    before, questions = tree(content), []
    monkeypatch.setattr(asking, "at_terminal", lambda: True)
    monkeypatch.setattr(asking, "confirmed", lambda text, **how: questions.append((text, how["default"])) or False)
    passport("log", content, "ada/main", *AGAIN)
    assert questions == [("Is that meant?", False)]
    assert tree(content) == before


def test_another_kind_of_work_on_the_same_day_is_no_slip(content):
    """A reading that is taken an hour after the stringing is written without a question."""
    assert passport("log", content, "ada/main", *AGAIN, "--yes").exit_code == 0
    assert passport("log", content, "ada/main", "--ring", "571 Hz", "--minutes", "60", "--no-build").exit_code == 0
    assert (
        passport("log", content, "ada/main", "--ring", "571 Hz", "--minutes", "60", "--no-build", "--yes").exit_code
        == 1
    )


@pytest.mark.parametrize(
    ("day", "code"), [("2026-04-01", 0), ("2026-03-31", 1), ("2025-12-01", 1), ("2026-11-26", 1), ("2027-11-25", 1)]
)
def test_a_day_that_cannot_be_meant_is_not_written(content, day, code):
    """F3: a day before the last job (2026-04-02) by more than one, or after today, is not written by --yes."""
    before = tree(content)
    result = passport("log", content, "ada/main", "--note", "x", "--date", day, "--no-build", "--yes")
    assert result.exit_code == code
    assert (tree(content) == before) is (code == 1)


WRITES = {
    "log": ("log", "ada/main", *AGAIN, "--yes"),
    "log-sure": ("log", "ada/main", *AGAIN, "--yes", "--sure"),
    "issue": ("issue", "ada/new", "--yes"),
    "lost": ("lost", "ada/main", "--yes"),
    "retire": ("retire", "ada/main", "--yes"),
    "seal": ("seal", "ada/main", "--yes"),
    "moved": ("addresses", "--moved"),
    "erase": ("erase", "bo", "--yes"),
    "found": ("found", "ada/gone", "--yes"),
    "correct": ("correct", "ada/main", "--frame", "--set", "label=Other", "--yes"),
    "undo": ("undo", "--yes"),
    "upgrade": ("upgrade", "--write"),
    "backup": ("backup",),
}


@pytest.mark.parametrize("name", WRITES)
def test_a_clock_set_back_stops_every_write(content, name, tmp_path, monkeypatch):
    """F3: where the clock is a day or years before the ledger's last line, no act writes anything."""
    monkeypatch.chdir(tmp_path)
    before = tree(content)
    work, *rest = WRITES[name]
    for days in (-1, -400, -20_000):
        result = passport(work, content, *rest, env=clock(days))
        assert result.exit_code == 1
        assert re.search("clock|future|slip", result.stderr)
        assert tree(content) == before


def test_a_clock_that_was_ahead_is_set_right_by_a_person(content):
    """F3: after a day in the ledger that was wrong, one command says so, and acts write again."""
    assert passport("issue", content, "ada/new", "--yes", env=clock(400)).exit_code == 0
    assert passport("log", content, "ada/main", *AGAIN, "--yes").exit_code == 1
    known = ledger.read(content)
    assert passport("addresses", content, "--clock").exit_code == 0
    assert passport("log", content, "ada/main", *AGAIN, "--yes").exit_code == 0
    after = ledger.read(content)
    assert (after.issued, after.closed, after.addresses) == (known.issued, known.closed, known.addresses)
    assert "Nothing was written" in passport("addresses", content, "--clock").output
