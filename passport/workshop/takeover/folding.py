"""Names as they are compared: folded over case, accents and scripts, and how surely two of them mean the same."""

import re
import unicodedata
from functools import lru_cache
from typing import Final

from passport.workshop.entry.naming import latin
from passport.workshop.entry.search import typos

_UMLAUT: Final = {"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe"}
_COMMA = re.compile(r"([^\W\d_][\w'’. -]*?)\s*,\s*([^\W\d_][\w'’. -]*)")
_GAUGE = re.compile(r"(?<![0-9])(?:([01])[.,]([0-9]{2})([05])?|(1[0-4][0-9]))\s*(?:mm\b)?")
_LENGTHS: Final = (4, 7)
"""Letters of a word from which one slip is thought of, and two."""


@lru_cache(maxsize=1 << 15)
def same_key(text: str) -> str:
    """A name without what nobody means: letter case, kinds of spaces, dots, hyphens, apostrophes."""
    clean = unicodedata.normalize("NFKC", text).casefold()
    return " ".join(re.sub(r"[\s.\-–—'’`´_,;:/\\()\[\]\"]+", " ", clean).split())


@lru_cache(maxsize=1 << 15)
def folded(text: str) -> str:
    """A name in plain small letters, whatever its accents and its script."""
    return latin(text).replace("-", " ")


@lru_cache(maxsize=1 << 15)
def spelled(text: str) -> frozenset[str]:
    """The ways to write a name without accents: ``Müller`` is ``muller`` or ``mueller``."""
    long = "".join(_UMLAUT.get(c, c) for c in unicodedata.normalize("NFC", same_key(text)))
    return frozenset((folded(text), folded(long)))


def turned(text: str) -> str:
    """``Kern, Anna`` as it is said, ``Anna Kern``; any other text with single spaces."""
    clean = " ".join(unicodedata.normalize("NFC", text).split())
    match = _COMMA.fullmatch(clean)
    return f"{match[2].strip()} {match[1].strip()}" if match and "," not in match[2] else clean


def with_gauge(text: str) -> str:
    """A string's name in which a thickness is written one way: ``1.25``, ``1,25 mm`` and ``125`` are ``125``."""
    return _GAUGE.sub(lambda m: f"{m[4] or m[1] + m[2]} ", text).strip()


def gauge_in(text: str) -> str:
    """The thickness that stands in a string's name, ``1.25 mm``; empty where there is none, or more than one."""
    found = {m[4] or m[1] + m[2] for m in _GAUGE.finditer(text)}
    value = found.pop() if len(found) == 1 else ""
    return f"{value[0]}.{value[1:]} mm" if value else ""


def without_gauge(text: str) -> str:
    """A string's name without its thickness."""
    return " ".join(_GAUGE.sub(" ", text).split())


def alike(one: str, other: str) -> str:
    """In what two names differ that may mean the same, as the end of a sentence; empty where they are plainly others."""
    if spelled(one) & spelled(other):
        scripts = any(ord(c) > 0x24F for c in one + other if c.isalpha())
        return "in its script" if scripts else "in its accents alone"
    first, second = folded(one).split(), folded(other).split()
    if "".join(first) == "".join(second):
        return "in its spaces alone"
    if sorted(first) == sorted(second):
        return "in the order of its words"
    short, long = sorted((first, second), key=len)
    if not short or not _fits(short, long):
        return ""
    if len(short) < len(long):
        return "in words that one of them lacks"
    initials = any(len(a) == 1 or len(b) == 1 for a, b in zip(sorted(short), sorted(long), strict=True))
    return "in a shortened word" if initials or _shortened(short, long) else "in a few letters"


def _shortened(short: list[str], long: list[str]) -> bool:
    return any(a != b and _begins(a, b) for a in short for b in long)


def _fits(short: list[str], long: list[str]) -> bool:
    """Whether each word of one name is, begins or nearly is another word of the other; one of them must be whole."""
    left, whole = list(long), False
    for word in sorted(short, key=len, reverse=True):
        found = next((other for test in (_equal, _typo, _begins) for other in left if test(word, other)), None)
        if found is None:
            return False
        left.remove(found)
        whole = whole or (_typo(word, found) and len(word) > 1)
    return whole


def _equal(one: str, other: str) -> bool:
    return one == other


def _begins(one: str, other: str) -> bool:
    return one.startswith(other) or other.startswith(one) if min(len(one), len(other)) in (1, 3, 4) else False


def _typo(one: str, other: str) -> bool:
    if one == other:
        return True
    # A digit is never a typo: 98 is not 100, and 1.20 not 1.25.
    if any(c.isdigit() for c in one + other):
        return False
    short = min(len(one), len(other))
    most = sum(short >= length for length in _LENGTHS)
    return most > 0 and typos(one, other, most) <= most
