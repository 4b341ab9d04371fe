"""The threat model and the attacks belong together: each promise is attacked, and no attack is of a promise not made."""

import ast
import re

from places import ROOT

THREATS = ROOT / "passport" / "THREATS.md"
_CODE = re.compile(r"\b([BCDFSHNKPW]\d)\b")
TRIED_ELSEWHERE = {
    "S1": ("whole/test_private.py", "whole/test_accessibility.py"),
    "S2": ("render/pages/test_seal.py",),
    "H1": ("render/pages/test_seal.py", "whole/test_seal_browser.py"),
    "P1": ("reference/test_ref_printed.py", "whole/test_private.py"),
}
"""Promises whose attacks stood before this page did, with their tests."""


def promised() -> set[str]:
    """The codes of the promises in THREATS.md."""
    return set(re.findall(r"^\| ([A-Z]\d) \|", THREATS.read_text(encoding="utf-8"), re.MULTILINE))


def attacked() -> set[str]:
    """The codes that the docstrings of tests name."""
    found: set[str] = set()
    for path in (ROOT / "tests").rglob("test_*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                head, colon, _ = (ast.get_docstring(node) or "").partition(":")
                if colon and re.fullmatch(r"[BCDFSHNKPW]\d(?:, [BCDFSHNKPW]\d)*", head):
                    found |= set(_CODE.findall(head))
    return found


def test_every_promise_is_attacked():
    """Each promise of the threat model has a test that says it by its code, or is named here with its older tests."""
    assert len(promised()) >= 22
    assert promised() == attacked() | TRIED_ELSEWHERE.keys()
    assert all((ROOT / "tests" / path).is_file() for paths in TRIED_ELSEWHERE.values() for path in paths)


def test_every_party_has_its_limits():
    """What the program does not promise is said of every party too."""
    for party in THREATS.read_text(encoding="utf-8").split("\n### ")[1:]:
        assert "\nLimits: " in party, party.splitlines()[0]
