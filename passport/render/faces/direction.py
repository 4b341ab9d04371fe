"""Text that runs from right to left inside text that does not, and the other way: each keeps its own order."""

import re
from typing import Any

from markupsafe import Markup

_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefe\U00010800-\U00010fff\U0001e800-\U0001efff]")
"""The blocks whose letters run from right to left (Unicode Character Database, default values of Bidi_Class)."""
_LEFT, _FIRST_STRONG, _POP = "\u2066", "\u2068", "\u2069"


def apart(value: Any) -> Any:
    """A text inside words that run from right to left: its own order is kept, a telephone number's too."""
    if not isinstance(value, str) or isinstance(value, Markup) or not value or value.startswith((_FIRST_STRONG, _LEFT)):
        return value
    return f"{_FIRST_STRONG}{value}{_POP}"


def left_to_right(text: str) -> str:
    """A number with its unit and sign, which nothing turns round."""
    return f"{_LEFT}{text}{_POP}"


def isolated(value: Any) -> Any:
    """A text with letters that run from right to left as one of its own direction, anything else as it is.

    The signs for that (first strong isolate and its end, Unicode Standard Annex 9) do in attributes, in PDFs and in
    calendars what the element ``bdi`` does on pages alone. Markup is left as it is: it was put together from parts that
    were isolated.
    """
    if (
        isinstance(value, str)
        and not value.isascii()
        and not isinstance(value, Markup)
        and _RIGHT_TO_LEFT.search(value)
    ):
        return value if value.startswith(_FIRST_STRONG) and value.endswith(_POP) else f"{_FIRST_STRONG}{value}{_POP}"
    return value


_TAGS = re.compile(r"(<(?:script|style)\b.*?</(?:script|style)>|<[^>]*>|&[#\w]+;)", re.DOTALL)
_STRONG = "A-Za-z0-9\u00c0-\u024f\u0370-\u058f\u1e00-\u1fff"
_WORD = f"[{_STRONG}](?:[{_STRONG}²³%°'’.,:/·×@&+_#–-]*[{_STRONG}²³%°])?"
_GAP = "[ \u00a0\u202f]+(?:[×/±–−-][ \u00a0\u202f]*)?"
_RUN = re.compile(f"(?<![\u2066{_STRONG}.,−])(?:[±+−][ \u00a0\u202f]?)?{_WORD}(?:{_GAP}(?:[%°]|{_WORD}))*")
"""What reads from left to right and is more than one word or number: ``24.0 kg``, ``16 × 19``, ``± 2.0``."""
_UNIT = re.compile(r'[\d.,−]+(?:\u202f[\w·²]+)?(?: ?<span class="(?:unit|nobreak)">[^<\u0590-\u08ff]*</span>)+')
"""A figure whose unit or tolerance is set apart."""
_LEFT_TO_RIGHT_FROM, _RIGHT_TO_LEFT_FROM = "\u2066", "\u2067"


def ordered(markup: str, *, inside: bool) -> str:
    """A page or piece in a language that runs from right to left, whose figures with their units, and names in other
    scripts, keep their own order.

    ``inside`` says that all of it stands in such a paragraph; else only texts with letters of the language do, and of those
    each is told to run from right to left, whatever it begins with (as what lays out print goes by that).
    """
    if inside:
        markup = _UNIT.sub(f"{_LEFT_TO_RIGHT_FROM}\\g<0>{_POP}", markup)
    parts = _TAGS.split(markup)
    for i in range(0, len(parts), 2):
        theirs = _RIGHT_TO_LEFT.search(parts[i]) is not None
        if inside or theirs:
            parts[i] = _RUN.sub(_kept, parts[i])
        if theirs and not inside:
            parts[i] = f"{_RIGHT_TO_LEFT_FROM}{parts[i].replace(_FIRST_STRONG, _RIGHT_TO_LEFT_FROM)}{_POP}"
    return "".join(parts)


def _kept(run: re.Match[str]) -> str:
    return run[0] if run[0].isalnum() else f"{_LEFT_TO_RIGHT_FROM}{run[0]}{_POP}"
