"""A frame's outline to its real dimensions, as SVG parts.

All coordinates are those of `passport.physics.geometry`: x in mm from the butt along the long axis, y in mm to the
right; the caller turns the whole to upright or lying.
"""

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from passport.physics.geometry import RacquetShape
from passport.render.drawing.svg import num, nums
from passport.render.theme.palette import Paint, Token

Point = tuple[float, float]

ARM_START = math.radians(128)
"""Where an arm leaves the hoop, as the eccentric angle from the tip (common practice, no source)."""

JOINED_START = math.radians(152)
"""The same where no bridge closes the head and the hoop's sides run on into the shaft."""

_CURVE_STEP = math.pi / 8
"""Eccentric angle that one cubic of an outline covers: its error is below 0.15 mm."""


@dataclass(frozen=True, slots=True)
class Cubic:
    """A cubic Bézier curve."""

    points: tuple[Point, Point, Point, Point]

    def at(self, t: float) -> Point:
        """The point at parameter t, 0 to 1."""
        u = 1 - t
        weights = (u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t)
        x, y = (sum(w * p[i] for w, p in zip(weights, self.points, strict=True)) for i in (0, 1))
        return x, y

    def parameter(self, x: float) -> float:
        """The parameter at which a curve whose x falls all the way passes ``x``; 0 or 1 beyond its ends."""
        low, high = 0.0, 1.0
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if self.at(middle)[0] > x else (low, middle)
        return (low + high) / 2

    def part(self, start: float, stop: float) -> "Cubic":
        """The piece between two parameters, by de Casteljau's construction in blossom form."""

        def blossom(a: float, b: float, c: float) -> Point:
            row = list(self.points)
            for t in (a, b, c):
                row = [((1 - t) * p[0] + t * q[0], (1 - t) * p[1] + t * q[1]) for p, q in pairwise(row)]
            return row[0]

        return Cubic(
            (
                blossom(start, start, start),
                blossom(start, start, stop),
                blossom(start, stop, stop),
                blossom(stop, stop, stop),
            )
        )

    def path(self, side: int = 1) -> str:
        """Path data; ``side`` −1 mirrors it in the long axis."""
        (a, b), *rest = self.points
        return f"M{nums(a, side * b)}C{nums(*(v for x, y in rest for v in (x, side * y)))}"


def head_bottom(shape: RacquetShape) -> float:
    """x of the hoop's outer edge at 6 o'clock, mm."""
    return shape.length - shape.head_length - 2 * shape.rim


def arm_width(shape: RacquetShape) -> float:
    """Width of a throat arm, or of a single shaft, mm (common practice, no source)."""
    return shape.rim * (1.08 if shape.throat == "open" else 1.2)


def merge_point(shape: RacquetShape) -> float:
    """x at which the two arms of an open throat have come together, mm."""
    return shape.handle + 0.16 * max(0.0, head_bottom(shape) - shape.handle)


def arm(shape: RacquetShape) -> Cubic:
    """The middle line of the right arm of an open throat, from the hoop down to where the arms meet."""
    start = shape.hoop_point(ARM_START)
    end = (merge_point(shape), arm_width(shape) / 2)
    (nx, ny), speed = shape.hoop_normal(ARM_START), shape.hoop_speed(ARM_START)
    slope = (-ny * speed, nx * speed)
    reach = 0.43 * math.dist(start, end) / math.hypot(*slope)
    first = (start[0] + slope[0] * reach, start[1] + slope[1] * reach)
    second = (end[0] + 0.36 * math.dist(start, end), end[1])
    return Cubic((start, first, second, end))


def half_width(shape: RacquetShape, x: float) -> float:
    """Distance of the frame's outer edge from the long axis at ``x``, mm; 0 past both ends."""
    if x < 0 or x > shape.length:
        return 0.0
    if x <= shape.handle:
        return shape.handle_width / 2
    hoop = _outer_half_width(shape, x)
    if shape.joined:
        flank = _flank(shape)
        start, end = flank.points[0][0], flank.points[3]
        return max(hoop, flank.at(flank.parameter(x))[1]) if end[0] < x < start else hoop or end[1]
    if shape.throat == "shaft":
        return max(hoop, arm_width(shape) / 2)
    curve = arm(shape)
    if x > curve.points[0][0]:
        return hoop
    return max(hoop, curve.at(curve.parameter(x))[1] + arm_width(shape) / 2)


