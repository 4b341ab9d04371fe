"""What a change does to a text, in lines for a person."""

import re
from difflib import SequenceMatcher

_UNSAID = re.compile(r"\s*(key|secret):")
"""Lines that are not shown: a person who reads them over a shoulder could open the page."""


def difference(before: str, after: str, most: int | None = None) -> list[str]:
    """The lines that go, with ``-`` before them, and those that come, with ``+``, in their order; ``most`` at most."""
    old, new = before.removeprefix("\ufeff").splitlines(), after.removeprefix("\ufeff").splitlines()
    lines: list[str] = []
    for kind, i, j, k, m in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if kind != "equal":
            lines += [f"- {line}" for line in old[i:j] if _said(line)]
            lines += [f"+ {line}" for line in new[k:m] if _said(line)]
    if most is not None and len(lines) > most:
        return [*lines[:most], f"… and {len(lines) - most} lines more"]
    return lines


def _said(line: str) -> bool:
    return bool(line.strip()) and not _UNSAID.match(line)
