"""How wide a text runs in the shipped fonts, so that print can choose a size that fits before it is laid out."""

from collections.abc import Iterable
from functools import cache
from typing import Literal

from passport.physics.units import MM_PER_IN
from passport.render.theme.assets import fonts, note

Face = Literal["besley-600", "barlow-sc-400", "barlow-sc-500", "barlow-sc-600"]

MM_PER_PT = MM_PER_IN / 72
"""Millimetres in a typographic point as CSS defines it, 1/72 in."""
_SPARE = 1.004
"""Room for the rounding of glyph positions in the layout engine."""


@cache
def _advances(face: Face) -> tuple[dict[int, float], float]:
    """Advance by code point, in em, and the widest, for anything the font lacks.

    Figures are set tabular in print, so every digit counts as wide as the widest.
    """
    from fontTools.ttLib import TTFont

    with TTFont(fonts() / f"{face}.ttf", lazy=True) as font:
        em, metrics = font["head"].unitsPerEm, font["hmtx"]
        table = {code: metrics[name][0] / em for code, name in font.getBestCmap().items()}
    figure = max(table[ord(digit)] for digit in "0123456789")
    return table | {ord(digit): figure for digit in "0123456789"}, max(table.values())


def text_width(text: str, face: Face, size: float, tracking: float = 0.0) -> float:
    """Width in mm of a line at ``size`` pt with ``tracking`` em between letters, without kerning: never too little."""
    note(f"fonts/{face}.ttf")
    table, widest = _advances(face)
    total = sum(table.get(ord(c), widest) + tracking for c in text)
    return total * size * MM_PER_PT * _SPARE


def fitted_size(
    text: str, face: Face, width: float, largest: float, smallest: float, step: float = 0.25, tracking: float = 0.0
) -> float:
    """The largest size in pt, down from ``largest`` in steps, at which ``text`` fits ``width`` mm; else ``smallest``."""
    size = largest
    while size > smallest and text_width(text, face, size, tracking) > width:
        size -= step
    return max(size, smallest)


def fits(text: str, face: Face, width: float, size: float, tracking: float = 0.0) -> bool:
    """Whether a line of text at ``size`` pt is at most ``width`` mm wide."""
    return text_width(text, face, size, tracking) <= width


def packed(phrases: Iterable[str], face: Face, width: float, size: float, joint: str = " · ") -> tuple[str, ...]:
    """The phrases, unbroken, in few lines of ``width`` mm: each goes to the first line that has room for it."""
    lines: list[str] = []
    for phrase in phrases:
        room = (i for i, line in enumerate(lines) if fits(f"{line}{joint}{phrase}", face, width, size))
        at = next(room, None)
        if at is None:
            lines.append(phrase)
        else:
            lines[at] += joint + phrase
    return tuple(lines)


def wrapped(text: str, face: Face, width: float, size: float) -> tuple[str, ...]:
    """The text in lines of ``width`` mm, broken between words; a word that is too long alone has its own line."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and fits(longer, face, width, size):
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def shortened(text: str, face: Face, width: float, size: float) -> str:
    """The text itself where it fits ``width`` mm at ``size`` pt, else as much of it as fits with an ellipsis."""
    if fits(text, face, width, size):
        return text
    end = len(text)
    while end and not fits(text[:end].rstrip() + "…", face, width, size):
        end -= 1
    return text[:end].rstrip() + "…"
