"""Workshops of every released form open for ever, are built, and are brought up to today's form without a loss."""

import shutil

import pytest
from commandline import passport, tree
from places import ROOT

from passport.records.faults import has_errors
from passport.records.ledger import ledger
from passport.records.load import load
from passport.records.schema.workshop import FORMAT

FROZEN = sorted(path.name for path in (ROOT / "tests/frozen").iterdir() if path.is_dir())


@pytest.fixture(params=FROZEN)
def content(request, tmp_path):
    """A copy of a frozen workshop."""
    shutil.copytree(ROOT / "tests/frozen" / request.param / "content", tmp_path / "content")
    return tmp_path / "content"


def test_there_is_one_of_every_released_form():
    """No released form is without a frozen workshop."""
    assert [f"format-{n}" for n in range(1, FORMAT + 1)] == FROZEN


def test_it_opens_as_it_was(content):
    """All of it is read without an error, and the ledger says what it said."""
    records, faults = load(content)
    assert not has_errors(faults)
    assert len(records.frames) == 9
    known = ledger.read(content)
    assert known
    assert known.sound
    assert (len(known.lines), set(known.closed), known.highest) == (12, {"Z" * 26}, 9001)


def test_it_is_built_and_worked_with_as_it_is(content, tmp_path):
    """Without any upgrade it is built, and a frame gets the next number; the lines before stay as they are."""
    before = (content / ledger.FILE).read_bytes()
    assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    assert passport("issue", content, "ada/new", "--site", tmp_path / "site").exit_code == 0
    assert load(content)[0].frames["ada/new"].record.number.startswith("9002-")
    assert (content / ledger.FILE).read_bytes().startswith(before)
    assert ledger.read(content).sound


def test_an_upgrade_is_shown_first_then_done_after_a_backup(content, tmp_path):
    """A dry run changes nothing; with --write all is done, and what was before is in a backup beside it."""
    before = tree(tmp_path)
    shown = passport("upgrade", content)
    assert (shown.exit_code, tree(tmp_path)) == (0, before)
    assert "format: 1" in shown.stdout
    assert "same with --write" in shown.stdout
    assert passport("upgrade", content, "--write").exit_code == 0
    after = tree(content)
    assert after[ledger.FILE].startswith(before[f"content/{ledger.FILE}"])
    assert after["workshop.yaml"].decode() == "format: 1\n" + before["content/workshop.yaml"].decode()
    assert ledger.read(content).lines[-1].event == "upgraded"
    assert ledger.read(content).sound
    assert passport("check", content).exit_code == 0
    backup = next(tmp_path.glob("content-backup-*.zip"))
    assert passport("restore", backup, tmp_path / "before").exit_code == 0
    saved = tree(tmp_path / "before")
    assert {name: saved[name] for name in saved if f"content/{name}" in before} == {
        name.removeprefix("content/"): data for name, data in before.items()
    }
    assert "in the form of this version already" in passport("upgrade", content, "--write").stdout


def test_a_newer_form_is_refused_by_name(content):
    """Of records of a later version nothing is read or written."""
    path = content / "workshop.yaml"
    path.write_text(f"format: {FORMAT + 1}\nlater: thing\n{path.read_text(encoding='utf-8')}", encoding="utf-8")
    before = tree(content)
    for arguments in (
        ("check",),
        ("build",),
        ("issue", "ada/new"),
        ("log", "ada/main", "--mass", "331 g"),
        ("upgrade",),
    ):
        result = passport(arguments[0], content, *arguments[1:])
        assert result.exit_code == 1
        assert f"format {FORMAT + 1}" in result.stderr
        assert "unknown-key" not in result.stderr
    assert tree(content) == before


def test_a_ledger_of_a_newer_form_is_refused_by_name(content, tmp_path):
    """Its lines are not guessed at."""
    path = content / ledger.FILE
    text = path.read_text(encoding="utf-8").replace("back it up with them.", "back it up with them. (Format 9)")
    path.write_text(text, encoding="utf-8")
    for arguments in (("build", "--out", tmp_path / "site"), ("issue", "ada/new"), ("check",)):
        result = passport(arguments[0], content, *arguments[1:])
        assert result.exit_code == 1
        assert "is of format 9" in result.stderr
