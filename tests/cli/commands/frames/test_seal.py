"""``passport seal``: a secret written into the record, and taken out of use again."""

import re

import pytest
import smallshop
from commandline import passport, tree

from passport.records.load import load
from passport.records.schema import numbers

MAIN = "players/ada/main.yaml"
NUMBER = smallshop.NUMBERS["main"]


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


def record(content):
    """The record as it is now."""
    return load(content)[0].frames["ada/main"].record


def test_two_lines_are_added_and_nothing_else(content):
    """The record is marked and gets a secret; no other line of any file differs, and the next steps are named."""
    before, text = tree(content), (content / MAIN).read_text(encoding="utf-8")
    result = passport("seal", content, NUMBER, "--yes")
    assert (result.exit_code, result.stderr) == (0, "")
    assert record(content).sealed
    assert numbers.is_secret(record(content).secret)
    after = (content / MAIN).read_text(encoding="utf-8")
    added = [line for line in after.splitlines() if line not in text.splitlines()]
    assert added == ["sealed: yes", f"secret: {record(content).secret}"]
    assert {**tree(content), MAIN: text.encode()} == before
    assert f"passport cards {content} {NUMBER}" in result.stdout
    assert f"passport build {content}" in result.stdout
    assert passport("check", content).exit_code == 0


def test_the_secret_is_not_shown(content):
    """What is printed may stand in a terminal's history: the secret itself is in the record and on the card alone."""
    result = passport("seal", content, NUMBER, "--yes")
    assert record(content).secret not in result.output


def test_sealed_twice_keeps_the_secret(content):
    """A second call changes nothing, so that the card in the player's hand goes on opening the page."""
    passport("seal", content, NUMBER, "--yes")
    before = tree(content)
    result = passport("seal", content, NUMBER)
    assert result.exit_code == 0
    assert "sealed already" in result.stdout
    assert tree(content) == before


def test_a_new_secret_takes_the_place_of_the_old_one(content):
    """--renew writes another secret on the same line."""
    passport("seal", content, NUMBER, "--yes")
    old = record(content).secret
    assert passport("seal", content, NUMBER, "--renew", "--yes").exit_code == 0
    new = record(content).secret
    assert new != old
    assert numbers.is_secret(new)
    assert len(re.findall("(?m)^secret:", (content / MAIN).read_text(encoding="utf-8"))) == 1


def test_opened_and_sealed_again_it_has_the_same_secret(content):
    """The seal can be taken off and put on: cards with the secret work in both states."""
    passport("seal", content, NUMBER, "--yes")
    old = record(content).secret
    result = passport("seal", content, NUMBER, "--open", "--yes")
    assert result.exit_code == 0
    assert not record(content).sealed
    assert "passport cards" not in result.stdout
    passport("seal", content, NUMBER, "--yes")
    assert record(content).secret == old


def test_an_open_one_stays_open(content):
    """--open of a frame that is not sealed changes nothing."""
    before = tree(content)
    assert "is open already" in passport("seal", content, NUMBER, "--open").stdout
    assert tree(content) == before


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        ([NUMBER], 1, "--yes"),
        (["ada/nobody", "--yes"], 1, "There is no frame"),
        ([NUMBER, "--renew", "--open"], 2, "choose one"),
    ],
)
def test_what_cannot_be_is_refused(content, arguments, code, words):
    """Without agreement, or with a wrong call, nothing is written."""
    before = tree(content)
    result = passport("seal", content, *arguments)
    assert result.exit_code == code
    assert words in result.stderr
    assert tree(content) == before
