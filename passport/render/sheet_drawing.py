"""The racquet on a bench sheet: lying, to scale, with every piece that is to be fitted, its length and its distances
from the butt on a ruler underneath. Drawn in greys and black, for any printer.

Coordinates are those of `passport.physics.geometry`; what is read rather than measured is sized in printed mm.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from passport.physics.geometry import RacquetShape
from passport.render.fitted import Piece, draw_piece, middle, number_pieces
from passport.render.markers import Zone, fit
from passport.render.outline import frame, half_width, handle, strings
from passport.render.palette import LIGHT, Paint
from passport.render.svg import document, num, nums, safe_id, text
from passport.render.textfit import MM_PER_PT, text_width

BENCH: Final = replace(
    LIGHT, ground="#f1f4f4", sheet="#ffffff", band="#dbe3e4", hair="#b9c5c8", rule="#5d7177", ink="#0b1c22",
    soft="#33474e", petrol="#0b1c22", plum="#0b1c22",
)  # fmt: skip
"""Colours of a bench sheet: all text and lines are dark enough for a black laser printer."""
_DRAWN: Final = replace(
    BENCH, frame="#cdd6d9", weave="#aab8bc", petrol="#c3ced1", plum="#c3ced1", ball="#0b1c22", on_ball="#0b1c22",
    ground="#ffffff",
)  # fmt: skip
"""The racquet itself: light grey, so that what is fitted stands out black."""

Point = tuple[float, float]

SIZE_PT: Final = 7.25
"""Size of the words on the drawing, pt."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """What is drawn: the pieces by `number_pieces`, each with the words that stand beside it for each hour or place."""

    shape: RacquetShape
    pieces: Sequence[Piece]
    balance: float | None = None
    balance_text: str = ""
    axis: float = 100.0
    axis_text: str = ""
    ruler_text: str = ""
    tip_text: str = ""


@dataclass(frozen=True, slots=True)
class _Scale:
    """``unit`` is one printed mm in the racquet's mm; sizes that are read hang on it."""

    unit: float

    @property
    def size(self) -> float:
        """Height of the words."""
        return SIZE_PT * MM_PER_PT * self.unit

    @property
    def radius(self) -> float:
        """Radius of a number's disc."""
        return 2.0 * self.unit

    def width(self, words: str, strong: bool = False) -> float:
        """Width of words."""
        return text_width(words, "barlow-sc-600" if strong else "barlow-sc-500", SIZE_PT) * self.unit


def aspect(drawing: Drawing, width: float) -> float:
    """Height of the printed drawing for a ``width``, both mm."""
    box = _box(drawing, _scale(drawing, width))
    return width * box[3] / box[2]


def sheet_drawing(drawing: Drawing, width: float, *, key: str, title: str, desc: str, extra: str = "") -> str:
    """The drawing as an SVG string for a printed ``width`` in mm."""
    shape, scale = drawing.shape, _scale(drawing, width)
    paint, drawn, clip = Paint(BENCH), Paint(_DRAWN), safe_id(key) + "-c"
    numbered = number_pieces(shape, drawing.pieces)
    body = (
        f'<clipPath id="{clip}"><ellipse cx="{num(shape.head_centre)}" rx="{num(shape.head_length / 2 + 1)}"'
        f' ry="{num(shape.head_width / 2 + 1)}"/></clipPath>'
        + strings(shape, drawn, clip=clip, thickness=1.3, weave=False, hybrid=False)
        + frame(shape, drawn, 1.2)
        + handle(shape, drawn, 1.2)
        + _drops(drawing, scale, paint)
        + "".join(draw_piece(shape, piece, drawn) for _, piece in numbered)
        + _marks(drawing, scale, paint)
        + _ruler(drawing, scale, paint)
        + "".join(_on_hoop(drawing, n, p, scale, paint) for n, p in numbered if p.clock is not None)
        + _along(shape, [(n, p) for n, p in numbered if p.clock is None], scale, paint)
    )
    box = _box(drawing, scale)
    return document(body, key=key, title=title, desc=desc, box=box, paint=Paint(BENCH), extra=extra)


