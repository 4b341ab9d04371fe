"""What a page of shop text may hold: as much as somebody would read, and nothing that turns its writing round.

Markdown is unfolded by rules whose work grows with the square of what they meet, so a page has a length, and the signs
that begin links, code, quotations and tags a number, at which a page takes a second and not an hour.
"""

import re
from collections.abc import Iterator

from passport.records.faults import Fault, Place
from passport.records.language.worded import worded

LONGEST = 30_000
"""Characters of a page; about five thousand words."""
MOST_SIGNS = 500
"""How often a page may hold each of `_SIGNS`."""
_SIGNS = '[<`"'
_RISKY = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069\ufffe\uffff]")


def page_faults(text: str, file: str) -> Iterator[Fault]:
    """What is wrong with a page's text: ``too-large``, ``control-character``."""
    if len(text) > LONGEST:
        what = worded(
            "This page holds {text:,} characters, more than the {longest:,} that are read.",
            text=len(text),
            longest=LONGEST,
        )
        yield Fault(Place(file), "too-large", what, worded("Split it into several pages."))
        return
    for sign in _SIGNS:
        if text.count(sign) > MOST_SIGNS:
            what = worded(
                "This page holds the sign {sign} {count:,} times, more than {most_signs:,}.",
                sign=sign,
                count=text.count(sign),
                most_signs=MOST_SIGNS,
            )
            yield Fault(Place(file), "too-large", what, worded("Split it into several pages."))
            return
    found = _RISKY.search(text)
    if found:
        before = text[: found.start()].split("\n")
        lines = text.split("\n")
        place = Place(file, len(before), len(before[-1]) + 1, lines[len(before) - 1].rstrip("\r"))
        what = worded(
            "This text holds U+{ord:04X}, a control character or a mark that turns the writing around.",
            ord=ord(found[0]),
        )
        yield Fault(place, "control-character", what, worded("Type the text anew instead of pasting it."))
