"""The racquet on a bench sheet: lying, to scale, with every piece that is to be fitted, its length and its distances
from the butt on a ruler underneath. Drawn in greys and black, for any printer.
"""

import math
from collections.abc import Sequence

from passport.physics.geometry import RacquetShape
from passport.render.drawing.fitted import DrawnPart, draw_piece, middle, number_pieces
from passport.render.drawing.outline import clip_path, frame, half_width, handle, strings
from passport.render.drawing.svg import document, num, nums, safe_id
from passport.render.sheets.measured.ruler import ruler
from passport.render.sheets.measured.scale import (
    BENCH,
    DRAWN,
    SIZE_PT,
    Drawing,
    Point,
    Scale,
    aside,
    disc,
    extent,
    leftward,
    reach_of_head,
    ruler_y,
    set_words,
)
from passport.render.theme.palette import Paint

__all__ = ["BENCH", "SIZE_PT", "Drawing", "aspect", "sheet_drawing"]


def aspect(drawing: Drawing, width: float) -> float:
    """Height of the printed drawing for a ``width``, both mm."""
    box = _box(drawing, _scale(drawing, width))
    return width * box[3] / box[2]


def sheet_drawing(drawing: Drawing, width: float, *, key: str, title: str, desc: str, extra: str = "") -> str:
    """The drawing as an SVG string for a printed ``width`` in mm."""
    shape, scale = drawing.shape, _scale(drawing, width)
    paint, drawn, clip = Paint(BENCH), Paint(DRAWN), safe_id(key) + "-c"
    numbered = number_pieces(shape, drawing.pieces)
    body = (
        clip_path(shape, clip)
        + strings(shape, drawn, clip=clip, thickness=1.3, weave=False, hybrid=False)
        + frame(shape, drawn, 1.2)
        + handle(shape, drawn, 1.2)
        + _drops(drawing, scale, paint)
        + "".join(draw_piece(shape, piece, drawn) for _, piece in numbered)
        + _marks(drawing, scale, paint)
        + ruler(drawing, scale, paint)
        + "".join(_on_hoop(drawing, n, p, scale, paint) for n, p in numbered if p.clock is not None)
        + _along(shape, [(n, p) for n, p in numbered if p.clock is None], scale, paint)
    )
    box = _box(drawing, scale)
    return document(body, key=key, title=title, desc=desc, box=box, paint=Paint(BENCH), extra=extra)


def _scale(drawing: Drawing, width: float) -> Scale:
    """The scale at which the racquet with its margins is ``width`` printed mm wide."""
    scale = Scale(drawing.shape.length / (width - 8.0))
    for _ in range(4):  # the margin hangs on the scale a little
        scale = Scale(drawing.shape.length / (width - 3.0 - _right(drawing, scale)))
    return scale


def _right(drawing: Drawing, scale: Scale) -> float:
    """Printed mm past the tip: room for the number and words beside a piece near it."""
    ends = [5.0]
    for piece in drawing.pieces:
        if piece.clock is not None:
            cx, _ = _beside(drawing.shape, piece.clock, scale)
            words = piece.label.replace("{hour}", "12")
            if piece.sideways:
                end = cx + scale.radius + (0.0 if leftward(piece, drawing.pieces) else aside(words, scale))
            else:
                end = cx - scale.radius + max(scale.width(word) for word in words.split(", "))
            ends.append((end - drawing.shape.length) / scale.unit + 1.0)
    return max(ends)


def _beside(shape: RacquetShape, hour: float, scale: Scale) -> Point:
    """Where a number stands outside the hoop."""
    (x, y), normal = shape.on_hoop(hour), shape.hoop_normal(shape.hoop_turn(math.radians(30 * hour)))
    reach = shape.rim / 2 + scale.radius + 0.7 * scale.unit
    return x + normal[0] * reach, y + normal[1] * reach


def _box(drawing: Drawing, scale: Scale) -> tuple[float, float, float, float]:
    u, reach = scale.unit, reach_of_head(drawing.shape)
    hoop = any(p.sideways for p in drawing.pieces)
    top = reach + (5.5 if hoop else 1.0) * u
    foot = ruler_y(drawing, scale) + 5.4 * u
    return -3.0 * u, -top, drawing.shape.length + (3.0 + _right(drawing, scale)) * u, top + foot


