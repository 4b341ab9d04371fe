"""``passport lost``, ``found`` and ``retire``: one line of a record changed, after a word on what follows."""

import pytest
import smallshop
from commandline import as_a_person, passport, refused, tree

from passport.records.load import load

MAIN = "players/ada/main.yaml"
NUMBERS = smallshop.NUMBERS


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


def record(content, name):
    """The record as it is now."""
    return load(content)[0].frames[name].record


@pytest.mark.parametrize(
    ("command", "name", "status"),
    [
        ("lost", "ada/main", "lost"),
        ("lost", "ada/split", "lost"),
        ("found", "ada/gone", "active"),
        ("retire", "ada/main", "retired"),
        ("retire", "ada/gone", "retired"),
        ("retire", "ada/split", "retired"),
    ],
)
def test_only_the_status_changes(content, command, name, status):
    """The status is another one, and no other line of any file differs."""
    path = content / f"players/{name}.yaml"
    before, text = tree(content), path.read_text(encoding="utf-8")
    result = passport(command, content, NUMBERS[name.partition("/")[2]], "--yes")
    assert (result.exit_code, result.stderr) == (0, "")
    assert record(content, name).status == status
    after = path.read_text(encoding="utf-8")
    assert {line for line in after.splitlines() if line not in text.splitlines()} <= {f"status: {status}"}
    assert {**tree(content), path.relative_to(content).as_posix(): text.encode()} == before
    assert f"→ {status}" in result.stdout
    assert f"passport build {content}" in result.stdout
    assert passport("check", content).exit_code == 0


def test_a_comment_beside_the_status_stays(content):
    """What stands behind the status on its line is kept."""
    path = content / MAIN
    path.write_text(path.read_text(encoding="utf-8") + "status: active   # plays on Mondays\n", encoding="utf-8")
    passport("lost", content, "ada/main", "--yes")
    assert path.read_text(encoding="utf-8").endswith("status: lost   # plays on Mondays\n")


@pytest.mark.parametrize(("command", "name"), [("lost", "ada/gone"), ("retire", "ada/done")])
def test_what_it_is_already_stays(content, command, name):
    """A frame that is so marked already is left alone, without a question."""
    before = tree(content)
    result = passport(command, content, name)
    assert result.exit_code == 0
    assert "already" in result.stdout
    assert tree(content) == before


@pytest.mark.parametrize(
    ("command", "name", "words"),
    [
        ("found", "ada/main", "not marked lost but active"),
        ("found", "ada/done", "not marked lost but retired"),
        ("lost", "ada/done", "is retired"),
        ("lost", "ada/nobody", "There is no frame"),
        ("retire", "ada/torn", "--yes"),
        ("lost", "ada/main", "--yes"),
    ],
)
def test_what_cannot_be_is_refused(content, command, name, words):
    """Without agreement, or where it makes no sense, nothing is written."""
    before = tree(content)
    refused(passport(command, content, name, *(["--yes"] if words != "--yes" else [])), words)
    assert tree(content) == before


@pytest.mark.parametrize(("answer", "status"), [("\n", "lost"), ("y\n", "lost"), ("no\n", "active")])
def test_it_asks_on_a_terminal(content, monkeypatch, answer, status):
    """A person is asked first; Enter agrees."""
    from click.testing import CliRunner

    from passport.cli.main import main

    as_a_person(monkeypatch)
    result = CliRunner().invoke(main, ["lost", str(content), "ada/main"], input=answer)
    assert result.exit_code == 0
    assert "Mark it lost?" in result.output
    assert record(content, "ada/main").status == status


def lost_and_replaced(content):
    """A lost frame that another one has taken over from."""
    assert passport("issue", content, "ada/heir", "--replaces", "ada/gone").exit_code == 0


def test_a_replaced_frame_that_is_found_is_retired(content):
    """It still leads to its successor, and is out of play."""
    lost_and_replaced(content)
    assert passport("found", content, "ada/gone", "--yes").exit_code == 0
    found = record(content, "ada/gone")
    assert (found.status, found.replaced_by) == ("retired", record(content, "ada/heir").number)
    assert passport("check", content).exit_code == 0


def test_or_comes_back_into_play(content):
    """With --back-in-play it plays again, and no longer leads to its successor."""
    lost_and_replaced(content)
    result = passport("found", content, "ada/gone", "--back-in-play", "--yes")
    assert result.exit_code == 0
    assert "cracks" in result.stdout
    found = record(content, "ada/gone")
    assert (found.status, found.replaced_by) == ("active", "")
    assert passport("check", content).exit_code == 0
