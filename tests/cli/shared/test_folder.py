"""A command that was stopped while it wrote is ended by the next one, whichever that is."""

import pytest
import smallshop
from commandline import passport

from passport.records.load import load
from passport.records.transaction import atomic
from passport.records.transaction.journal import interrupted

MAIN = "players/ada/main.yaml"


@pytest.fixture
def content(tmp_path, monkeypatch):
    """A workshop in which recording a job was stopped after its journal was written, as a kill stops it."""
    content, real = smallshop.write(tmp_path / "content"), atomic.write

    def write(path, data, mode=0o644):
        if path.name == "main.yaml":
            raise KeyboardInterrupt
        real(path, data, mode)

    with monkeypatch.context() as patch:
        patch.setattr(atomic, "write", write)
        patch.setattr("passport.records.transaction.journal._back", _killed)
        assert passport("log", content, "ada/main", "--mass", "331 g", "--no-build").exit_code == 1
    assert interrupted(content)
    assert (content / MAIN).read_text(encoding="utf-8") == smallshop.FILES[MAIN]
    return content


def _killed(*_):
    """Whoever is killed takes nothing back."""
    raise KeyboardInterrupt


@pytest.mark.parametrize("arguments", [("check",), ("show", "ada/main"), ("find", "ada"), ("build", "--no-cards")])
def test_the_next_command_ends_it_and_says_so(content, arguments, tmp_path, monkeypatch):
    """Even one that only reads sees the whole change."""
    monkeypatch.chdir(tmp_path)
    result = passport(arguments[0], content, *arguments[1:])
    assert result.exit_code == 0
    assert "'passport log' was stopped before its end" in result.stderr
    assert "A job of 2026-11-25 on 2001-0 Main" in result.stderr
    assert not interrupted(content)
    assert len(load(content)[0].frames["ada/main"].record.jobs) == 4
    assert "was stopped" not in passport("check", content).stderr


def test_what_was_edited_meanwhile_is_left(content):
    """A person's own change is not overwritten, and is named."""
    (content / MAIN).write_text(smallshop.FILES[MAIN].replace("Main", "Mine"), encoding="utf-8")
    result = passport("check", content)
    assert "main.yaml was changed by hand meanwhile and is left as it is" in result.stderr
    assert load(content)[0].frames["ada/main"].record.label == "Mine"


def test_a_folder_that_cannot_be_written_is_read_as_it_is(content, monkeypatch):
    """Where it cannot be ended now, that is said, and reading goes on."""

    def refused(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("passport.records.transaction.journal.settle", refused)
    result = passport("check", content)
    assert result.exit_code == 0
    assert "cannot be ended now" in result.stderr
