"""Every rule of the record layer, each with a small workshop that breaks it and the text that a person then reads.

``tests/faults/_base`` is a valid workshop. ``tests/faults/<rule>/<case>`` holds the files that are laid over it and
``expected.txt``, the printed faults. After a change of wording, ``python tests/test_fault_catalogue.py`` writes the
texts anew; read the difference before it is committed.
"""

import ast
import re
import shutil
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from places import FAULTS

import passport.records
from passport.records import checks
from passport.records.faults import Fault
from passport.records.folders import blocked
from passport.records.load import load

BASE = FAULTS / "_base"
TODAY = date(2026, 11, 25)
CASES = sorted(str(path.parent.relative_to(FAULTS).as_posix()) for path in FAULTS.glob("*/*/expected.txt"))

RULES = frozenset(
    [
        "bad-address",
        "bad-contact",
        "bad-date",
        "bad-key",
        "bad-name",
        "bad-number",
        "bad-photo",
        "bad-value",
        "build-over-gain",
        "check-against",
        "check-overdue",
        "closed-folder",
        "condition",
        "cracked",
        "control-character",
        "date-order",
        "decimal-comma",
        "duplicate-key",
        "future-date",
        "gauge-number",
        "grip-size",
        "half-issued",
        "head-size",
        "impossible-body",
        "impossible-value",
        "key-twice",
        "linked-folder",
        "missing-file",
        "missing-key",
        "missing-photo",
        "missing-unit",
        "mixed-set",
        "newer-format",
        "name-twice",
        "no-age",
        "no-secret",
        "no-state",
        "no-value",
        "no-workshop",
        "not-fitted",
        "not-read",
        "not-utf8",
        "number-twice",
        "odd-name",
        "outside-link",
        "part-batch",
        "photo-text",
        "pieces",
        "placeholder-address",
        "public-clash",
        "public-file",
        "serial-twice",
        "sleeve-count",
        "sport-rule",
        "stock-lot",
        "string-holes",
        "string-path",
        "string-zones",
        "swing-timing",
        "swing-timing",
        "tape-on-tape",
        "tension-limit",
        "too-large",
        "two-orders",
        "unknown-key",
        "unknown-model",
        "unknown-number",
        "unknown-part",
        "unknown-reader",
        "unknown-place",
        "unknown-string",
        "unknown-unit",
        "unknown-word",
        "unlikely",
        "unreadable",
        "wrong-original",
        "wrong-successor",
        "wrong-unit",
        "yaml-feature",
        "yaml-syntax",
    ]
)
UNHYPHENATED = frozenset(
    {"condition", "cracked", "unknown-string", "unknown-model", "unknown-part", "pieces", "unreadable", "unlikely"}
)
"""Rules that are no hyphenated word of the source: put together there, or one word."""
OPEN_DOCUMENT = frozenset(
    {
        "covered-table-cell",
        "date-value",
        "line-break",
        "number-columns-repeated",
        "number-rows-repeated",
        "number-rows-spanned",
        "table-cell",
        "table-row",
        "value-type",
    }
)
"""Names of elements and attributes of spreadsheets (ISO/IEC 26300)."""
FROM_ELSEWHERE = frozenset({"json-syntax", "no-history", "no-setup", "setup-format", "setup-value", "tag-text"})
"""Rules of what somebody brings, which is no folder of records: tests/records/exchange holds them."""
NO_RULES = (
    frozenset(
        {
            "utf-8",
            "utf-16",
            "ls-files",
            "utf-8-sig",
            "deep-petrol-125",
            "left-handed",
            "right-handed",
            "data-setup",
            "publishing-lock",
        }
    )
    | OPEN_DOCUMENT
    | FROM_ELSEWHERE
)
"""Hyphenated words of the source that are not the name of a rule."""
WARNINGS = frozenset(
    {
        "bad-contact",
        "build-over-gain",
        "check-overdue",
        "gauge-number",
        "grip-size",
        "name-twice",
        "no-age",
        "no-state",
        "not-read",
        "odd-name",
        "placeholder-address",
        "part-batch",
        "serial-twice",
        "sleeve-count",
        "sport-rule",
        "tape-on-tape",
        "tension-limit",
        "unlikely",
    }
)


def _elsewhere(root: Path) -> Path:
    """A record outside the content folder."""
    path = root.parent / "elsewhere.yaml"
    path.write_text("model: larch-98\nlabel: Elsewhere\n", encoding="utf-8")
    return path


def _player_elsewhere(root: Path) -> None:
    shutil.copytree(BASE / "players/ines", root.parent / "petra")
    (root / "players/petra").symlink_to(root.parent / "petra")


def _workshop_elsewhere(root: Path) -> None:
    (root / "workshop.yaml").rename(root.parent / "shop.yaml")
    (root / "workshop.yaml").symlink_to(root.parent / "shop.yaml")


def _link(root: Path, name: str, target: Path) -> None:
    (root / name).symlink_to(target)


def _remove(root: Path, name: str) -> None:
    (root / name).unlink()


