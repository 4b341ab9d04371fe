"""Names that run from right to left inside text that does not: each keeps its own order and leaves that of the rest alone."""

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
