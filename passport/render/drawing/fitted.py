"""The pieces fitted to a frame: what they are, and how each is drawn to scale at its place.

Everything is in the racquet's own coordinates, mm (`passport.physics.geometry`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from passport.physics.geometry import RacquetShape
from passport.render.drawing.markers import Spot
from passport.render.drawing.outline import arm, arm_width, curve, half_width, head_bottom, merge_point
from passport.render.drawing.svg import num, nums
from passport.render.theme.palette import Paint

Kind = Literal["tape", "silicone", "sleeve", "grip", "putty", "damper", "savers", "other"]

DAMPER = 6.0
"""Half the width at which a damper is drawn, mm."""

SHORTEST = 6.0
"""No strip on the hoop is drawn shorter than this, mm: it could not be seen."""


@dataclass(frozen=True, slots=True)
class DrawnPart:
    """Something fitted to the frame.

    ``from_mm`` and ``to_mm`` are measured from the butt. ``clock`` is the hour at which a piece on the hoop is
    centred, None for a piece elsewhere; one that is not at 12 or 6 has a twin at the mirrored hour unless it is ``alone``.
    ``length_mm`` is the length of one strip, ``mass_g`` the mass of the piece, twin included.
    """

    kind: Kind
    from_mm: float
    to_mm: float
    clock: float | None = None
    length_mm: float = 0.0
    mass_g: float = 0.0
    label: str = ""
    alone: bool = False

    @property
    def sideways(self) -> bool:
        """Whether the piece is on the hoop and off the long axis."""
        return self.clock is not None and abs(math.sin(math.radians(30 * self.clock))) > 0.01

    @property
    def twinned(self) -> bool:
        """Whether the piece has a twin on the other side of the hoop."""
        return self.sideways and not self.alone


def middle(shape: RacquetShape, piece: DrawnPart) -> float:
    """x of the middle of a piece, mm."""
    return shape.on_hoop(piece.clock)[0] if piece.clock is not None else (piece.from_mm + piece.to_mm) / 2


def number_pieces(shape: RacquetShape, pieces: Sequence[DrawnPart]) -> tuple[tuple[int, DrawnPart], ...]:
    """The pieces with the numbers that the drawing gives them: 1 is nearest to the tip."""
    ordered = sorted(pieces, key=lambda p: -middle(shape, p))
    return tuple(enumerate(ordered, start=1))


def spot(shape: RacquetShape, number: int, piece: DrawnPart) -> Spot:
    """Where a piece's leader may start."""
    if piece.clock is not None:
        x, y = shape.on_hoop(piece.clock)
        side = 0 if piece.twinned or abs(y) < 1 else (1 if y > 0 else -1)
        edge = abs(y) + (shape.rim / 2 if abs(y) > 1 else 0)
        return Spot(number, x, x, x, edge, side)
    low, high = piece.from_mm, piece.to_mm
    if piece.kind in ("damper", "savers"):
        x = (low + high) / 2
        return Spot(number, x, x, x, DAMPER, 0)
    inset = min(6.0, (high - low) / 4)
    x = (low + high) / 2
    edge = half_width(shape, x) + 1
    if piece.kind in ("sleeve", "grip"):
        edge = _wrap_offset(shape, piece.kind)
    elif x <= shape.handle:
        edge = _plug_half(shape)
    return Spot(number, x, low + inset, high - inset, edge, 0)


def draw_piece(shape: RacquetShape, piece: DrawnPart, paint: Paint) -> str:
    """One fitted piece and its twin, in racquet coordinates."""
    if piece.clock is not None:
        hours = [piece.clock, 12 - piece.clock] if piece.twinned else [piece.clock]
        return _strip("".join(_hoop_arc(shape, hour, piece.length_mm) for hour in hours), shape.rim, paint)
    if piece.kind == "savers":
        return ""  # nobody writes down at which crossings they sit
    if piece.kind == "damper":
        return f'<circle cx="{num(middle(shape, piece))}" r="{num(DAMPER)}"{paint("fitted", "on_ball")} stroke-width="1.4"/>'
    low, high = piece.from_mm, max(piece.to_mm, piece.from_mm + 4)
    if piece.kind in ("sleeve", "grip"):
        return _wrap(shape, low, high, piece.kind, paint)
    if (low + high) / 2 <= shape.handle:
        return _plug(shape, low, high, paint)
    return _strip(_along(shape, low, high), arm_width(shape), paint)


def _strip(data: str, width: float, paint: Paint) -> str:
    """Tape on the frame: a pale strip with a dark edge, narrower than the tube it lies on."""
    return (
        f'<path d="{data}"{paint("none", "on_ball")} stroke-width="{num(width * 0.86)}"/>'
        f'<path d="{data}"{paint("none", "fitted")} stroke-width="{num(width * 0.6)}"/>'
    )


