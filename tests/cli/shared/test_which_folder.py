"""Commands find their workshop: named, from the environment, or from the folder that one stands in."""

import pytest
import smallshop
from commandline import passport

from passport.cli.shared.folder import VARIABLE


@pytest.fixture
def content(tmp_path, monkeypatch):
    """The small workshop, with nothing named in the environment, seen from a folder without one."""
    monkeypatch.delenv(VARIABLE, raising=False)
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    return smallshop.write(tmp_path / "content")


def shown(*arguments) -> str:
    """What ``show`` says of the frame."""
    result = passport(*arguments)
    assert result.exit_code == 0, result.output
    return result.stdout


@pytest.mark.parametrize("below", ["", "players", "players/ada"])
def test_who_stands_in_a_workshop_names_none(content, monkeypatch, below):
    """In the content folder, or in any folder in it, each command is about that workshop."""
    wanted = shown("show", content, "2001-0")
    monkeypatch.chdir(content / below)
    assert shown("show", "2001-0") == wanted
    assert shown("show", "ada/main") == wanted
    assert passport("check").exit_code == 0
    assert "ada/main" in passport("find", "ada", "main").stdout
    assert passport("log", "ada/main", "--mass", "331 g", "--dry-run").exit_code == 0


def test_another_one_is_named_three_ways(content, tmp_path, monkeypatch):
    """Before the command, behind it, or in the environment, and each of these counts before the folder one stands in."""
    other = smallshop.write(
        tmp_path / "other", {"workshop.yaml": smallshop.FILES["workshop.yaml"].replace("name:", "name: Other ", 1)}
    )
    wanted = shown("show", content, "2001-0")
    monkeypatch.chdir(other)
    assert shown("--content", content, "show", "2001-0") == wanted
    assert shown("show", "2001-0", "--content", content) == wanted
    assert shown("show", f"--content={content}", "2001-0") == wanted
    assert shown("show", content, "2001-0") == wanted
    monkeypatch.setenv(VARIABLE, str(content))
    assert shown("show", "2001-0") == wanted


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("show", "CONTENT", "2001-0", "--content", "CONTENT"), "Two content folders are named"),
        (("--content", "CONTENT", "show", "2001-0", "--content", "CONTENT"), "Two content folders are named"),
        (("show", "2001-0", "--content"), "--content needs a folder"),
        (("show", "2001-0"), "'2001-0' is no folder, and no workshop.yaml is in this folder or above it"),
        (("check",), "Missing argument"),
    ],
)
def test_what_cannot_be_meant(content, arguments, said):
    """A workshop that is named twice, or nowhere, is wrong usage, and it is said how to name one."""
    result = passport(*(content if word == "CONTENT" else word for word in arguments))
    assert result.exit_code == 2
    assert said in result.stderr


def test_the_site_stands_beside_the_workshop_that_one_stands_in(content, monkeypatch):
    """A site that is not named is made beside the workshop, never among its records, and a job brings it up to date."""
    monkeypatch.chdir(content / "players")
    assert passport("build", "--no-cards").exit_code == 0
    site = content.parent / "site"
    assert (site / "index.html").is_file()
    page = site / smallshop.KEYS["main"] / "index.html"
    before = page.read_bytes()
    done = passport("log", "ada/main", "--mass", "331 g", "--yes")
    assert done.exit_code == 0, done.output
    assert page.read_bytes() != before
    assert not (content / "players/site").exists()


def test_what_to_type_next_fits_where_one_stands(content, monkeypatch):
    """Inside the workshop the next command is as short as it can be; elsewhere it names the workshop and the site."""
    said = passport("log", content, "ada/twin", "--mass", "331 g", "--no-build", "--yes")
    assert said.exit_code == 0, said.output
    assert f"Next: passport build {content} --out site" in passport("undo", content, "--yes").stdout
    monkeypatch.chdir(content / "players")
    assert passport("log", "ada/twin", "--mass", "331 g", "--no-build", "--yes").exit_code == 0
    taken = passport("undo", "--yes").stdout
    assert "Next: passport build\n" in taken
