"""The command as a whole: its help, its version, its exit codes, and that the README knows all of it."""

import re
import runpy
import subprocess
import sys
from importlib import import_module

import click
import pytest
from commandline import passport
from places import ROOT

from passport import __version__
from passport.cli.main import _COMMANDS, main

README = ROOT / "README.md"
NAMES = sorted(_COMMANDS)


def command(name: str) -> click.Command:
    """A command by its name."""
    found = main.get_command(click.Context(main), name)
    assert found
    return found


@pytest.mark.parametrize("flag", ["--help", "-h"])
def test_help_names_every_command_and_the_exit_codes(flag):
    """The help lists each command with what it does, and says what the exit codes mean."""
    result = passport(flag)
    assert result.exit_code == 0
    for name, (_, short) in _COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(short)}$", result.stdout, re.MULTILINE)
    assert "Exit codes: 0" in result.stdout


@pytest.mark.parametrize("name", NAMES)
def test_every_command_explains_itself(name):
    """Each command has a help with an example, and a help text for every option."""
    result = passport(name, "--help")
    assert result.exit_code == 0
    assert f"Example: passport {name}" in result.stdout
    options = [p for p in command(name).params if isinstance(p, click.Option)]
    assert all(option.help for option in options)


@pytest.mark.parametrize("name", NAMES)
def test_every_command_goes_by_its_name(name):
    """The module that a command is loaded from holds the command of that name."""
    assert import_module(_COMMANDS[name][0]).command.name == name


@pytest.mark.parametrize("name", NAMES)
def test_the_readme_knows_every_command(name):
    """No command is missing from the README."""
    assert re.search(rf"passport {name}\b", README.read_text(encoding="utf-8"))


def test_the_list_of_commands_is_what_their_help_says():
    """COMMANDS.md holds every command with every option, as its help has them (`.dev/commands` writes it)."""
    made = runpy.run_path(str(README.parent / ".dev" / "commands"))["text"]()
    listed = (README.parent / "passport" / "COMMANDS.md").read_text(encoding="utf-8")
    assert listed == made
    for name in NAMES:
        section = listed.partition(f"## passport {name}\n")[2].partition("\n## ")[0]
        for option in (p for p in command(name).params if isinstance(p, click.Option)):
            assert option.opts[-1] in section


def test_the_readme_knows_no_command_that_is_not_there():
    """Every command that the README shows exists, with its options."""
    readme = README.read_text(encoding="utf-8")
    shown = re.findall(r"(?:^|[`/\\])passport ([a-z-]+)([^`|&\n]*)", readme, re.MULTILINE)
    assert len(shown) >= len(NAMES)
    for name, rest in shown:
        assert name in NAMES, name
        known = {o for p in command(name).params for o in p.opts}
        assert set(re.findall(r"--[a-z-]+", rest)) <= known, name + rest


def test_version():
    """The version is that of the package."""
    assert passport("--version").stdout.strip() == f"passport, version {__version__}"


@pytest.mark.parametrize("arguments", [["nonsense"], ["check"], ["check", "--nonsense", "x"], ["issue", "content"]])
def test_wrong_usage_is_exit_code_2(arguments):
    """An unknown command or option and a missing argument end with code 2 and say how it is used."""
    result = passport(*arguments)
    assert result.exit_code == 2
    assert "Usage: " in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("bild", "There is no command 'bild'. Did you mean 'build'?"),
        ("whatif", "Did you mean 'what-if'?"),
        ("Show", "Did you mean 'show'?"),
        ("xyzzy", "There is no command 'xyzzy'.\n"),
    ],
)
def test_a_command_with_a_slip(typed, words):
    """A command that does not exist is wrong usage, named with the one that was probably meant."""
    result = passport(typed, "content")
    assert result.exit_code == 2
    assert words in result.stderr


@pytest.mark.parametrize("name", ["check", "build"])
def test_a_folder_that_is_not_there_is_wrong_usage(name, tmp_path):
    """A content folder that does not exist ends with code 2 and a word on what to name."""
    result = passport(name, tmp_path / "none")
    assert result.exit_code == 2
    assert "Name the folder that holds workshop.yaml." in result.stderr


def test_it_runs_as_a_program():
    """The program starts as a module of its own in a process of its own."""
    asked = [sys.executable, "-m", "passport.cli.main", "--version"]
    done = subprocess.run(asked, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert __version__ in done.stdout
