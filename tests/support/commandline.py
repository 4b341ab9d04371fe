"""Running the command in the tests: inside this process, on a fixed day."""

import importlib
import pkgutil
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from unittest.mock import patch

import pytest
from click.testing import CliRunner, Result
from smallshop import TODAY

from passport import cli
from passport.cli.main import main

EPOCH = str(int(datetime(TODAY.year, TODAY.month, TODAY.day, tzinfo=UTC).timestamp()))


def passport(*arguments: str | Path, env: Mapping[str, str | None] | None = None) -> Result:
    """``passport ARGUMENTS``; anything but a tidy exit is passed on, as a traceback would be shown to a person.

    It speaks English, whatever the workshop's language is; `tests/cli/test_language.py` asks for others. What it said is
    printed, so that a failing test shows it.
    """
    runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH, "LANGUAGE": "en", **(env or {})})
    with patch("passport.render.voice.bench_voice.language_of", lambda folder: "en"):
        result = runner.invoke(main, [str(a) for a in arguments])
    print(f"$ passport {' '.join(map(str, arguments))}\n{result.output}[{result.exit_code}]")
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def tree(folder: Path) -> dict[str, bytes]:
    """All files below a folder with their content, but for what commands remember in hidden folders of their own."""
    own = {".passport-cache", ".passport"}
    files = (p for p in folder.rglob("*") if p.is_file() and own.isdisjoint(p.parts))
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in files}


def full_disk(*_: object, **__: object) -> None:
    """What a write meets on a full disk."""
    raise OSError(28, "No space left on device")


def refused(result: Result, *words: str) -> None:
    """The command ended with code 1, an error and these words, and without a traceback."""
    assert result.exit_code == 1
    for word in words:
        assert word in result.stderr
    assert "Traceback" not in result.output


def as_a_person(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every question find a person at a terminal, wherever in the command line it is asked."""
    for found in pkgutil.walk_packages(cli.__path__, "passport.cli."):
        module = importlib.import_module(found.name)
        if hasattr(module, "at_terminal"):
            monkeypatch.setattr(module, "at_terminal", lambda: True)
