"""Faults as data: where, the excerpt, what is wrong, what to do. One layout for all of them."""

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from passport.records.language.worded import unsaid, worded

Severity = Literal["error", "warning"]
_SEVERITIES = unsaid("error"), unsaid("warning")


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place in a text file: display path, 1-based line and column, the line's text and the width to underline."""

    file: str
    line: int = 1
    col: int = 1
    excerpt: str = ""
    width: int = 1

    def __str__(self) -> str:
        """``FILE:LINE:COL``, as editors and terminals link it."""
        return f"{self.file}:{self.line}:{self.col}"

    def covers(self, other: "Place") -> bool:
        """Whether another place begins under this one's caret."""
        same_line = (self.file, self.line) == (other.file, other.line)
        return same_line and self.col <= other.col < self.col + self.width


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One fault in the records. ``rule`` is its stable name; ``what`` and ``do`` are sentences for a person."""

    place: Place
    rule: str
    what: str
    do: str
    severity: Severity = "error"

    def text(self) -> str:
        """The fault as printed in the terminal: place, excerpt with a caret, what is wrong, what to do."""
        lines = [f"{_harmless(str(self.place))}: {worded(self.severity)}: {self.rule}"]
        if self.place.excerpt.strip():
            number = str(self.place.line)
            shown, pad = _fit(self.place)
            width = max(1, min(self.place.width, columns(shown) - pad))
            lines += [f"  {number} | {shown}", f"  {' ' * len(number)} | {' ' * pad}{'^' * width}"]
        return "\n".join([*lines, f"  {_harmless(self.what)}", f"  {_harmless(self.do)}"])

    def data(self) -> dict[str, object]:
        """The fault as plain data for ``--json``."""
        return {
            "file": self.place.file,
            "line": self.place.line,
            "column": self.place.col,
            "severity": self.severity,
            "rule": self.rule,
            "excerpt": self.place.excerpt,
            "what": self.what,
            "do": self.do,
        }


def has_errors(faults: Iterable[Fault]) -> bool:
    """Whether any of the faults is an error; warnings alone stop nothing."""
    return any(fault.severity == "error" for fault in faults)


def _harmless(text: str) -> str:
    """A text without what would act on a terminal or turn its writing round; a name may hold anything."""
    return "".join(c if c.isprintable() else "�" for c in text)


def _fit(place: Place, most: int = 100) -> tuple[str, int]:
    """The excerpt without control characters and at most ``most`` wide, and how many columns the caret stands in."""
    text = "".join(c if c.isprintable() else " " for c in place.excerpt.rstrip())
    pad = min(place.col - 1, len(text))
    if len(text) > most:
        start = max(0, pad - most // 2)
        before, after = "…" if start else "", "…" if start + most < len(text) else ""
        text, pad = before + text[start : start + most] + after, pad - start + len(before)
    return text, columns(text[:pad])


def columns(text: str) -> int:
    """How wide a terminal prints a text (Unicode Standard Annex 11); a combining mark takes no room of its own."""
    return len(text) if text.isascii() else sum(map(_columns, text))


def _columns(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1
