"""Text that runs from right to left inside text that does not, and the other way: each keeps its own order."""

import re
from collections.abc import Callable
from html import escape as html_escaped
from html import unescape
from typing import Any

from markupsafe import Markup

_RIGHT_TO_LEFT = re.compile(
    "[\u0590-\u060b\u060d-\u061a\u061c-\u061e\u0620-\u08ff\ufb1d-\ufdff\ufe70-\ufefe\U00010800-\U00010fff\U0001e800-\U0001efff]"
)
"""The blocks whose letters run from right to left (Unicode Character Database, default values of Bidi_Class), but for commas,
semicolons and question marks, which stand alone between things too."""
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
_STRONG = "A-Za-z0-9\u00bc-\u00be\u00c0-\u024f\u0370-\u058f\u0900-\u1fff\u3005-\u9fff\uac00-\ud7a3"
_WORD = f"[{_STRONG}](?:[{_STRONG}²³%°'’.,:/·×@&+_#–-]*[{_STRONG}²³%°])?"
_GAP = "[ \u00a0\u202f]+(?:[×/±–−-][ \u00a0\u202f]*)?"
_RUN = re.compile(f"(?<![\u2066{_STRONG}.,−])(?:[±+−][ \u00a0\u202f]?)?{_WORD}(?:{_GAP}(?:[%°]|{_WORD}))*")
"""What reads from left to right and is more than one word or number: ``24.0 kg``, ``16 × 19``, ``± 2.0``."""
_FIGURE = r"[\d.,−]+(?:\u202f[\w·²]+)?"
_UNIT = re.compile(
    rf'(?:\u2066{_FIGURE}\u2069|{_FIGURE})(?: ?<span class="(?:unit|nobreak)">[^<\u0590-\u08ff]*</span>)+'
)
"""A figure whose unit or tolerance is set apart."""
_LEFT_TO_RIGHT_FROM, _RIGHT_TO_LEFT_FROM = "\u2066", "\u2067"
_SIGNED = re.compile(f"([±+−≈][ \u00a0\u202f]?){_LEFT_TO_RIGHT_FROM}")
"""A sign before a figure that keeps its order already: it belongs to it."""
_SPREAD = re.compile("\u2069([ \u00a0\u202f]±[ \u00a0\u202f]?)(?:\u2066([^\u2066\u2069]*)\u2069|([\\d.,]*\\d))")
"""What a figure that keeps its order is good to."""


def ordered(markup: str, *, inside: bool) -> str:
    """A page or piece in a language that runs from right to left, whose figures with their units, and names in other
    scripts, keep their own order.

    ``inside`` says that all of it stands in such a paragraph; else only texts with letters of the language do, and of those
    each is told to run from right to left, whatever it begins with (as what lays out print goes by that).
    """
    markup = _SIGNED.sub(f"{_LEFT_TO_RIGHT_FROM}\\g<1>", _SPREAD.sub(f"\\g<1>\\g<2>\\g<3>{_POP}", markup))
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


_DRAWING = re.compile(r"(<svg\b.*?</svg>)", re.DOTALL)
_ELEMENTS = re.compile(r"(<(?:script|style)\b.*?</(?:script|style)>|<[^>]*>)", re.DOTALL)
_FEW = 6
"""As many words are a sentence."""
_OTHER_WORDS = re.compile(r"([\s,;·.–،؛]*)(.*?)([\s,;·،؛]*)", re.DOTALL)


def printed(markup: str, drawn: Callable[[str], str] = str) -> str:
    """What is printed in a language that runs from right to left, in elements that say so (``dir="rtl"``).

    What lays out print takes each element's own text for a paragraph, and the elements of a line in the order of their
    direction: a figure and its unit, set apart, stay together in an element of theirs; words of another language with
    their full stop in signs. Drawings are not turned; ``drawn`` is what becomes of each.
    """
    parts = _DRAWING.split(markup)
    for i, part in enumerate(parts):
        parts[i] = drawn(part) if i % 2 else _in_elements(part)
    return "".join(parts)


