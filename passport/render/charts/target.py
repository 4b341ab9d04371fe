"""Measured against target: a band for each quantity on the page, smaller on the card, or one under its figure."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from passport.render.charts.labels import ChartWords
from passport.render.charts.marks import target_mark
from passport.render.charts.plot import Canvas, text_width
from passport.render.drawing.svg import document, num, text
from passport.render.theme.palette import Paint, Token

Verdict = Literal["inside", "outside", "undecided"]

VERDICT_INK: dict[Verdict, Token] = {"inside": "good", "outside": "bad", "undecided": "doubt"}

WIDTH = 350.0
_ROW = 74.0
_LINE = 17.0
_WIDEST = 4.0
"""No reading is drawn further from its target than this many tolerances; one that is gets an arrow."""


@dataclass(frozen=True, slots=True)
class TargetRow:
    """One quantity: figures in any one unit, and the same as the reader is to see them.

    ``measured`` is None where there is no reading; ``uncertainty`` is the expanded uncertainty, half the whisker's
    length, 0 for none. ``low_text`` and ``high_text`` are the tolerance's limits. ``short`` is the name for a card.
    """

    name: str
    target: float
    tolerance: float
    measured: float | None
    verdict: Verdict | None
    measured_text: str
    target_text: str
    low_text: str
    high_text: str
    uncertainty: float = 0.0
    short: str = ""

    @property
    def off(self) -> float | None:
        """How far the reading is from the target, in tolerances."""
        return None if self.measured is None else (self.measured - self.target) / self.tolerance


def half_range(offs: Sequence[float], least: float = 1.9) -> float:
    """How many tolerances a strip shows on each side, so that all of ``offs`` fit if they can."""
    return min(_WIDEST, max([least, *(abs(off) * 1.12 for off in offs)]))


def target_chart(
    rows: Sequence[TargetRow], *, key: str, paint: Paint, words: ChartWords | None = None, extra: str = ""
) -> str:
    """The measured figures on their tolerance bands as an SVG string; all bands are drawn equally wide."""
    words = words or ChartWords()
    reach = half_range([abs(r.off) + r.uncertainty / r.tolerance for r in rows if r.off is not None])
    extra_line = 0.0 if all(_fits(row, words) for row in rows) else _LINE
    canvas = Canvas(WIDTH, (_ROW + extra_line) * len(rows))
    for i, row in enumerate(rows):
        _row(canvas, row, i * (_ROW + extra_line), (reach, extra_line), words)
    desc = " ".join(sentence(row, words) for row in rows)
    return canvas.svg(key=key, title=words.target_title, desc=desc, paint=paint, extra=extra)


def _fits(row: TargetRow, words: ChartWords) -> bool:
    """Whether name, target and reading stand on one line."""
    name = text_width(row.name, 15, strong=True)
    aim = text_width(f"{words.target} {row.target_text}", 13)
    shown = text_width(row.measured_text, 18, display=True) if row.measured_text else 80
    return name + aim + shown + 24 < WIDTH


def sentence(row: TargetRow, words: ChartWords) -> str:
    """A row in words."""
    if row.measured is None or row.verdict is None:
        return words.target_desc_missing.format(name=row.name, target=row.target_text)
    verdict = getattr(words, row.verdict)
    return words.target_desc.format(name=row.name, measured=row.measured_text, target=row.target_text, verdict=verdict)


def _row(canvas: Canvas, row: TargetRow, top: float, layout: tuple[float, float], words: ChartWords) -> None:
    """One quantity: name, target and reading above, the strip, the limits and the verdict below."""
    reach, extra_line = layout
    middle, unit = WIDTH / 2, (WIDTH / 2 - 8) / reach
    y = top + 38 + extra_line
    canvas.text(0, top + 18, row.name, size=15, strong=True)
    indent = 0 if extra_line else text_width(row.name, 15, strong=True) + 7
    canvas.text(indent, top + 18 + extra_line, f"{words.target} {row.target_text}", size=13, fill="soft")
    if row.off is None:
        canvas.text(WIDTH, top + 18, words.not_measured, size=13, fill="soft", anchor="end")
    else:
        canvas.text(WIDTH, top + 18, row.measured_text, size=18, display=True, anchor="end")
    strip(canvas, middle, y, unit, reach)
    canvas.text(middle - unit, y + 24, row.low_text, size=12, fill="soft", anchor="middle")
    canvas.text(middle + unit, y + 24, row.high_text, size=12, fill="soft", anchor="middle")
    if row.off is not None:
        whisker(canvas, row, row.off, (middle, y), (unit, reach))
    target_mark(canvas, middle, y)
    if row.off is not None:
        reading(canvas, row, row.off, (middle, y), (unit, reach))
        if row.verdict:
            ink = VERDICT_INK[row.verdict]
            canvas.text(WIDTH, y + 24, getattr(words, row.verdict), size=13, fill=ink, strong=True, anchor="end")


def strip(canvas: Canvas, middle: float, y: float, unit: float, reach: float) -> None:
    """An empty strip: the scale and the tolerance band with its limits; ``unit`` px are one tolerance."""
    canvas.rect(middle - unit, y - 9, 2 * unit, 18, "band")
    canvas.line([(middle - unit * reach, y), (middle + unit * reach, y)], "rule", 1)
    for side in (-1, 1):
        canvas.line([(middle + side * unit, y - 9), (middle + side * unit, y + 9)], "rule", 1.5)


def mark(canvas: Canvas, x: float, y: float, verdict: Verdict | None) -> None:
    """A reading: a disc inside, a diamond outside, a ring where nobody can say, so that colour is not all that tells."""
    if verdict == "outside":
        canvas.diamond(x, y, 8, "ground")
        canvas.diamond(x, y, 6, VERDICT_INK[verdict])
        return
    canvas.dot(x, y, 6.5 if verdict == "undecided" else 5.5, "ground")
    canvas.dot(x, y, 5 if verdict == "undecided" else 4, "doubt" if verdict == "undecided" else "petrol")
    if verdict == "undecided":
        canvas.dot(x, y, 2.6, "ground")


def whisker(canvas: Canvas, row: TargetRow, off: float, at: tuple[float, float], scale: tuple[float, float]) -> None:
    """The reading's uncertainty, cut at the ends of the strip; none where it would not be seen."""
    (middle, y), (unit, reach) = at, scale
    half = row.uncertainty / row.tolerance * unit
    if half <= 5 or abs(off) > reach:
        return
    x = middle + unit * off
    ends = (max(middle - unit * reach, x - half), min(middle + unit * reach, x + half))
    canvas.line([(ends[0], y), (ends[1], y)], "ink", 2)
    for end in ends:
        canvas.line([(end, y - 4), (end, y + 4)], "ink", 2)


