"""A value that is probably a slip is written only by who is sure of it, and the job remembers that."""

import pytest
import smallshop
from commandline import passport, tree
from smallshop import NUMBERS

from passport.cli.shared import change, dialogue
from passport.records.load import load

NUMBER = NUMBERS["main"]


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


def last(content):
    """The last job of the frame."""
    return load(content)[0].frames["ada/main"].record.jobs[-1]


def log(content, *arguments):
    """A job without a card."""
    return passport("log", content, NUMBER, *arguments, "--no-build")


@pytest.mark.parametrize("arguments", [("--yes",), ()])
def test_a_slip_is_refused_where_nobody_is_asked(content, arguments):
    """With --yes, or without a terminal, 24 lb for 24 kg is not written, and the answer says what was meant."""
    before = tree(content)
    result = log(content, "--again", "--tension", "24 lb", *arguments)
    assert result.exit_code == 1 and tree(content) == before
    assert "Did you mean 24 kg? Its last was 24 kg." in result.stderr and "--sure" in result.stderr


def test_who_is_sure_has_it_noted(content):
    """With --sure it is written, the job holds what was asked, and `check` asks no more."""
    asked = log(content, "--again", "--tension", "24 lb", "--yes", "--sure")
    assert asked.exit_code == 0
    assert "24 lb" in last(content).sure and last(content).strings.mains.tension.text == "24 lb"
    assert "unlikely" not in passport("check", content).stderr


def test_being_sure_of_what_nobody_asks_leaves_no_remark(content):
    """A plain job keeps no remark, whoever was sure of it."""
    assert log(content, "--again", "--yes", "--sure").exit_code == 0
    assert last(content).sure == ""


@pytest.mark.parametrize(("answer", "written"), [("\n", False), ("n\n", False), ("y\n", True)])
def test_at_a_terminal_no_is_the_default(content, monkeypatch, answer, written):
    """A person is asked, and Enter alone says no."""
    for module in (dialogue, change):
        monkeypatch.setattr(module, "at_terminal", lambda: True)
    monkeypatch.setattr(dialogue.sys.stdin, "readline", lambda: answer, raising=False)
    monkeypatch.setattr(dialogue, "_given", lambda prompt, offered: answer.strip())
    before = tree(content)
    result = log(content, "--again", "--tension", "24 lb")
    assert (tree(content) != before) == written, result.output
    if written:  # a yes is remembered as --sure is
        assert "24 lb is not what tennis frames are strung with." in last(content).sure
        assert f"Noted in players/ada/main.yaml: {last(content).sure}" in " ".join(result.output.split())


def test_a_day_before_the_last_job_is_noted_too(content):
    """What no check asks is in the remark as well."""
    assert log(content, "--mass", "331 g", "--date", "2026-02-03", "--yes", "--sure").exit_code == 0
    jobs = load(content)[0].frames["ada/main"].record.jobs
    assert [job.sure for job in jobs if job.date.isoformat() == "2026-02-03"] == [
        "2026-02-03 is before the last job on record, of 2026-04-02."
    ]
    assert not any(job.sure for job in jobs if job.date.isoformat() != "2026-02-03")


def test_check_warns_of_the_same(content):
    """What was written by hand is asked about by `check`."""
    record = content / "players/ada/main.yaml"
    record.write_text(
        record.read_text(encoding="utf-8").replace("tension: 24 kg", "tension: 24 lb", 1), encoding="utf-8"
    )
    found = passport("check", content)
    assert found.exit_code == 0 and "unlikely" in found.stderr


def test_the_private_remark_is_on_no_page(content, tmp_path):
    """That somebody was asked is the bench's own: no page and no file of the site holds it."""
    log(content, "--again", "--tension", "24 lb", "--yes", "--sure")
    remark = last(content).sure
    assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    assert remark and not any(remark.encode() in data for data in tree(tmp_path / "site").values())


def test_warnings_that_nobody_asked_for_are_one_line(content):
    """A command that is about something else says how many warnings there are, and `check` shows them."""
    record = content / "players/ada/main.yaml"
    record.write_text(
        record.read_text(encoding="utf-8").replace("tension: 24 kg", "tension: 24 lb", 1), encoding="utf-8"
    )
    found = passport("due", content).stderr
    assert found.strip() == "1 warning: 'passport check' shows it." or "warnings: 'passport check' shows them." in found
    assert len(found.strip().splitlines()) == 1