def _fill(path: Path, size: int) -> None:
    """A file of ``size`` bytes that takes no room on the disk."""
    with path.open("wb") as file:
        file.truncate(size)


def _photos_in_a_circle(root: Path) -> None:
    """A folder that cannot be listed, whoever asks: rights are not enough where tests run as root."""
    (root / "photos").rmdir()
    _link(root, "photos", root / "photos")


def _folder_for_a_file(root: Path) -> None:
    (root / "blanks/odd.yaml").mkdir()


def _nothing(root: Path) -> None:
    """Most cases are files alone."""


PREPARE: dict[str, Callable[[Path], object]] = {
    "closed-folder/photos": _photos_in_a_circle,
    "linked-folder/public": lambda root: _link(root, "public", root / "pages"),
    "public-file/link": lambda root: _link(root, "public/verify.txt", root / "workshop.yaml"),
    "linked-folder/player": lambda root: _link(root, "players/loop", root),
    "missing-file/dead-link": lambda root: _link(root, "blanks/gone.yaml", root / "nowhere.yaml"),
    "missing-file/player": lambda root: _remove(root, "players/ines/player.yaml"),
    "missing-file/strings": lambda root: _remove(root, "catalogue/strings.yaml"),
    "no-workshop/empty": lambda root: _remove(root, "workshop.yaml"),
    "outside-link/frame": lambda root: _link(root, "players/ines/fourth.yaml", _elsewhere(root)),
    "outside-link/loop": lambda root: _link(root, "blanks/loop.yaml", root / "blanks/loop.yaml"),
    "outside-link/photo": lambda root: _link(root, "photos/main.jpg", _elsewhere(root)),
    "outside-link/player": _player_elsewhere,
    "outside-link/workshop": _workshop_elsewhere,
    "too-large/characters": lambda root: (root / "blanks/long.yaml").write_text("# " + "=" * 2_000_000),
    "too-large/file": lambda root: _fill(root / "blanks/huge.yaml", 100_000_000),
    "unreadable/folder": _folder_for_a_file,
}
"""What no file in a repository can show: links in a circle or out of the folder, files that are missing or huge."""


def faults_of(case: str, workdir: Path) -> tuple[list[Fault], str]:
    """The faults of the base workshop with a case laid over it, and their text with paths from the content folder."""
    root = workdir / "content"
    shutil.copytree(BASE, root)
    (root / "photos").mkdir(exist_ok=True)
    if case:
        shutil.copytree(FAULTS / case, root, dirs_exist_ok=True, ignore=shutil.ignore_patterns("expected.txt"))
    PREPARE.get(case, _nothing)(root)
    content, found = load(root)
    if not blocked(found):
        found = sorted([*found, *checks.run(content, TODAY)])
    text = "\n\n".join(fault.text() for fault in found) + "\n"
    return found, text.replace(f"{root}/", "").replace(str(root), "CONTENT")


def test_the_base_is_valid(tmp_path: Path) -> None:
    """The workshop under all cases has no fault of its own."""
    assert faults_of("", tmp_path)[0] == []


@pytest.mark.parametrize("case", CASES)
def test_case_prints_its_golden_text(case: str, tmp_path: Path) -> None:
    """A workshop with one thing wrong prints exactly the text that stands beside it."""
    _, text = faults_of(case, tmp_path)
    assert text == (FAULTS / case / "expected.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("case", CASES)
def test_case_breaks_its_own_rule_and_no_other(case: str, tmp_path: Path) -> None:
    """One thing wrong is reported under its own rule alone, as a warning only where nothing is stopped by it."""
    found, _ = faults_of(case, tmp_path)
    rule = case.partition("/")[0]
    assert {fault.rule for fault in found} == {rule}
    assert {fault.severity for fault in found} == {"warning" if rule in WARNINGS else "error"}


def test_every_rule_has_a_case() -> None:
    """No rule is without a workshop that breaks it."""
    assert {case.partition("/")[0] for case in CASES} == RULES


def test_every_rule_of_the_source_is_listed() -> None:
    """Every hyphenated word in the source of the record layer is a listed rule, and every listed rule stands there."""
    words: set[str] = set()
    for path in Path(passport.records.__path__[0]).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                words |= set(re.findall(r"\A[a-z]+(?:-[a-z0-9]+)+\Z", node.value))
    assert words - NO_RULES == RULES - UNHYPHENATED


@pytest.mark.parametrize("case", CASES)
def test_every_fault_says_what_to_do_in_sentences(case: str, tmp_path: Path) -> None:
    """What is wrong and what to do are whole sentences, each on one line."""
    for fault in faults_of(case, tmp_path)[0]:
        for sentence in (fault.what, fault.do):
            assert re.fullmatch(r"['\"A-Z0-9].*[.?]", sentence), sentence
            assert "  " not in sentence


def _write_anew() -> None:
    for folder in sorted(path for path in FAULTS.glob("*/*") if path.is_dir() and path.parent.name != "_base"):
        with tempfile.TemporaryDirectory() as workdir:
            text = faults_of(folder.relative_to(FAULTS).as_posix(), Path(workdir))[1]
        (folder / "expected.txt").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    _write_anew()
