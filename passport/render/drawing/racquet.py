"""The racquet drawn to its model's real dimensions, with its string bed and the pieces fitted to it.

One drawing serves page, card and bench sheet: upright or lying, whole or the head alone, and in a plain form small
enough for a card. Units are mm in the racquet's own coordinates (`passport.physics.geometry`).
"""

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from passport.physics.geometry import RacquetShape
from passport.render.drawing.fitted import DrawnPart, draw_piece, middle, number_pieces, spot
from passport.render.drawing.markers import Marker, Zone, lay_out
from passport.render.drawing.outline import frame, half_width, handle, head_bottom, strings
from passport.render.drawing.svg import document, num, nums, safe_id, text
from passport.render.theme.palette import Paint

__all__ = ["DrawnPart", "Orientation", "draw", "number_pieces"]

Orientation = Literal["upright", "lying"]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Projection:
    """How racquet coordinates fall on the picture, and the sizes of what is read rather than measured, mm."""

    orientation: Orientation
    length: float
    radius: float

    def point(self, x: float, y: float) -> Point:
        """A point of the racquet on the picture."""
        return (y, self.length - x) if self.orientation == "upright" else (x, y)

    @property
    def turn(self) -> str:
        """The transformation of a group that is drawn in racquet coordinates."""
        return f' transform="matrix(0 -1 1 0 0 {num(self.length)})"' if self.orientation == "upright" else ""


def draw(
    shape: RacquetShape,
    pieces: Sequence[DrawnPart] = (),
    *,
    paint: Paint,
    title: str,
    desc: str,
    key: str = "",
    orientation: Orientation = "upright",
    crop: Literal["head"] | None = None,
    detail: Literal["full", "card"] = "full",
    hybrid: bool = False,
    strung: bool = True,
    numbered: bool = True,
    balance_mm: float | None = None,
    balance_text: str = "",
    axis_mm: float | None = None,
    axis_text: str = "",
    extra: str = "",
) -> str:
    """The racquet as an SVG string.

    ``key`` keeps its ids apart from those of other drawings on the page (left out: taken from the content).
    ``crop`` shows only the head and the top of the throat. ``detail="card"`` leaves out the weave and the numbers
    and thickens the strings. ``hybrid`` gives the crosses their own colour, ``strung`` False leaves the strings out. ``balance_mm`` and ``axis_mm`` are marked
    with a triangle and a cross line, each with its text beside it. ``extra`` are more attributes for the ``svg``.
    The numbers are those of `number_pieces`; their meaning is for the caller to print.
    """
    card, upright = detail == "card", orientation == "upright"
    view = _Projection(orientation, shape.length, 11.0 if upright else 17.0)
    key = key or hashlib.sha256(repr((shape, tuple(pieces), title, orientation, detail, crop)).encode()).hexdigest()[:8]
    low = head_bottom(shape) - 40 if crop else 0.0
    shown = [(n, p) for n, p in number_pieces(shape, pieces) if middle(shape, p) >= low]
    marks = [(balance_mm, balance_text, _triangle), (axis_mm, axis_text, _cross_line)]
    markers: tuple[Marker, ...] = ()
    if numbered and not card:
        spots = [spot(shape, n, p) for n, p in shown]
        taken = [at for at, label, _ in marks if at is not None and label]
        markers = lay_out(spots, _zones(shape), radius=view.radius, slant=view.radius, taken=taken)
    clip = safe_id(key) + "-c"
    body = (
        f'<clipPath id="{clip}"><ellipse cx="{num(shape.head_centre)}" rx="{num(shape.head_length / 2 + 1)}"'
        f' ry="{num(shape.head_width / 2 + 1)}"/></clipPath>'
        + f"<g{view.turn}>{_leaders(markers, paint, view)}"
        + (
            strings(shape, paint, clip=clip, thickness=_thread(upright, card), weave=not card, hybrid=hybrid)
            if strung
            else ""
        )
        + frame(shape, paint, 0 if card else 0.9)
        + handle(shape, paint, 2.0 if card else 1.5)
        + "".join(draw_piece(shape, p, paint) for _, p in shown)
        + _feelers(shape, markers, paint, view)
        + "</g>"
        + "".join(mark(shape, at, label, paint, view) for at, label, mark in marks if at is not None and at >= low)
        + _discs(markers, paint, view)
    )
    said = [(at, label) for at, label, _ in marks if at is not None and at >= low and label]
    box = _box(shape, markers, view, low, said)
    return document(body, key=key, title=title, desc=desc, box=box, paint=paint, extra=extra)


def _thread(upright: bool, card: bool) -> float:
    """Thickness of a drawn string, mm: thicker than life where the drawing will be small."""
    if card:
        return 2.6 if upright else 1.7
    return 1.5 if upright else 1.9


