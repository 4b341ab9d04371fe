"""What a build makes of the ledger."""

import pytest
import smallshop
from commandline import passport, refused
from htmlread import Page

from passport.publish import ledger
from passport.publish.ledger import CLOSED, ISSUED, Line

GONE = Line(ISSUED, "Z" * 26, "frame", "9001-6")


@pytest.fixture
def content(tmp_path):
    """The small workshop with a ledger of what was issued."""
    content = smallshop.write(tmp_path / "content")
    ledger.append(content, ledger.in_content(smallshop.read(content)[0]), smallshop.TODAY)
    return content


def build(content, tmp_path):
    """A build without cards."""
    return passport("build", content, "--out", tmp_path / "site", "--no-cards")


def test_a_sound_ledger_says_nothing(content, tmp_path):
    """Where every address has its record the build is quiet."""
    assert build(content, tmp_path).stderr == ""


def test_an_address_without_a_record_is_a_warning(content, tmp_path):
    """A card that leads nowhere is named, with what to do; the build goes on."""
    ledger.append(content, [GONE], smallshop.TODAY)
    result = build(content, tmp_path)
    assert result.exit_code == 0
    assert "passport 9001-6 was given out on 2026-11-25, but no record has it" in result.stderr
    assert f"passport erase {content} 9001-6" in result.stderr


def test_many_are_counted(content, tmp_path):
    """A handful is named, the rest counted."""
    ledger.append(content, [Line(ISSUED, c * 26, "player") for c in "ZXVKJHQ"], smallshop.TODAY)
    said = build(content, tmp_path).stderr
    assert said.count("no record has it") == 5
    assert "2 more addresses" in said


def test_a_closed_address_says_no_more_than_that(content, tmp_path):
    """Its page stays, names nothing of whom it was, and leads to the workshop."""
    ledger.append(content, [GONE, Line(CLOSED, GONE.key, "frame", "9001-6")], smallshop.TODAY)
    result = build(content, tmp_path)
    assert (result.exit_code, result.stderr) == (0, "")
    page = Page((tmp_path / "site" / GONE.key / "index.html").read_text(encoding="utf-8"))
    text = (tmp_path / "site" / GONE.key / "index.html").read_text(encoding="utf-8")
    assert page
    assert "This passport is closed" in text
    assert "noindex" in text
    assert "9001-6" not in text
    assert "hello@bench-nine.example" in text


def test_a_closed_address_with_a_record_stops_the_build(content, tmp_path):
    """A record that is back after its address was closed for good is refused before anything is written."""
    ledger.append(content, [Line(CLOSED, smallshop.KEYS["main"], "frame")], smallshop.TODAY)
    refused(build(content, tmp_path), smallshop.NUMBERS["main"], "closed for good", "passport issue")
    assert not (tmp_path / "site").exists()


def test_a_damaged_ledger_is_noticed(content, tmp_path):
    """A changed line and one that is gone are named; the build goes on."""
    path = content / ledger.FILE
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join([*lines[:4], *lines[5:]]), encoding="utf-8")
    assert "line number 3 is gone" in build(content, tmp_path).stderr
    path.write_text("".join(lines).replace("issued", "issuer", 1), encoding="utf-8")
    result = build(content, tmp_path)
    assert result.exit_code == 0
    assert f"{path}:3: this line was changed" in result.stderr
