"""The valid workshop of the fault catalogue with a few files laid over it, for tests that change one thing about it."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from shutil import copytree
from textwrap import dedent

from passport.records import checks
from passport.records.checks import likely
from passport.records.faults import Fault
from passport.records.load import Content, load

BASE = Path(__file__).parents[1] / "faults" / "_base"
TODAY = date(2026, 11, 25)
THIRD = "players/ines/third.yaml"
"""A further frame of the player whose other two are sound."""


def laid(tmp_path: Path, files: Mapping[str, str]) -> Path:
    """A content folder: the valid workshop, with ``files`` by their paths written over it."""
    root = tmp_path / "content"
    copytree(BASE, root, dirs_exist_ok=True)
    for name, text in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(dedent(text), encoding="utf-8")
    return root


def checked(tmp_path: Path, files: Mapping[str, str], today: date = TODAY) -> tuple[Content, list[Fault]]:
    """What is read of such a folder, and every fault, in order."""
    content, faults = load(laid(tmp_path, files))
    return content, sorted([*faults, *checks.run(content, today)])


def third(tmp_path: Path, text: str) -> list[Fault]:
    """The faults of the workshop with a third frame, a Larch 98 unless its record says otherwise.

    What is only asked about (`test_likely`) is left out: other rules are tried with values far from what is usual.
    """
    body = dedent(text)
    head = "" if "model:" in body else "model: larch-98\n"
    faults = checked(tmp_path, {THIRD: f"{head}label: Third\n{body}"})[1]
    return [fault for fault in faults if fault.rule != likely.RULE]


def rules(faults: list[Fault]) -> list[str]:
    """The rules that were broken, in order."""
    return [fault.rule for fault in faults]


def underlined(fault: Fault) -> str:
    """The text that the caret stands under."""
    start = fault.place.col - 1
    return fault.place.excerpt[start : start + fault.place.width]
