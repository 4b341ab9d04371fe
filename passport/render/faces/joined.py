"""Words in drawings whose letters are joined and run from right to left, as outlines.

What lays out print sets each letter of a drawing's text by itself, from left to right: letters that are joined would come
apart, and stand in reverse. Where the drawing itself is described beside, outlines lose nothing.
"""

import re
from collections.abc import Iterator
from html import unescape
from typing import Final

from passport.render.faces import widths
from passport.render.faces.direction import has_right_to_left, in_visual_order
from passport.render.faces.shelf import STYLES, Face, HouseStyle, Shelf

_TEXT = re.compile(r"<text\b([^>]*)>([^<]*)</text>")
_NUMBER: Final = r"(-?[\d.]+)"
_X, _Y = re.compile(rf'\bx="{_NUMBER}"'), re.compile(rf'\by="{_NUMBER}"')
_SIZE = re.compile(rf'font-size(?:="|: ?){_NUMBER}')
_BOLD = re.compile(r'font-weight(?:="|: ?)(?:[6-9]00|bold)')
_ANCHOR = re.compile(r'text-anchor(?:="|: ?)(\w+)')
_FILL = re.compile(r'\bfill(?:="|: ?)([#\w]+)')
_SHARES: Final = {"start": 0.0, "middle": 0.5, "end": 1.0}


def joined(svg: str, shelf: Shelf) -> str:
    """A drawing with its words from right to left as outlines; other words, and what has no size of its own, stay."""
    return _TEXT.sub(lambda found: _outlined(found, shelf), svg) if has_right_to_left(svg) else svg


def _outlined(found: re.Match[str], shelf: Shelf) -> str:
    given, words = found[1], unescape(found[2])
    x, y, size, fill = (pattern.search(given) for pattern in (_X, _Y, _SIZE, _FILL))
    if not (x and y and size and fill and has_right_to_left(words)):
        return found[0]
    style = next(s for s in STYLES if not s.serif and s.weight == (600 if _BOLD.search(given) else 400))
    paths, width = [], 0.0
    for run, face, backwards in _runs(words, style, shelf):
        outline, advance = widths.outline(run, face, backwards=backwards)
        paths.append(f'<path transform="translate({width:.4f} 0)" d="{outline}"/>' if outline else "")
        width += advance
    anchor = _ANCHOR.search(given)
    em = float(size[1])
    left = float(x[1]) - width * em * _SHARES[anchor[1] if anchor else "start"]
    return f'<g transform="translate({left:.3f} {float(y[1]):.3f}) scale({em:g})" fill="{fill[1]}">{"".join(paths)}</g>'


def _runs(words: str, style: HouseStyle, shelf: Shelf) -> Iterator[tuple[str, Face, bool]]:
    """Runs of one face from left to right as they are seen, and whether each is read backwards."""
    for part, backwards in in_visual_order(words):
        runs = list(widths.runs(part, style, shelf))
        for run, face in reversed(runs) if backwards else runs:
            yield run, face or shelf.shipped_face(style.house), backwards