def _outer_half_width(shape: RacquetShape, x: float) -> float:
    """Distance of the hoop's outer edge from the long axis at ``x``, mm; 0 beyond the head."""
    a, b = (axis + shape.rim / 2 for axis in shape.hoop_axes)
    offset = (x - shape.head_centre) / a
    if abs(offset) >= 1:
        return 0.0
    if not shape.outline.profile:
        return b * math.sqrt(1 - offset * offset)
    points = _outer_edge(shape)
    after = max(1, bisect_left(points, (x, 0.0)))
    (x0, y0), (x1, y1) = points[after - 1 : after + 1]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


@lru_cache(maxsize=64)
def _outer_edge(shape: RacquetShape) -> list[Point]:
    """Points of the hoop's outer edge on the right, from throat to tip."""
    return [shape.off_outline(math.pi * (1 - i / 180), shape.rim) for i in range(181)]


def _flank(shape: RacquetShape) -> Cubic:
    """The outer edge on the right from a hoop that no bridge closes down to the shaft."""
    start, (nx, ny) = shape.off_outline(JOINED_START, shape.rim), shape.outward(JOINED_START)
    end = (merge_point(shape), arm_width(shape) * 0.62)
    far = math.dist(start, end)
    first = (start[0] - ny * 0.42 * far, start[1] + nx * 0.42 * far)
    return Cubic((start, first, (end[0] + 0.4 * far, end[1]), end))


def curve(shape: RacquetShape, start: float, stop: float, far: float) -> str:
    """Path data of the curve that lies ``far`` mm outside the strung area, between two eccentric angles."""
    count = max(1, math.ceil(abs(stop - start) / _CURVE_STEP))
    step = (stop - start) / count
    turns = [start + i * step for i in range(count + 1)]
    points = [shape.off_outline(t, far) for t in turns]
    reaches = [_reach(shape, t, far, step / 3) for t in turns]
    (x, y), (dx, dy) = points[0], reaches[0]
    parts = [f"M{nums(x, y)}C{nums(x + dx, y + dy)} "]
    for i, ((px, py), (rx, ry)) in enumerate(zip(points[1:], reaches[1:], strict=True)):
        # Equal steps: each cubic begins as the mirror image of how the last one ended, which S leaves out.
        parts.append(("S" if i else "") + nums(px - rx, py - ry, px, py))
    return "".join(parts)


def _reach(shape: RacquetShape, t: float, far: float, step: float) -> Point:
    """How far a cubic's handle reaches at ``t``: a third of the derivative of the parallel curve by the step."""
    a, b = shape.head_length / 2, shape.head_width / 2
    (dx, dy), (bx, by) = shape.outline.tangent(t), shape.outline.bend(t)
    speed = math.hypot(a * dx, b * dy)
    longer = 1 + far * a * b * (dx * by - dy * bx) / speed**3
    return a * dx * longer * step, b * dy * longer * step


def ring(shape: RacquetShape, far: float, attributes: str = "") -> str:
    """The closed curve that lies ``far`` mm outside the strung area: an ellipse with longer axes where that is one."""
    if shape.outline.profile:
        return f'<path d="{curve(shape, 0.0, 2 * math.pi, far)}z"{attributes}/>'
    rx, ry = shape.head_length / 2 + far, shape.head_width / 2 + far
    return f'<ellipse cx="{num(shape.head_centre)}" rx="{num(rx)}" ry="{num(ry)}"{attributes}/>'


def clip_path(shape: RacquetShape, key: str) -> str:
    """What strings are clipped to: the strung area and a millimetre, which the hoop covers."""
    return f'<clipPath id="{key}">{ring(shape, 1.0)}</clipPath>'


def frame(shape: RacquetShape, paint: Paint, shine: float) -> str:
    """Hoop, throat and handle. ``shine`` is the thickness of the light line round the hoop, mm; 0 leaves it out."""
    hoop = ring(shape, shape.rim / 2, f'{paint("none", "frame")} stroke-width="{num(shape.rim)}"')
    thin = f'{paint("none", "weave")} stroke-width="{num(shine, 2)}"'
    if shape.joined:
        light = f'<path d="{curve(shape, -JOINED_START, JOINED_START, 0.7 * shape.rim)}"{thin}/>'
    else:
        light = ring(shape, shape.rim * 0.7, thin)
    return _throat(shape, paint) + hoop + (light if shine else "")