def reading(canvas: Canvas, row: TargetRow, off: float, at: tuple[float, float], scale: tuple[float, float]) -> None:
    """The reading on its strip; an arrow where it lies beyond the strip."""
    (middle, y), (unit, reach) = at, scale
    if abs(off) <= reach:
        mark(canvas, middle + unit * off, y, row.verdict)
        return
    way = 1 if off > 0 else -1
    tip = middle + way * (unit * reach + 6)
    ink: Token = VERDICT_INK[row.verdict] if row.verdict else "petrol"
    canvas.area([(tip, y), (tip - 11 * way, y - 7), (tip - 11 * way, y + 7)], ink, "ground", 1.5)


def card_chart(
    rows: Sequence[TargetRow],
    *,
    key: str,
    paint: Paint,
    words: ChartWords | None = None,
    width: float = 34.0,
    text_pt: float = 5.5,
    extra: str = "",
) -> str:
    """The same as one small strip a quantity, for the printed card: ``width`` mm wide, 3.6 mm a row.

    Units of the drawing are mm. It is written by hand, since a card has no room for a plotting library's detail.
    """
    words = words or ChartWords()
    pitch, size = 3.6, text_pt * 25.4 / 72
    label = max((text_width(r.short or r.name, size, strong=True) for r in rows), default=0.0) + 1.4
    reach = half_range([abs(r.off) for r in rows if r.off is not None], least=1.6)
    middle, unit = (label + width) / 2, (width - label - 1.6) / 2 / reach
    parts = []
    for i, row in enumerate(rows):
        y = i * pitch + pitch / 2
        parts.append(text(0, y + size * 0.35, row.short or row.name, size=size, paint=paint("ink"), strong=True))
        parts.append(_card_strip(row, (middle, y), (unit, reach), paint))
    desc = " ".join(sentence(row, words) for row in rows)
    box = (0.0, 0.0, width, pitch * len(rows))
    return document("".join(parts), key=key, title=words.target_title, desc=desc, box=box, paint=paint, extra=extra)


def _card_strip(row: TargetRow, at: tuple[float, float], scale: tuple[float, float], paint: Paint) -> str:
    """One strip of the card's chart; the target has its mark as on the page, the reading is a dot, or a diamond where it is not inside."""
    (middle, y), (unit, reach) = at, scale
    low, high, end = middle - unit, middle + unit, unit * reach
    band = f'<path d="M{_mm(low, y)}H{num(high, 2)}"{paint("none", "band")} stroke-width="1.9"/>'
    lines = (
        f'<path d="M{_mm(middle - end, y)}H{num(middle + end, 2)}M{_mm(low, y - 0.95)}v1.9M{_mm(high, y - 0.95)}v1.9'
        f'"{paint("none", "rule")} stroke-width=".18"/>'
        f'<path d="M{_mm(middle, y - 1.4)}v2.8m-.4 0h.8m-.8-2.8h.8"{paint("none", "plum")} stroke-width=".25"/>'
    )
    if row.off is None:
        return band + lines
    x = middle + unit * max(-reach, min(reach, row.off))
    if row.verdict in ("outside", "undecided"):
        shape = f'<path d="M{_mm(x, y - 0.95)}l.95 .95-.95 .95-.95-.95z"{paint(VERDICT_INK[row.verdict])}/>'
    else:
        shape = f'<circle cx="{num(x, 2)}" cy="{num(y, 2)}" r=".68"{paint("petrol")}/>'
    return band + lines + shape


def _mm(x: float, y: float) -> str:
    """A point in hundredths of a mm."""
    return f"{num(x, 2)} {num(y, 2)}"


_WIDTH = 164.0
_HEIGHT = 43.0


def strip_chart(row: TargetRow, *, key: str, paint: Paint, words: ChartWords | None = None) -> str:
    """The measured value, the target and the tolerance's limits on one short strip, as an SVG string."""
    words = words or ChartWords()
    reach = half_range([abs(row.off) + row.uncertainty / row.tolerance] if row.off is not None else [])
    canvas = Canvas(_WIDTH, _HEIGHT)
    middle, unit, y = _WIDTH / 2, (_WIDTH / 2 - 8) / reach, 14.0
    strip(canvas, middle, y, unit, reach)
    canvas.text(middle - unit, y + 24, row.low_text, size=13, fill="soft", anchor="middle")
    canvas.text(middle + unit, y + 24, row.high_text, size=13, fill="soft", anchor="middle")
    if row.off is not None:
        whisker(canvas, row, row.off, (middle, y), (unit, reach))
    target_mark(canvas, middle, y)
    if row.off is not None:
        reading(canvas, row, row.off, (middle, y), (unit, reach))
    return canvas.svg(key=key, title=row.name, desc=sentence(row, words), paint=paint)