def _scale(drawing: Drawing, width: float) -> _Scale:
    """The scale at which the racquet with its margins is ``width`` printed mm wide."""
    scale = _Scale(drawing.shape.length / (width - 8.0))
    for _ in range(4):  # the margin hangs on the scale a little
        scale = _Scale(drawing.shape.length / (width - 3.0 - _right(drawing, scale)))
    return scale


def _right(drawing: Drawing, scale: _Scale) -> float:
    """Printed mm past the tip: room for the number and words beside a piece near it."""
    ends = [5.0]
    for piece in drawing.pieces:
        if piece.clock is not None:
            cx, _ = _beside(drawing.shape, piece.clock, scale)
            words = piece.label.replace("{hour}", "12")
            if piece.twinned:
                end = cx + scale.radius + (0.0 if _leftward(piece, drawing.pieces) else _aside(words, scale))
            else:
                end = cx - scale.radius + max(scale.width(word) for word in words.split(", "))
            ends.append((end - drawing.shape.length) / scale.unit + 1.0)
    return max(ends)


def _aside(words: str, scale: _Scale) -> float:
    """What words beside a number take of the racquet's length."""
    return 0.8 * scale.unit + scale.width(words)


def _leftward(piece: Piece, pieces: Sequence[Piece]) -> bool:
    """Whether the words of a strip on the hoop stand on the butt's side of its number, clear of strips nearer the tip."""
    clock = _from_tip(piece)
    return clock > 3.5 or any(other.twinned and _from_tip(other) < clock for other in pieces)


def _from_tip(piece: Piece) -> float:
    """Hours between a piece on the hoop and the tip."""
    return min(piece.clock or 0.0, 12 - (piece.clock or 0.0))


def _beside(shape: RacquetShape, hour: float, scale: _Scale) -> Point:
    """Where a number stands outside the hoop."""
    x, y = shape.on_hoop(hour)
    a, b = shape.hoop_axes
    normal = ((x - shape.head_centre) / a**2, y / b**2)
    reach = (shape.rim / 2 + scale.radius + 0.7 * scale.unit) / math.hypot(*normal)
    return x + normal[0] * reach, y + normal[1] * reach


def _reach(shape: RacquetShape) -> float:
    """Half the width of the whole racquet."""
    return shape.head_width / 2 + shape.rim


def _box(drawing: Drawing, scale: _Scale) -> tuple[float, float, float, float]:
    u, reach = scale.unit, _reach(drawing.shape)
    hoop = any(p.twinned for p in drawing.pieces)
    top = reach + (5.5 if hoop else 1.0) * u
    foot = _ruler_y(drawing, scale) + 5.4 * u
    return -3.0 * u, -top, drawing.shape.length + (3.0 + _right(drawing, scale)) * u, top + foot


def _ruler_y(drawing: Drawing, scale: _Scale) -> float:
    hoop = any(p.twinned for p in drawing.pieces)
    return _reach(drawing.shape) + (6.2 if hoop else 3.6) * scale.unit


def _extent(piece: Piece) -> tuple[float, float]:
    return (piece.from_mm, piece.to_mm)


def _drops(drawing: Drawing, scale: _Scale, paint: Paint) -> str:
    """Thin lines from the ends of each piece down to the ruler."""
    shape, foot = drawing.shape, _ruler_y(drawing, scale)
    lines = []
    for piece in drawing.pieces:
        for x in dict.fromkeys(round(x, 1) for x in _extent(piece)):
            start = _edge(shape, piece, x)
            lines.append(f"M{nums(x, start)}V{num(foot)}")
    if not lines:
        return ""
    width, dash = num(0.16 * scale.unit, 2), nums(0.9 * scale.unit, 0.6 * scale.unit)
    return f'<path d="{"".join(lines)}"{paint("none", "rule")} stroke-width="{width}" stroke-dasharray="{dash}"/>'


def _edge(shape: RacquetShape, piece: Piece, x: float) -> float:
    """Where the line of a piece's end begins: at its lower strip on the hoop, else at its edge."""
    if piece.clock is not None:
        a, b = shape.hoop_axes
        return b * math.sqrt(max(0.0, 1 - ((x - shape.head_centre) / a) ** 2))
    return half_width(shape, min(max(x, 0.5), shape.length)) * (0.5 if x <= shape.handle else 1.0)


