"""How wide a text runs in the shipped fonts, so that print can choose a size that fits before it is laid out."""

import unicodedata
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Literal

from passport.physics.units import MM_PER_IN
from passport.render.faces import widths
from passport.render.faces.known import script_of
from passport.render.faces.shelf import BY_HOUSE, invisible
from passport.render.faces.shelf import Face as Lender
from passport.render.theme import assets
from passport.render.theme.assets import typeface

Face = Literal["display-600", "text-400", "text-500", "text-600"]

MM_PER_PT = MM_PER_IN / 72
"""Millimetres in a typographic point as CSS defines it, 1/72 in."""
_SPARE = 1.004
"""Room for the rounding of glyph positions in the layout engine."""


@cache
def _advances(path: Path) -> tuple[dict[int, float], float]:
    """Advance by code point, in em, and the widest, for anything the font lacks.

    Figures are set tabular in print, so every digit counts as wide as the widest.
    """
    from fontTools.ttLib import TTFont

    with TTFont(path, lazy=True) as font:
        em, metrics = font["head"].unitsPerEm, font["hmtx"]
        table = {code: metrics[name][0] / em for code, name in font.getBestCmap().items()}
    figure = max(table[ord(digit)] for digit in "0123456789")
    return table | {ord(digit): figure for digit in "0123456789"}, max(table.values())


def text_width(text: str, face: Face, size: float, tracking: float = 0.0) -> float:
    """Width in mm of a line at ``size`` pt with ``tracking`` em between letters, without kerning: never too little."""
    table = _advances(typeface(f"{face}.ttf"))[0]
    if all(map(table.__contains__, map(ord, text))):
        total = sum(table[ord(c)] + tracking for c in text)
    else:
        total = sum(_run_width(run, lender, face) + tracking * len(run) for run, lender in _runs(text, face))
    return total * size * MM_PER_PT * _SPARE


def _runs(text: str, face: Face) -> Iterator[tuple[str, Lender | None]]:
    """The text in runs by who lends their signs to the typeface; all that may lend counts as used."""
    assets.lent(text, "")
    return widths.runs(text, BY_HOUSE[f"{face}.ttf"], assets.typefaces())


def _run_width(run: str, lender: Lender | None, face: Face) -> float:
    """How wide a run is, em; what nobody has, and is not printed, counts as the widest letter."""
    if lender:
        return widths.advance(run, lender)
    table, widest = _advances(typeface(f"{face}.ttf"))
    return sum(0.0 if invisible(c) and ord(c) not in table else table.get(ord(c), widest) for c in run)


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
    """The text in lines of ``width`` mm, broken between words, or signs of scripts without spaces; a word that is too long
    alone has its own line."""
    lines: list[str] = []
    for word in text.split():
        for i, piece in enumerate(_breakable(word)):
            longer = f"{lines[-1]}{'' if i else ' '}{piece}" if lines else piece
            if lines and fits(longer, face, width, size):
                lines[-1] = longer
            else:
                lines.append(piece)
    return tuple(lines)


_OPENING, _CLOSING = (
    "「『（［｛〈《“‘(",
    "」』）］｝〉》”’)、。，．！？：；・…ー々ぁぃぅぇぉっゃゅょァィゥェォッャュョ％,.!?:;%",
)
"""What ends no line and what begins none (Unicode Standard Annex 14, classes OP, CL, EX, NS, CJ)."""


def _breakable(word: str) -> list[str]:
    """The parts of a word between which a line may end: signs of Chinese and Japanese, with what stays at them."""
    if word.isascii():
        return [word]
    parts = [""]
    for sign in word:
        before = parts[-1][-1:]
        if before and (_ideographic(before) or _ideographic(sign)) and sign not in _CLOSING and before not in _OPENING:
            parts.append(sign)
        else:
            parts[-1] += sign
    return parts


def _ideographic(sign: str) -> bool:
    """Whether a line may end beside a sign without a space: East Asia's, but for the syllables of Korean."""
    return script_of(sign) == "CJK" and not "\uac00" <= sign <= "\ud7a3"


def shortened(text: str, face: Face, width: float, size: float) -> str:
    """The text itself where it fits ``width`` mm at ``size`` pt, else as much of it as fits with an ellipsis."""
    if fits(text, face, width, size):
        return text
    end = len(text)
    while end and not (whole(text, end) and fits(text[:end].rstrip() + "…", face, width, size)):
        end -= 1
    return text[:end].rstrip() + "…"


def whole(text: str, end: int) -> bool:
    """Whether a text may be cut there: not before a mark or sign that belongs to the letter before it."""
    follows = end < len(text) and (unicodedata.category(text[end])[0] == "M" or text[end] in "\u200c\u200d")
    return not follows and text[end - 1] != "\u200d"
