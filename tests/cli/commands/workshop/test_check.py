"""``passport check``: what it prints, as text and as data, and how it ends."""

import json
import random
from pathlib import Path

import pytest
import smallshop
from commandline import passport, refused, tree
from places import DEMO

from passport.records.ledger import ledger

TYPO = {"players/bo/only.yaml": smallshop.FILES["players/bo/only.yaml"].replace("label:", "lable:")}
WARNING = {"players/bo/only.yaml": smallshop.FILES["players/bo/only.yaml"].replace("50 lb", "60 lb")}


def test_the_demo_is_sound():
    """The demo has no errors, and a warning or two that are there to be seen."""
    result = passport("check", DEMO)
    assert result.exit_code == 0, result.stderr
    assert 1 <= result.stderr.count(": warning: ") <= 2
    assert "0 errors" in result.stdout


def test_sound_records_end_with_0(tmp_path):
    """Without errors the command ends with 0 and says what it read."""
    result = passport("check", smallshop.write(tmp_path))
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout == "9 frames of 2 players read: 0 errors, 0 warnings.\n"


def test_errors_end_with_1_and_name_their_place(tmp_path):
    """An error ends with 1; its place, excerpt with caret, what is wrong and what to do are printed."""
    content = smallshop.write(tmp_path, TYPO)
    result = passport("check", content)
    assert result.exit_code == 1
    path = content / "players/bo/only.yaml"
    assert f"{path}:4:1: error: unknown-key" in result.stderr
    assert "  4 | lable: Only\n    | ^^^^^\n" in result.stderr
    assert "'label'" in result.stderr


def test_a_warning_stops_nothing(tmp_path):
    """With warnings only the command ends with 0."""
    result = passport("check", smallshop.write(tmp_path, WARNING))
    assert result.exit_code == 0
    assert ": warning: tension-limit" in result.stderr
    assert "0 errors, 1 warning." in result.stdout


def test_all_faults_of_all_records_come_in_one_run(tmp_path):
    """One broken record never hides the faults of another."""
    changes = {
        **TYPO,
        "catalogue/parts.yaml": "x: [\n",
        "players/ada/main.yaml": "model: larch-98\nlabel: M\nstatus: odd\n",
    }
    result = passport("check", smallshop.write(tmp_path, changes))
    assert result.exit_code == 1
    for rule in ("unknown-key", "yaml-syntax", "unknown-word"):
        assert f": error: {rule}" in result.stderr


@pytest.mark.parametrize(("changes", "code"), [({}, 0), (WARNING, 0), (TYPO, 1)])
def test_json_is_the_same_as_data(tmp_path, changes, code):
    """``--json`` prints one object with the same faults, counts and exit code, and nothing else anywhere."""
    content = smallshop.write(tmp_path, changes)
    result = passport("check", content, "--json")
    assert (result.exit_code, result.stderr) == (code, "")
    found = json.loads(result.stdout)
    assert set(found) == {"errors", "warnings", "faults"}
    assert found["errors"] + found["warnings"] == len(found["faults"])
    assert found["errors"] == sum(f["severity"] == "error" for f in found["faults"])
    text = passport("check", content).stderr
    for fault in found["faults"]:
        assert set(fault) == {"file", "line", "column", "severity", "rule", "excerpt", "what", "do"}
        place = f"{fault['file']}:{fault['line']}:{fault['column']}"
        assert f"{place}: {fault['severity']}: {fault['rule']}" in text
        assert fault["what"] in text
        assert fault["do"] in text


def test_a_folder_without_a_workshop(tmp_path):
    """A folder that is not a content folder is one fault that says so, as text and as data."""
    result = passport("check", tmp_path)
    assert result.exit_code == 1
    assert "error: no-workshop" in result.stderr
    assert json.loads(passport("check", tmp_path, "--json").stdout)["faults"][0]["rule"] == "no-workshop"


def test_the_day_can_be_given(tmp_path):
    """What counts as the future hangs on SOURCE_DATE_EPOCH where it is set."""
    content = smallshop.write(tmp_path)
    assert passport("check", content).exit_code == 0
    result = passport("check", content, env={"SOURCE_DATE_EPOCH": "1767571200"})  # 2026-01-05 00:00 UTC
    assert result.exit_code == 1
    assert "error: future-date" in result.stderr
    assert "2026-01-05" not in [line.strip() for line in result.stderr.splitlines()]


@pytest.mark.parametrize("given", ["", "soon", "-1", "1.5", "1e9", " 1", "99999999999999", "١٢٣"])
def test_a_malformed_day_is_an_error(tmp_path, given):
    """A SOURCE_DATE_EPOCH that is not whole seconds ends the command with 1 and says what to do."""
    result = passport("check", smallshop.write(tmp_path), env={"SOURCE_DATE_EPOCH": given})
    assert result.exit_code == 1
    assert "SOURCE_DATE_EPOCH" in result.stderr
    assert "unset it" in result.stderr


def _ledger(tmp_path):
    """The small workshop with its ledger."""
    content = smallshop.write(tmp_path / "content")
    ledger.append(content, ledger.in_content(smallshop.read(content)[0]), smallshop.TODAY)
    return content, content / ledger.FILE


def _said_by_both(content, *words):
    """``check`` and ``build`` end with 1 and say the same of the ledger; nothing is built."""
    site = content.parent / "site"
    refused(passport("check", content), *words)
    said = " ".join(passport("build", content, "--out", site, "--no-cards").stderr.split()).lower()
    found = json.loads(passport("check", content, "--json").stdout)
    assert found["errors"] == len(found["faults"]) > 0
    for fault in found["faults"]:
        assert fault["file"] == str(content / ledger.FILE)
        assert fault["what"].lower() in said
        assert fault["do"].partition(": passport")[0].lower() in said
    assert "the site could not be written" not in said
    assert not site.exists()


def test_a_damaged_ledger_is_an_error(tmp_path):
    """Bytes that are no ledger, a changed line and one that is gone are errors in the words of the build."""
    content, path = _ledger(tmp_path)
    assert passport("check", content).exit_code == 0
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines(keepends=True)
    path.write_bytes(random.Random(7).randbytes(4000))
    _said_by_both(content, f"{path}:1:1: error: damaged-ledger", "more lines", "passport addresses", "--mend")
    path.write_text(text.replace("issued", "issuer", 1), encoding="utf-8")
    _said_by_both(content, f"{path}:3:1: error: damaged-ledger", "This line was changed or cut short")
    path.write_text("".join([*lines[:4], *lines[5:]]), encoding="utf-8")
    _said_by_both(content, "Line number 3 is gone")


def test_an_unreadable_ledger_is_an_error(tmp_path, monkeypatch):
    """A ledger without the right to read it, and a folder in its place, are errors in the words of the build."""
    content, path = _ledger(tmp_path)
    real = Path.read_bytes

    def denied(self):
        if self.name == ledger.FILE:
            raise PermissionError(13, "Permission denied", str(self))
        return real(self)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "read_bytes", denied)  # the administrator, as whom tests may run, can read everything
        _said_by_both(content, "could not be read: Permission denied", "Give yourself the right to read it")
        refused(passport("addresses", content), "could not be read: Permission denied")
    path.unlink()
    path.mkdir()
    _said_by_both(content, "unread-ledger", "could not be read: Is a directory")


def test_nothing_is_written(tmp_path):
    """Checking leaves every file as it was."""
    content = smallshop.write(tmp_path, TYPO)
    before = tree(tmp_path)
    passport("check", content)
    assert tree(tmp_path) == before