def _hoop_arc(shape: RacquetShape, hour: float, length: float) -> str:
    """Path data of an arc along the middle of the hoop, ``length`` mm long, centred at an hour."""
    a, b = shape.hoop_axes
    if shape.outline.profile:
        centre, reach = (
            shape.hoop_turn(math.radians(30 * hour)),
            min(max(length, SHORTEST), shape.hoop_perimeter - SHORTEST),
        )
        start, stop = (shape.along_hoop(centre, way * reach / 2) for way in (-1, 1))
        return curve(shape, start, stop, shape.rim / 2)
    x, y = shape.on_hoop(hour)
    centre = math.atan2(y / b, (x - shape.head_centre) / a)
    # A strip as long as the hoop would start where it ends, and vanish.
    reach = min(max(length, SHORTEST), 2 * math.pi * min(a, b) - SHORTEST) / 2
    start, stop = (_walk(a, b, centre, way * reach) for way in (-1, 1))
    big = 1 if stop - start > math.pi else 0
    ends = [(shape.head_centre + a * math.cos(t), b * math.sin(t)) for t in (start, stop)]
    return f"M{nums(*ends[0])}A{nums(a, b)} 0 {big} 1 {nums(*ends[1])}"


def _walk(a: float, b: float, start: float, distance: float) -> float:
    """The ellipse's parameter after ``distance`` mm along it from ``start`` (midpoint rule)."""
    steps = 64
    t = start
    for _ in range(steps):
        half = t + distance / steps / 2 / math.hypot(a * math.sin(t), b * math.cos(t))
        t += distance / steps / math.hypot(a * math.sin(half), b * math.cos(half))
    return t


def _along(shape: RacquetShape, low: float, high: float) -> str:
    """Path data along the throat's arms or the shaft between two places; on the head, along both sides of the hoop."""
    if low >= head_bottom(shape) + shape.rim:
        if shape.outline.profile:
            near, far = shape.hoop_turn_at(high), shape.hoop_turn_at(low)
            return curve(shape, near, far, shape.rim / 2) + curve(shape, -near, -far, shape.rim / 2)
        a, b = shape.hoop_axes
        turns = [math.acos(max(-1.0, min(1.0, (x - shape.head_centre) / a))) for x in (high, low)]
        ends = [(shape.head_centre + a * math.cos(t), b * math.sin(t)) for t in turns]
        (x0, y0), (x1, y1) = ends
        return f"M{nums(x0, y0)}A{nums(a, b)} 0 0 1 {nums(x1, y1)}M{nums(x0, -y0)}A{nums(a, b)} 0 0 0 {nums(x1, -y1)}"
    if shape.throat == "shaft":
        return f"M{num(low)} 0H{num(high)}"
    if shape.joined:  # two arms side by side
        side = arm_width(shape) * 0.31
        return f"M{nums(low, -side)}H{num(high)}M{nums(low, side)}H{num(high)}"
    line = arm(shape)
    piece = line.part(line.parameter(high), line.parameter(low))
    shaft = f"M{num(low)} 0H{num(min(high, merge_point(shape)))}" if low < merge_point(shape) else ""
    if high <= merge_point(shape):
        return shaft
    return piece.path() + piece.path(-1) + shaft


def _plug_half(shape: RacquetShape) -> float:
    """Half the drawn width of something inside the handle, mm."""
    return shape.handle_width * 0.24


def _plug(shape: RacquetShape, low: float, high: float, paint: Paint) -> str:
    """Something inside the handle."""
    half = _plug_half(shape)
    return (
        f'<rect x="{num(low)}" y="{num(-half)}" width="{num(high - low)}" height="{num(2 * half)}" rx="{num(half / 2)}"'
        f'{paint("fitted", "on_ball")} stroke-width="1.4"/>'
    )


def _wrap_offset(shape: RacquetShape, kind: Kind) -> float:
    """Distance from the long axis at which something round the handle is drawn, mm."""
    return shape.handle_width / 2 + (1.6 if kind == "grip" else 5.2)


def _wrap(shape: RacquetShape, low: float, high: float, kind: Kind, paint: Paint) -> str:
    """Something round the handle: a bar along each side."""
    out = _wrap_offset(shape, kind)
    data = f"M{nums(low, -out)}H{num(high)}M{nums(low, out)}H{num(high)}"
    ink = paint("none", "petrol") if kind == "grip" else paint("none", "plum")
    return f'<path d="{data}"{ink} stroke-width="2.4"/>'