def _joined_throat(shape: RacquetShape, paint: Paint) -> str:
    """The hoop's sides run on into the shaft: one piece from the hoop's flanks to the handle."""
    (x0, y0), first, second, (end, half) = _flank(shape).points
    top, w = shape.handle, shape.handle_width / 2
    waist = (2 * top + end) / 3
    foot = curve(shape, JOINED_START, 2 * math.pi - JOINED_START, shape.rim / 2)
    data = (
        f"{foot}L{nums(x0, -y0)}C{nums(first[0], -first[1], second[0], -second[1], end, -half)}"
        f"C{nums(waist, -half, waist, -w, top - 1, -w)}V{num(w)}"
        f"C{nums(waist, w, waist, half, end, half)}C{nums(*second, *first, x0, y0)}z"
    )
    return f'<path d="{data}"{paint("frame")}/>'


def _throat(shape: RacquetShape, paint: Paint) -> str:
    """What joins the hoop to the handle."""
    if shape.joined:
        return _joined_throat(shape, paint)
    width, top, w = arm_width(shape), shape.handle, shape.handle_width / 2
    if shape.throat == "open":
        end, half = merge_point(shape), width
        lines = arm(shape).path() + arm(shape).path(-1)
        arms = f'<path d="{lines}"{paint("none", "frame")} stroke-width="{num(width)}"/>'
        joint = ""
    else:
        end, half = min(top + 45, head_bottom(shape)), width / 2
        foot = head_bottom(shape)
        arms = f'<path d="M{num(end)} 0H{num(foot + 2)}"{paint("none", "frame")} stroke-width="{num(width)}"/>'
        splay = foot - 4 * width
        joint = (
            f"M{nums(splay, -half)}C{nums(foot - width, -half, foot - width / 2, -2 * half, foot + 2, -3 * half)}"
            f"V{num(3 * half)}C{nums(foot - width / 2, 2 * half, foot - width, half, splay, half)}z"
        )
    waist = (2 * top + end) / 3
    cone = (
        f"M{nums(top - 1, -w)}C{nums(waist, -w, waist, -half, end + 1, -half)}"
        f"V{num(half)}C{nums(waist, half, waist, w, top - 1, w)}z"
    )
    return f'{arms}<path d="{cone}{joint}"{paint("frame")}/>'


def handle(shape: RacquetShape, paint: Paint, line: float) -> str:
    """The handle with its butt cap; ``line`` is the thickness of the grip's seams, mm, 0 leaves them out."""
    w, top = shape.handle_width / 2, shape.handle
    flare = w + 3
    body = (
        f"M3{num(-flare)}Q0{num(-flare)} 0{num(-w)}V{num(w)}Q0 {num(flare)} 3 {num(flare)}"
        f"C{nums(16, flare, 16, w, 30, w)}H{num(top)}V{num(-w)}H30C{nums(16, -w, 16, -flare, 3, -flare)}z"
    )
    solid = f'<path d="{body}"{paint("frame")}/>'
    if not line:
        return solid
    pitch = 0.8 * shape.handle_width
    count = max(1, round((top - 34) / pitch))
    step = (top - 34) / count
    lean = 0.42 * shape.handle_width
    seams = "".join(
        f"M{nums(26 + i * step, w)}q{nums(lean * 0.75, -w * 0.6, lean, -2 * w)}"
        for i in range(count)
        if 26 + i * step + lean < top - 4
    )
    ends = f"M{nums(7, -flare)}V{num(flare)}M{nums(top - 4, -w)}V{num(w)}"
    return f'{solid}<path d="{seams}{ends}"{paint("none", "ground")} stroke-width="{num(line, 2)}"/>'


