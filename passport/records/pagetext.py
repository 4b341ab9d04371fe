"""What a page of shop text may hold: as much as somebody would read, and nothing that turns its writing round.

Markdown is unfolded by rules whose work grows with the square of what they meet, so a page has a length, and the signs
that begin links, code, quotations and tags a number, at which a page takes a second and not an hour.
"""

import re
from collections.abc import Iterator

from passport.records.faults import Fault, Place

LONGEST = 30_000
"""Characters of a page; about five thousand words."""
MOST_SIGNS = 500
"""How often a page may hold each of `_SIGNS`."""
_SIGNS = '[<`"'
_RISKY = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069\ufffe\uffff]")


def page_faults(text: str, file: str) -> Iterator[Fault]:
    """What is wrong with a page's text: ``too-large``, ``control-character``."""
    if len(text) > LONGEST:
        what = f"This page holds {len(text):,} characters, more than the {LONGEST:,} that are read."
        yield Fault(Place(file), "too-large", what, "Split it into several pages.")
        return
    for sign in _SIGNS:
        if text.count(sign) > MOST_SIGNS:
            what = f"This page holds the sign {sign} {text.count(sign):,} times, more than {MOST_SIGNS:,}."
            yield Fault(Place(file), "too-large", what, "Split it into several pages.")
            return
    found = _RISKY.search(text)
    if found:
        before = text[: found.start()].split("\n")
        lines = text.split("\n")
        place = Place(file, len(before), len(before[-1]) + 1, lines[len(before) - 1].rstrip("\r"))
        what = f"This text holds U+{ord(found[0]):04X}, a control character or a mark that turns the writing around."
        yield Fault(place, "control-character", what, "Type the text anew instead of pasting it.")