def _in_elements(markup: str) -> str:
    markup = _SIGNED.sub(f"{_LEFT_TO_RIGHT_FROM}\\g<1>", markup)
    parts = _ELEMENTS.split(_UNIT.sub('<span dir="ltr">\\g<0></span>', markup))
    for i in range(0, len(parts), 2):
        parts[i] = _in_element(unescape(parts[i]))
    return "".join(parts)


def _in_element(text: str) -> str:
    if _of_another_language(text):
        return f'<span dir="ltr">{_escaped(text)}</span>'
    if _RIGHT_TO_LEFT.search(text) is None and not _ISOLATED.search(text):
        before, words, after = _OTHER_WORDS.fullmatch(text).groups()  # type: ignore[union-attr]  # fits all
        if words.count(" ") > 1:  # what may be broken into lines, each of which is told its direction
            return f'{_escaped(before)}<span dir="ltr">{_escaped(words)}</span>{_escaped(after)}'
        return _escaped(f"{before}{_LEFT_TO_RIGHT_FROM}{words}{_POP}{after}" if _SEVERAL.search(words) else text)
    # A number behind a word from left to right would run with it, past what stands between them.
    return _escaped(_RUN_OR_KEPT.sub(_word_kept, _DAY.sub(f"{_RIGHT_TO_LEFT_FROM}\\g<0>{_POP}", text)))


def _of_another_language(text: str) -> bool:
    """Whether a text is a sentence from left to right in which single names run from right to left."""
    if _RIGHT_TO_LEFT.search(text) is None:
        return False
    words = [word for word in text.split() if any(sign.isalpha() for sign in word)]
    theirs = sum(1 for word in words if _RIGHT_TO_LEFT.search(word))
    return len(words) - theirs >= max(_FEW, 2 * theirs)


def has_right_to_left(text: str) -> bool:
    """Whether any letter of a text runs from right to left."""
    return _RIGHT_TO_LEFT.search(text) is not None


def in_visual_order(text: str) -> list[tuple[str, bool]]:
    """The parts of a line of words from right to left, as they are seen from left to right; whether each runs backwards."""
    parts, end = list[tuple[str, bool]](), 0
    plain = _MARKS.sub("", text)
    for run in _RUN.finditer(plain):
        parts += [(plain[end : run.start()], True), (run[0], False)]
        end = run.end()
    return [part for part in reversed([*parts, (plain[end:], True)]) if part[0]]


_MARKS = re.compile("[\u200e\u200f\u061c\u2066-\u2069]")
_DAY = re.compile("[0-9]+(?:\u200f/[0-9]+)+")
_RUN_OR_KEPT = re.compile(f"{_LEFT_TO_RIGHT_FROM}[^{_POP}]*{_POP}|{_RUN.pattern}")
_ISOLATED = re.compile(f"[\u200f{_LEFT_TO_RIGHT_FROM}{_RIGHT_TO_LEFT_FROM}{_FIRST_STRONG}]")
"""What says its own direction, as Arabic dates do between their figures."""
_SEVERAL = re.compile(f"[{_STRONG}].*[^.,:/{_STRONG}]|[^.,:/{_STRONG}].*[{_STRONG}]", re.DOTALL)
"""More than one word or number."""


def _escaped(text: str) -> str:
    return html_escaped(text, quote=False)


def _word_kept(run: re.Match[str]) -> str:
    alone = run[0].isdecimal() or run[0].startswith(_LEFT_TO_RIGHT_FROM)
    return run[0] if alone else f"{_LEFT_TO_RIGHT_FROM}{run[0]}{_POP}"


def _kept(run: re.Match[str]) -> str:
    return run[0] if run[0].isalnum() else f"{_LEFT_TO_RIGHT_FROM}{run[0]}{_POP}"
