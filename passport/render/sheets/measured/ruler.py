"""The ruler under the racquet of a bench sheet: mm from the butt, with the ends of every piece in figures."""

from collections.abc import Sequence
from itertools import pairwise

from passport.render.drawing.markers import Zone, fit
from passport.render.drawing.svg import num, nums, text
from passport.render.sheets.measured.scale import Drawing, Scale, aside, extent, leftward, ruler_y
from passport.render.theme.palette import Paint


def ruler(drawing: Drawing, scale: Scale, paint: Paint) -> str:
    """A ruler from the butt: ticks every 10 mm, the pieces as bars on it, their ends in figures."""
    u, length, y = scale.unit, drawing.shape.length, ruler_y(drawing, scale)
    ticks = "".join(
        f"M{num(x)} {num(y)}v{num((1.3 if x % 100 == 0 else 0.9 if x % 50 == 0 else 0.5) * u)}"
        for x in range(0, int(length) + 1, 10)
    )
    bars = "".join(
        f'<path d="M{nums(low, y)}H{num(max(high, low + 0.6 * u))}"{paint("none", "ink")} stroke-width="{num(1.1 * u)}"/>'
        for low, high in map(extent, drawing.pieces)
    )
    line = (
        f'<path d="M0 {num(y)}H{num(length)}M{num(length)} {num(y)}v{num(1.3 * u)}{ticks}"{paint("none", "ink")}'
        f' stroke-width="{num(0.18 * u, 2)}"/>'
    )
    return line + bars + _figures(drawing, scale, paint)


def _figures(drawing: Drawing, scale: Scale, paint: Paint) -> str:
    """The figures under the ruler: ends of pieces strong, hundreds where there is room."""
    y = ruler_y(drawing, scale) + 1.8 * scale.unit + scale.size * 0.9
    gap = scale.width("000", strong=True) + 1.1 * scale.unit
    ends = sorted({round(x) for piece in drawing.pieces for x in extent(piece)})
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
    hoop = [p for p in drawing.pieces if p.sideways]
    starts = (p.from_mm - (aside(p.label, scale) if leftward(p, hoop) else 0.0) for p in hoop)
    words_from = min(starts, default=drawing.shape.length)
    low, high = _widest_gap([x for x in ends if x < words_from], words_from)
    above = ruler_y(drawing, scale) - 0.9 * scale.unit
    if high - low > scale.width(drawing.ruler_text):
        middle_of = (low + high) / 2
        parts.append(text(middle_of, above, drawing.ruler_text, size=scale.size, paint=paint("soft"), anchor="middle"))
    return "".join(parts)


def _widest_gap(taken: Sequence[float], length: float) -> tuple[float, float]:
    """The widest stretch between two places along the racquet."""
    places = sorted([0.0, *taken, length])
    return max(pairwise(places), key=lambda pair: pair[1] - pair[0])