def _drops(drawing: Drawing, scale: Scale, paint: Paint) -> str:
    """Thin lines from the ends of each piece down to the ruler."""
    shape, foot = drawing.shape, ruler_y(drawing, scale)
    lines = []
    for piece in drawing.pieces:
        for x in dict.fromkeys(round(x, 1) for x in extent(piece)):
            start = _edge(shape, piece, x)
            lines.append(f"M{nums(x, start)}V{num(foot)}")
    if not lines:
        return ""
    width, dash = num(0.16 * scale.unit, 2), nums(0.9 * scale.unit, 0.6 * scale.unit)
    return f'<path d="{"".join(lines)}"{paint("none", "rule")} stroke-width="{width}" stroke-dasharray="{dash}"/>'


def _edge(shape: RacquetShape, piece: DrawnPart, x: float) -> float:
    """Where the line of a piece's end begins: at its lower strip on the hoop, else at its edge."""
    if piece.clock is not None:
        return shape.hoop_half_width(x)
    return half_width(shape, min(max(x, 0.5), shape.length)) * (0.5 if x <= shape.handle else 1.0)


def _marks(drawing: Drawing, scale: Scale, paint: Paint) -> str:
    """The swing axis across the handle and the wanted balance as a fulcrum under the frame."""
    shape, u = drawing.shape, scale.unit
    reach = shape.handle_width / 2 + 2.2 * u
    axis = drawing.axis
    parts = [
        f'<path d="M{nums(axis, -reach)}V{num(reach)}"{paint("none", "ink")} stroke-width="{num(0.3 * u, 2)}"'
        f' stroke-dasharray="{nums(1.3 * u, 0.6 * u)}"/>',
        set_words(axis, reach + scale.size, drawing.axis_text, scale, paint, anchor="middle"),
    ]
    if drawing.balance is not None:
        x, y = drawing.balance, half_width(shape, drawing.balance) + 0.6 * u
        parts.append(f'<path d="M{nums(x, y)}L{nums(x - 1.3 * u, y + 2.3 * u)}H{num(x + 1.3 * u)}z"{paint("ink")}/>')
        parts.append(set_words(x + 1.3 * u, y + 2.6 * u + scale.size, drawing.balance_text, scale, paint, anchor="end"))
    return "".join(parts)


def _on_hoop(drawing: Drawing, number: int, piece: DrawnPart, scale: Scale, paint: Paint) -> str:
    """Number, hour and length beside a strip on the hoop and beside its twin."""
    assert piece.clock is not None
    hours = [piece.clock, 12 - piece.clock] if piece.twinned else [piece.clock]
    found = []
    for hour in hours:
        cx, cy = _beside(drawing.shape, hour, scale)
        found.append(disc(cx, cy, number, scale, paint))
        words = piece.label.replace("{hour}", f"{hour or 12:g}")
        if piece.sideways:
            side = -1 if leftward(piece, drawing.pieces) else 1
            at, anchor = cx + side * (scale.radius + 0.8 * scale.unit), "start" if side > 0 else "end"
            found.append(set_words(at, cy + scale.size * 0.36, words, scale, paint, anchor=anchor))
        else:
            for line, word in enumerate(words.split(", ")):
                at_y = cy + scale.radius + (line + 1.05) * scale.size * 1.1
                found.append(set_words(cx - scale.radius, at_y, word, scale, paint))
    return "".join(found)


def _along(shape: RacquetShape, numbered: Sequence[tuple[int, DrawnPart]], scale: Scale, paint: Paint) -> str:
    """Numbers and words of the pieces along the handle and throat, in one row above them."""
    if not numbered:
        return ""
    ordered = sorted(numbered, key=lambda item: middle(shape, item[1]))
    widths = [2 * scale.radius + 0.9 * scale.unit + scale.width(p.label) + 2.4 * scale.unit for _, p in ordered]
    row = -max(reach_of_head(shape) * 0.62, shape.handle_width / 2 + 9 * scale.unit)
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
        parts.append(
            set_words(cx + scale.radius + 0.9 * scale.unit, row + scale.size * 0.36, piece.label, scale, paint)
        )
        parts.append(disc(cx, row, number, scale, paint))
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