def _marks(drawing: Drawing, scale: _Scale, paint: Paint) -> str:
    """The swing axis across the handle and the wanted balance as a fulcrum under the frame."""
    shape, u = drawing.shape, scale.unit
    reach = shape.handle_width / 2 + 2.2 * u
    axis = drawing.axis
    parts = [
        f'<path d="M{nums(axis, -reach)}V{num(reach)}"{paint("none", "ink")} stroke-width="{num(0.3 * u, 2)}"'
        f' stroke-dasharray="{nums(1.3 * u, 0.6 * u)}"/>',
        _words(axis, reach + scale.size, drawing.axis_text, scale, paint, anchor="middle"),
    ]
    if drawing.balance is not None:
        x, y = drawing.balance, half_width(shape, drawing.balance) + 0.6 * u
        parts.append(f'<path d="M{nums(x, y)}L{nums(x - 1.3 * u, y + 2.3 * u)}H{num(x + 1.3 * u)}z"{paint("ink")}/>')
        parts.append(_words(x + 1.3 * u, y + 2.6 * u + scale.size, drawing.balance_text, scale, paint, anchor="end"))
    return "".join(parts)


def _words(
    x: float, y: float, words: str, scale: _Scale, paint: Paint, *, anchor: str = "start", strong: bool = False
) -> str:
    """Words on a white ground, their baseline at ``y``."""
    if not words:
        return ""
    size, width, pad = scale.size, scale.width(words, strong), 0.4 * scale.unit
    left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
    ground = (
        f'<path d="M{nums(left - pad, y - 0.8 * size)}H{num(left + width + pad)}V{num(y + 0.22 * size)}'
        f'H{num(left - pad)}z"{paint("sheet")}/>'
    )
    return ground + text(x, y, words, size=size, paint=paint("ink"), anchor=anchor, strong=strong)


def _disc(x: float, y: float, number: int, scale: _Scale, paint: Paint) -> str:
    """A piece's number, white on black."""
    r, size = scale.radius, scale.size * 1.12
    return (
        f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r)}"{paint("ink", "sheet")} stroke-width="{num(r * 0.2, 2)}"/>'
        + text(x, y + size * 0.36, str(number), size=size, paint=paint("sheet"), anchor="middle", strong=True)
    )


def _on_hoop(drawing: Drawing, number: int, piece: Piece, scale: _Scale, paint: Paint) -> str:
    """Number, hour and length beside a strip on the hoop and beside its twin."""
    assert piece.clock is not None
    hours = [piece.clock, 12 - piece.clock] if piece.twinned else [piece.clock]
    found = []
    for hour in hours:
        cx, cy = _beside(drawing.shape, hour, scale)
        found.append(_disc(cx, cy, number, scale, paint))
        words = piece.label.replace("{hour}", f"{hour or 12:g}")
        if piece.twinned:
            side = -1 if _leftward(piece, drawing.pieces) else 1
            at, anchor = cx + side * (scale.radius + 0.8 * scale.unit), "start" if side > 0 else "end"
            found.append(_words(at, cy + scale.size * 0.36, words, scale, paint, anchor=anchor))
        else:
            for line, word in enumerate(words.split(", ")):
                at_y = cy + scale.radius + (line + 1.05) * scale.size * 1.1
                found.append(_words(cx - scale.radius, at_y, word, scale, paint))
    return "".join(found)


def _along(shape: RacquetShape, numbered: Sequence[tuple[int, Piece]], scale: _Scale, paint: Paint) -> str:
    """Numbers and words of the pieces along the handle and throat, in one row above them."""
    if not numbered:
        return ""
    ordered = sorted(numbered, key=lambda item: middle(shape, item[1]))
    widths = [2 * scale.radius + 0.9 * scale.unit + scale.width(p.label) + 2.4 * scale.unit for _, p in ordered]
    row = -max(_reach(shape) * 0.62, shape.handle_width / 2 + 9 * scale.unit)
    clear = -row - scale.radius - scale.unit
    most = next((x for x in range(int(shape.handle), int(shape.length)) if half_width(shape, x) > clear), shape.length)
    starts = _row([middle(shape, p) - scale.radius for _, p in ordered], widths, most)
    parts = []
    for (number, piece), start in zip(ordered, starts, strict=True):
        x, cx = middle(shape, piece), start + scale.radius
        top = -half_width(shape, x) * (0.45 if x <= shape.handle else 0.9)
        bend = row + scale.radius + 2.6 * scale.unit
        parts.append(
            f'<path d="M{nums(x, top)}V{num(bend)}L{nums(cx, row)}"{paint("none", "ink")}'
            f' stroke-width="{num(0.2 * scale.unit, 2)}"/>'
        )
        parts.append(_words(cx + scale.radius + 0.9 * scale.unit, row + scale.size * 0.36, piece.label, scale, paint))
        parts.append(_disc(cx, row, number, scale, paint))
    return "".join(parts)


