"""How equal the frames of one player are: a strip of dots for each quantity."""

from collections.abc import Sequence
from dataclasses import dataclass

from passport.render.charts.labels import ChartWords
from passport.render.charts.marks import target_mark
from passport.render.charts.plot import Canvas, text_width
from passport.render.charts.target import VERDICT_INK, WIDTH, Verdict, half_range, strip
from passport.render.theme.palette import Paint

_HEAD = 24.0
_LEVEL = 15.0
_FOOT = 38.0
_LABEL = 12.0
_SAME = 1.5
"""Distance in px below which two dots are drawn as one."""


@dataclass(frozen=True, slots=True)
class EqualFrame:
    """One frame: the short name that stands beside its dots, and a value for each quantity (None: no reading).

    ``off`` tells for each quantity whether the frame is surely off, by its own verdict or the set's.
    """

    label: str
    values: tuple[float | None, ...]
    texts: tuple[str, ...] = ()
    off: tuple[bool, ...] = ()


@dataclass(frozen=True, slots=True)
class EqualQuantity:
    """One quantity: what the frames should have, within what tolerance, and the spread in words.

    ``aimed`` is False where ``target`` is only the middle of the frames, not a target that was set.
    """

    name: str
    target: float
    tolerance: float
    spread_text: str
    low_text: str
    high_text: str
    verdict: Verdict | None = None
    aimed: bool = True


def equality_chart(
    frames: Sequence[EqualFrame],
    quantities: Sequence[EqualQuantity],
    *,
    key: str,
    paint: Paint,
    words: ChartWords | None = None,
    extra: str = "",
) -> str:
    """The frames side by side on the tolerance band of each quantity, as an SVG string.

    Raises:
        ValueError: a frame has not one value for each quantity.
    """
    if any(len(frame.values) != len(quantities) for frame in frames):
        raise ValueError("each frame needs one value, or None, for each quantity")
    words = words or ChartWords()
    dots = [_dots(frames, i, quantity) for i, quantity in enumerate(quantities)]
    reach = half_range([off for row in dots for _, off, _ in row])
    unit = (WIDTH / 2 - 8) / reach
    stacks = [_stack(row, unit, reach) for row in dots]
    canvas = Canvas(WIDTH, sum(_height(stack) for stack in stacks))
    top = 0.0
    for quantity, stack in zip(quantities, stacks, strict=True):
        _row(canvas, quantity, stack, (top, unit, reach))
        top += _height(stack)
    desc = " ".join(_sentence(frames, i, quantity, words) for i, quantity in enumerate(quantities))
    return canvas.svg(key=key, title=words.equality_title, desc=desc, paint=paint, extra=extra)


@dataclass(frozen=True, slots=True)
class _Dot:
    """A frame's dot, whether it is surely ``off``, and the place of its name above it: x of both, and how many lines up
    the name stands."""

    label: str
    off: bool
    x: float
    label_x: float
    level: int


def _dots(frames: Sequence[EqualFrame], index: int, quantity: EqualQuantity) -> list[tuple[str, float, bool]]:
    """The frames that have a reading, by how far they are off, in tolerances, and whether surely."""
    values = [(frame.label, frame.values[index], bool(frame.off and frame.off[index])) for frame in frames]
    return [(label, (v - quantity.target) / quantity.tolerance, sure) for label, v, sure in values if v is not None]


def _stack(dots: Sequence[tuple[str, float, bool]], unit: float, reach: float) -> tuple[_Dot, ...]:
    """Give each dot's name the lowest line on which it touches no other."""
    ends: list[float] = []
    placed: list[_Dot] = []
    for label, off, sure in _joined(sorted(dots, key=lambda d: d[1]), unit):
        x = WIDTH / 2 + unit * max(-reach, min(reach, off))
        half = text_width(label, _LABEL, strong=True) / 2
        label_x = max(half, min(WIDTH - half, x))
        level = next((i for i, end in enumerate(ends) if end + 5 <= label_x - half), len(ends))
        ends[level : level + 1] = [label_x + half]
        placed.append(_Dot(label, sure, x, label_x, level))
    return tuple(placed)


def _joined(dots: Sequence[tuple[str, float, bool]], unit: float) -> list[tuple[str, float, bool]]:
    """Dots on top of each other as one, with all their names: a line up to one name would cross out the others."""
    found: list[tuple[str, float, bool]] = []
    for label, off, sure in dots:
        near = found and found[-1][2] == sure and unit * (off - found[-1][1]) < _SAME
        both = f"{found[-1][0]}, {label}" if near else ""
        if both and text_width(both, _LABEL, strong=True) < WIDTH / 2:
            found[-1] = (both, found[-1][1], sure)
        else:
            found.append((label, off, sure))
    return found


def _height(stack: Sequence[_Dot]) -> float:
    """Height of a row, px."""
    return _HEAD + _LEVEL * (1 + max([dot.level for dot in stack], default=0)) + 14 + _FOOT


def _row(canvas: Canvas, quantity: EqualQuantity, stack: Sequence[_Dot], layout: tuple[float, float, float]) -> None:
    """One quantity: name and spread above, the names over their dots on the strip, the limits below."""
    top, unit, reach = layout
    middle, y = WIDTH / 2, top + _height(stack) - _FOOT
    canvas.text(0, top + 18, quantity.name, size=15, strong=True)
    ink = VERDICT_INK[quantity.verdict] if quantity.verdict else "soft"
    canvas.text(WIDTH, top + 18, quantity.spread_text, size=13, fill=ink, anchor="end", strong=bool(quantity.verdict))
    strip(canvas, middle, y, unit, reach)
    if quantity.aimed:
        target_mark(canvas, middle, y)
    canvas.text(middle - unit, y + 24, quantity.low_text, size=12, fill="soft", anchor="middle")
    canvas.text(middle + unit, y + 24, quantity.high_text, size=12, fill="soft", anchor="middle")
    for dot in stack:
        baseline = y - 15 - _LEVEL * dot.level
        canvas.line([(dot.x, baseline + 3), (dot.x, y)], "rule", 1)
    for dot in stack:
        baseline = y - 15 - _LEVEL * dot.level
        if dot.off:
            canvas.diamond(dot.x, y, 7.5, "ground")
            canvas.diamond(dot.x, y, 5.5, "bad")
        else:
            canvas.dot(dot.x, y, 5.5, "ground")
            canvas.dot(dot.x, y, 4, "petrol")
        canvas.text(dot.label_x, baseline, dot.label, size=_LABEL, anchor="middle", strong=True)


def _sentence(frames: Sequence[EqualFrame], index: int, quantity: EqualQuantity, words: ChartWords) -> str:
    """A row in words."""
    said = [
        f"{frame.label} {frame.texts[index] if frame.texts else f'{value:g}'}"
        for frame in frames
        if (value := frame.values[index]) is not None
    ]
    return words.equality_desc.format(
        name=quantity.name, values=", ".join(said) or words.not_measured, spread=quantity.spread_text
    )