def strings(shape: RacquetShape, paint: Paint, *, clip: str, thickness: float, weave: bool, hybrid: bool) -> str:
    """The string bed: every main and cross at its place, clipped to the head by the clip path ``clip``.

    With ``weave`` each string is broken where it passes under another, and nowhere else: strings are evenly spaced, so one
    dash pattern serves every other string of a kind.
    """
    if shape.fan:
        return _fanned(shape, paint, clip=clip, thickness=thickness, weave=weave, hybrid=hybrid)
    main_step, cross_step = shape.spacing
    x0, x1 = shape.length - shape.rim - shape.head_length, shape.length - shape.rim
    y0 = -shape.head_width / 2
    mains, crosses = shape.main_positions(), shape.cross_positions()
    second: Token = "plum" if hybrid else "petrol"
    rows: tuple[tuple[Token, list[str], float, float, int, int], ...] = (
        ("petrol", [f"M{nums(x0, y)}H{num(x1)}" for y in mains], cross_step, crosses[0] - x0, len(crosses), 0),
        (second, [f"M{nums(x, y0)}V{num(-y0)}" for x in crosses], main_step, mains[0] - y0, len(mains), 1),
    )
    parts = []
    for colour, lines, step, first, crossed, shift in rows:
        ink = paint("none", colour)
        if not weave:
            parts.append(f'<path d="{"".join(lines)}"{ink}/>')
            continue
        gap = min(2.6 * thickness, 0.45 * step)
        for odd in (0, 1):
            under = [first + i * step for i in range((odd + shift) % 2, crossed, 2)]
            parts.append(f'<path d="{"".join(lines[odd::2])}" {_broken(under, gap, 1)}{ink}/>')
    return f'<g clip-path="url(#{clip})" stroke-width="{num(thickness, 2)}">{"".join(parts)}</g>'


def _broken(under: Sequence[float], gap: float, places: int) -> str:
    """The dashes of a string that is broken at these places of it, ``gap`` wide, and whole before and behind them."""
    stops = [0.0]
    for at in under:
        stops += [round(at - gap / 2, places), round(at + gap / 2, places)]
    # differences of rounded places, so that rounding does not add up along the string
    runs = " ".join(num(after - before, places) for before, after in pairwise(stops))
    return f'stroke-dasharray="{runs} 999"'


def _fanned(shape: RacquetShape, paint: Paint, *, clip: str, thickness: float, weave: bool, hybrid: bool) -> str:
    """`strings` whose mains fan out. Each string is measured in spacings of those that it crosses, by its own
    ``pathLength``, so that one dash pattern serves all of a kind though spacings differ along the head."""
    mains, crosses = shape.main_positions(), shape.cross_positions()
    main_step, cross_step = shape.spacing
    x0, x1 = shape.head_centre - shape.head_length / 2, shape.head_centre + shape.head_length / 2
    steps = (x1 - x0) / cross_step
    reach = math.ceil(max(shape.cross_length(x) / 2 / shape.main_at(main_step, x) for x in crosses) * 2) / 2 + 0.5
    sides = [shape.main_at(reach * main_step, x) for x in crosses]
    second: Token = "plum" if hybrid else "petrol"
    rows: tuple[tuple[Token, list[str], float, float, float, int, int], ...] = (
        (
            "petrol",
            [f"M{nums(x0, shape.main_at(y, x0))}L{nums(x1, shape.main_at(y, x1))}" for y in mains],
            steps,
            (crosses[0] - x0) / cross_step,
            cross_step,
            len(crosses),
            0,
        ),
        (
            second,
            [f"M{nums(x, -side)}V{num(side)}" for x, side in zip(crosses, sides, strict=True)],
            2 * reach,
            reach - (shape.mains - 1) / 2,
            main_step,
            len(mains),
            1,
        ),
    )
    parts = []
    for colour, lines, length, first, step, crossed, shift in rows:
        ink = paint("none", colour)
        if not weave:
            parts.append(f'<path d="{"".join(lines)}"{ink}/>')
            continue
        gap = min(2.6 * thickness / step, 0.45)
        for odd in (0, 1):
            under = [first + i for i in range((odd + shift) % 2, crossed, 2)]
            each = "".join(f'<path d="{line}" pathLength="{num(length, 2)}"/>' for line in lines[odd::2])
            parts.append(f"<g {_broken(under, gap, 2)}{ink}>{each}</g>")
    return f'<g clip-path="url(#{clip})" stroke-width="{num(thickness, 2)}">{"".join(parts)}</g>'