def _row(wanted: Sequence[float], widths: Sequence[float], most: float) -> list[float]:
    """Left edges of boxes in a row, none over the next, none past ``most`` where they all fit, none before 0."""
    starts: list[float] = []
    for place, _ in zip(wanted, widths, strict=True):
        least = starts[-1] + widths[len(starts) - 1] if starts else 0.0
        starts.append(max(place, least))
    limit = most
    for i in range(len(starts) - 1, -1, -1):
        starts[i] = max(min(starts[i], limit - widths[i]), sum(widths[:i]))
        limit = starts[i]
    return starts


def _ruler(drawing: Drawing, scale: _Scale, paint: Paint) -> str:
    """A ruler from the butt: ticks every 10 mm, the pieces as bars on it, their ends in figures."""
    u, length, y = scale.unit, drawing.shape.length, _ruler_y(drawing, scale)
    ticks = "".join(
        f"M{num(x)} {num(y)}v{num((1.3 if x % 100 == 0 else 0.9 if x % 50 == 0 else 0.5) * u)}"
        for x in range(0, int(length) + 1, 10)
    )
    bars = "".join(
        f'<path d="M{nums(low, y)}H{num(max(high, low + 0.6 * u))}"{paint("none", "ink")} stroke-width="{num(1.1 * u)}"/>'
        for low, high in map(_extent, drawing.pieces)
    )
    line = (
        f'<path d="M0 {num(y)}H{num(length)}M{num(length)} {num(y)}v{num(1.3 * u)}{ticks}"{paint("none", "ink")}'
        f' stroke-width="{num(0.18 * u, 2)}"/>'
    )
    return line + bars + _figures(drawing, scale, paint)


def _figures(drawing: Drawing, scale: _Scale, paint: Paint) -> str:
    """The figures under the ruler: ends of pieces strong, hundreds where there is room."""
    y = _ruler_y(drawing, scale) + 1.8 * scale.unit + scale.size * 0.9
    gap = scale.width("000", strong=True) + 1.1 * scale.unit
    ends = sorted({round(x) for piece in drawing.pieces for x in _extent(piece)})
    places = fit([float(x) for x in ends], gap, Zone(0.0, drawing.shape.length, 0.0, 1))
    parts = [
        text(at, y, f"{x}", size=scale.size, paint=paint("ink"), anchor="middle", strong=True)
        for x, at in zip(ends, places, strict=True)
    ]
    taken = list(places)
    for x in [*range(0, int(drawing.shape.length), 100), round(drawing.shape.length)]:
        if all(abs(x - at) > gap for at in taken):
            parts.append(text(x, y, f"{x}", size=scale.size, paint=paint("soft"), anchor="middle"))
            taken.append(float(x))
    hoop = [p for p in drawing.pieces if p.twinned]
    starts = (p.from_mm - (_aside(p.label, scale) if _leftward(p, hoop) else 0.0) for p in hoop)
    words_from = min(starts, default=drawing.shape.length)
    low, high = _widest_gap([x for x in ends if x < words_from], words_from)
    above = _ruler_y(drawing, scale) - 0.9 * scale.unit
    if high - low > scale.width(drawing.ruler_text):
        middle_of = (low + high) / 2
        parts.append(text(middle_of, above, drawing.ruler_text, size=scale.size, paint=paint("soft"), anchor="middle"))
    return "".join(parts)


def _widest_gap(taken: Sequence[float], length: float) -> tuple[float, float]:
    """The widest stretch between two places along the racquet."""
    places = sorted([0.0, *taken, length])
    return max(pairwise(places), key=lambda pair: pair[1] - pair[0])