def _zones(shape: RacquetShape) -> tuple[Zone, Zone]:
    """The columns beside the handle, and those beside throat and head."""
    border = min(shape.handle + 30, head_bottom(shape))
    outer = shape.head_width / 2 + shape.rim
    return Zone(-1e6, border, shape.handle_width / 2 + 22, -1), Zone(border, 1e6, outer + 8, 1)


def _leaders(markers: Sequence[Marker], paint: Paint, view: _Projection) -> str:
    """All leaders as one path, in racquet coordinates."""
    if not markers:
        return ""
    data = "".join("M" + "L".join(nums(*p) for p in marker.leader) for marker in markers)
    return f'<path d="{data}"{paint("none", "rule")} stroke-width="{num(view.radius * 0.1, 2)}"/>'


def _feelers(shape: RacquetShape, markers: Sequence[Marker], paint: Paint, view: _Projection) -> str:
    """The part of a leader that lies on the dark handle, from a piece inside it to the handle's edge."""
    edge = shape.handle_width / 2
    starts = [m.leader[0] for m in markers if abs(m.leader[0][1]) < edge and m.leader[0][0] <= shape.handle]
    if not starts:
        return ""
    data = "".join(f"M{nums(x, y)}V{num(math.copysign(edge, y))}" for x, y in starts)
    return f'<path d="{data}"{paint("none", "ball")} stroke-width="{num(view.radius * 0.1, 2)}"/>'


def _discs(markers: Sequence[Marker], paint: Paint, view: _Projection) -> str:
    """The numbers on their discs, upright whichever way the racquet lies."""
    if not markers:
        return ""
    r = view.radius
    places = [(marker.number, view.point(*marker.centre)) for marker in markers]
    discs = "".join(f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r)}"/>' for _, (x, y) in places)
    digits = "".join(f'<text x="{num(x)}" y="{num(y + r * 0.46)}">{number}</text>' for number, (x, y) in places)
    return (
        f'<g{paint("ball", "on_ball")} stroke-width="{num(r * 0.11, 2)}">{discs}</g>'
        f'<g{paint("on_ball")} font-size="{num(r * 1.3)}" font-weight="600" text-anchor="middle">{digits}</g>'
    )


def _triangle(shape: RacquetShape, at: float, label: str, paint: Paint, view: _Projection) -> str:
    """The balance point: a fulcrum under the right edge, pointing at the frame."""
    size = view.radius * 0.8
    edge = half_width(shape, at) + 2
    corners = [view.point(*p) for p in ((at, edge), (at - size * 0.6, edge + size), (at + size * 0.6, edge + size))]
    data = "M" + "L".join(nums(*p) for p in corners) + "z"
    return f'<path d="{data}"{paint("plum")}/>' + _mark_text(at, edge + size, label, paint("plum"), view)


def _cross_line(shape: RacquetShape, at: float, label: str, paint: Paint, view: _Projection) -> str:
    """The swingweight axis: a line across the handle that sticks out on both sides."""
    reach = shape.handle_width / 2 + view.radius * 0.8
    start, stop = view.point(at, -reach), view.point(at, reach)
    line = (
        f'<path d="M{nums(*start)}L{nums(*stop)}"{paint("none", "petrol")} stroke-width="{num(view.radius * 0.14, 2)}"'
        f' stroke-dasharray="{nums(view.radius * 0.4, view.radius * 0.25)}"/>'
    )
    return line + _mark_text(at, reach, label, paint("petrol"), view)


def _mark_text(at: float, out: float, label: str, fill: str, view: _Projection) -> str:
    """The words beside a mark on the right of (upright) or below (lying) the frame."""
    if not label:
        return ""
    size = view.radius * 1.15
    x, y = view.point(at, out)
    if view.orientation == "upright":
        return text(x + size * 0.3, y + size * 0.35, label, size=size, paint=fill, strong=True)
    return text(x, y + size * 0.95, label, size=size, paint=fill, anchor="middle", strong=True)


def _box(
    shape: RacquetShape, markers: Sequence[Marker], view: _Projection, low: float, said: Sequence[tuple[float, str]]
) -> tuple[float, float, float, float]:
    """The picture's view: all of the frame (or the head alone), all numbers, the words beside it, and a little air."""
    air = 4.0
    reach = max([shape.head_width / 2 + shape.rim + air] + [abs(m.centre[1]) + view.radius + 2 for m in markers])
    if view.orientation == "upright":  # words run away from the frame; none of their letters is wider than 0.6 em
        reach = max([reach, *(half_width(shape, at) + view.radius * (1.3 + 0.7 * len(label)) for at, label in said)])
    top = max([shape.length + air] + [m.centre[0] + view.radius + 2 for m in markers])
    bottom = min([low - air] + [m.centre[0] - view.radius - 2 for m in markers])
    if view.orientation == "upright":
        return -reach, shape.length - top, 2 * reach, top - bottom
    return bottom, -reach, top - bottom, 2 * reach
