"""All string beds of one frame on one scale, so that it shows which string held."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from passport.render.charts.labels import ChartWords
from passport.render.charts.life import RIGHT, WIDTH, Panel, foot_axis, percent, sample, share_axis, share_range
from passport.render.charts.marks import now_mark
from passport.render.charts.plot import Canvas, round_ticks, text_width
from passport.render.theme.palette import Paint, Token

_LINE = 19.0
_HEIGHT = 126.0
_SAMPLES = 10
_LOOKS: tuple[tuple[Token, tuple[float, ...]], ...] = (
    ("petrol", ()),
    ("plum", (5, 3)),
    ("doubt", (2, 2)),
    ("soft", (8, 2, 2, 2)),
)
"""Colour and dashes of the strings in turn; further ones share the last."""


@dataclass(frozen=True, slots=True)
class BedLine:
    """One bed: its string, what was left after some days, and how long the line is to be drawn.

    ``points`` are its readings as (days, share of the fresh tension). ``now``: this bed is in the frame.
    """

    string: str
    left: Callable[[float], float]
    days: float
    points: tuple[tuple[float, float], ...]
    now: bool = False


def beds_chart(
    beds: Sequence[BedLine], *, key: str, paint: Paint, words: ChartWords | None = None, extra: str = ""
) -> str:
    """The beds over each other, each from its stringing to its last reading, as an SVG string.

    Raises:
        ValueError: there is no bed.
    """
    if not beds:
        raise ValueError("a chart of beds needs at least one of them")
    words = words or ChartWords()
    strings = tuple(dict.fromkeys(bed.string for bed in sorted(beds, key=lambda bed: not bed.now)))
    looks = {string: _LOOKS[min(i, len(_LOOKS) - 1)] for i, string in enumerate(strings)}
    top = 30 + _LINE * len(strings)
    shares = [share for bed in beds for _, share in bed.points] + [bed.left(bed.days) for bed in beds]
    panel = Panel.of(max(bed.days for bed in beds) * 1.03, top, top + _HEIGHT, *share_range(shares))
    canvas = Canvas(WIDTH, top + _HEIGHT + 38)
    canvas.text(0, 13, words.beds_left, size=14, strong=True)
    if any(bed.now for bed in beds):
        canvas.text(WIDTH, 13, words.now, size=13, anchor="end")
        now_mark(canvas, WIDTH - text_width(words.now, 13) - 13, 13)
    _key(canvas, beds, strings, looks, words)
    share_axis(canvas, panel, words)
    _ages(canvas, panel, words)
    ordered = sorted(beds, key=lambda bed: (bed.now, strings.index(bed.string)))
    for bed in ordered:
        ink, dash = looks[bed.string]
        count = 5 + round((_SAMPLES - 5) * math.sqrt(bed.days / panel.x.high))  # short lines need few corners
        line = [(panel.x(d), panel.y(bed.left(d))) for d in sample(bed.days, count)]
        canvas.line(line, ink, 2.4 if bed.now else 1.2, dash=dash)
    for bed in ordered:
        _last(canvas, panel, bed, looks[bed.string][0])
    desc = " ".join(_sentence(string, beds, words) for string in strings)
    return canvas.svg(key=key, title=words.beds_title, desc=desc, paint=paint, extra=extra)


def _key(
    canvas: Canvas,
    beds: Sequence[BedLine],
    strings: Sequence[str],
    looks: dict[str, tuple[Token, tuple[float, ...]]],
    words: ChartWords,
) -> None:
    """What the lines mean, one string a line, with how many beds it had."""
    for i, string in enumerate(strings):
        y = 30 + _LINE * i
        ink, dash = looks[string]
        canvas.line([(0, y), (24, y)], ink, 2, dash=dash)
        _mark(canvas, 12, y, ink)
        label = _label(string, beds, words)
        canvas.text(31, y + 4.5, label, size=13, fill=ink)


def _ages(canvas: Canvas, panel: Panel, words: ChartWords) -> None:
    """Ages along the foot, in days."""
    ticks = [v for v in round_ticks(0, panel.x.high, 5, steps=(1, 2, 3, 5, 10)) if v <= panel.x.high]
    foot_axis(canvas, panel, ticks)
    for value in ticks:
        canvas.text(panel.x(value), panel.y.start + 18, f"{value:.0f}", size=12, fill="soft", anchor="middle")
    canvas.text(RIGHT, panel.y.start + 34, words.beds_days, size=12, fill="soft", anchor="end")


def _last(canvas: Canvas, panel: Panel, bed: BedLine, ink: Token) -> None:
    """A bed's last reading; the bed that is in the frame now carries the mark of now."""
    days, share = max(bed.points)
    x, y = panel.x(days), panel.y(share)
    _mark(canvas, x, y, ink)
    if bed.now:
        now_mark(canvas, x, y - 5)


def _mark(canvas: Canvas, x: float, y: float, ink: Token) -> None:
    """A disc for the first string, a diamond for the second, squares for the rest."""
    if ink == "petrol":
        canvas.dot(x, y, 3.4, ink)
    elif ink == "plum":
        canvas.diamond(x, y, 4.6, ink)
    else:
        canvas.rect(x - 3.2, y - 3.2, 6.4, 6.4, ink)


def _sentence(string: str, beds: Sequence[BedLine], words: ChartWords) -> str:
    """The beds of a string in words: what they had left when they were last read."""
    lasts = [max(bed.points) for bed in beds if bed.string == string]
    shares = [percent(share) for share in (min(s for _, s in lasts), max(s for _, s in lasts))]
    ages = [f"{days:.0f}" for days in (min(d for d, _ in lasts), max(d for d, _ in lasts))]
    left, days = ("–".join(dict.fromkeys(ends)) for ends in (shares, ages))
    return words.beds_desc.format(beds=_label(string, beds, words), left=left, days=days)


def _label(string: str, beds: Sequence[BedLine], words: ChartWords) -> str:
    """A string with how many beds it had."""
    count = sum(bed.string == string for bed in beds)
    return (words.beds_one if count == 1 else words.beds_many).format(string=string, count=count)
