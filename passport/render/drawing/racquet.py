"""The racquet drawn to its model's real dimensions, with its string bed and the pieces fitted to it.

One drawing serves a passport's page (`PAGE`), its card (`CARD`, plain enough to be small) and the workshop's own pages
(`EMBLEM`). Units are mm in the racquet's own coordinates (`passport.physics.geometry`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from passport.physics.geometry import RacquetShape
from passport.render.drawing.fitted import DrawnPart, draw_piece, number_pieces, spot
from passport.render.drawing.markers import Marker, Zone, lay_out
from passport.render.drawing.outline import clip_path, frame, half_width, handle, head_bottom, strings
from passport.render.drawing.svg import document, num, nums, safe_id, text
from passport.render.theme.palette import Paint

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class View:
    """How a racquet is drawn, mm: its tip up, or ``lying`` with its tip to the right; how large what is read rather than
    measured is (``radius`` of a number's disc), how thick a string (``thread``, thicker than life where the drawing will
    be small), the light line round the hoop (``shine``, 0 for none) and the ``seams`` of the grip.

    With ``weave`` each string is broken where it passes under another. With ``numbered`` each piece has its number.
    """

    lying: bool = False
    radius: float = 11.0
    thread: float = 1.5
    shine: float = 0.9
    seams: float = 1.5
    weave: bool = True
    numbered: bool = True


PAGE = View(lying=True, radius=19.0, thread=1.7)
CARD = View(thread=2.6, shine=0, seams=2.0, weave=False, numbered=False)
EMBLEM = View(lying=True, radius=17.0, thread=1.9, numbered=False)


@dataclass(frozen=True, slots=True)
class Caption:
    """What goes with a drawing: the ``key`` that keeps its ids apart from those of other drawings on the page, its title
    and description for a screen reader, more attributes for the ``svg``."""

    key: str
    title: str
    desc: str = ""
    attributes: str = ""


@dataclass(frozen=True, slots=True)
class Balance:
    """The balance point, mm from the butt, and the words beside it, if any."""

    at: float
    text: str = ""


@dataclass(frozen=True, slots=True)
class _Projection:
    """How racquet coordinates fall on the picture of a racquet of some length, mm."""

    view: View
    length: float

    @property
    def radius(self) -> float:
        """The radius of a number's disc, mm."""
        return self.view.radius

    def point(self, x: float, y: float) -> Point:
        """A point of the racquet on the picture."""
        return (x, y) if self.view.lying else (y, self.length - x)

    @property
    def turn(self) -> str:
        """The transformation of a group that is drawn in racquet coordinates."""
        return "" if self.view.lying else f' transform="matrix(0 -1 1 0 0 {num(self.length)})"'


def draw(
    shape: RacquetShape,
    pieces: Sequence[DrawnPart],
    view: View,
    caption: Caption,
    *,
    paint: Paint,
    hybrid: bool = False,
    strung: bool = True,
    balance: Balance | None = None,
) -> str:
    """The racquet as an SVG string.

    ``hybrid`` gives the crosses their own colour, ``strung`` False leaves the strings out. The numbers are those of
    `number_pieces`; their meaning is for the caller to print.
    """
    projection = _Projection(view, shape.length)
    shown = number_pieces(shape, pieces)
    markers: tuple[Marker, ...] = ()
    if view.numbered:
        spots = [spot(shape, n, p) for n, p in shown]
        taken = [balance.at] if balance and balance.text else []
        markers = lay_out(spots, _zones(shape), radius=view.radius, slant=view.radius, taken=taken)
    clip = safe_id(caption.key) + "-c"
    body = (
        clip_path(shape, clip)
        + f"<g{projection.turn}>{_leaders(markers, paint, projection)}"
        + (strings(shape, paint, clip=clip, thickness=view.thread, weave=view.weave, hybrid=hybrid) if strung else "")
        # After the strings, whose ends it covers, and before the pieces that are stuck on it.
        + frame(shape, paint, view.shine)
        + handle(shape, paint, view.seams)
        + "".join(draw_piece(shape, p, paint) for _, p in shown)
        + _feelers(shape, markers, paint, projection)
        + "</g>"
        + (_triangle(shape, balance, paint, projection) if balance else "")
        + _discs(markers, paint, projection)
    )
    box = _box(shape, markers, projection, balance)
    return document(
        body, key=caption.key, title=caption.title, desc=caption.desc, box=box, paint=paint, extra=caption.attributes
    )


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
    return f'<path d="{data}"{paint("none", "fitted")} stroke-width="{num(view.radius * 0.1, 2)}"/>'


def _discs(markers: Sequence[Marker], paint: Paint, view: _Projection) -> str:
    """The numbers on their discs, upright whichever way the racquet lies."""
    if not markers:
        return ""
    r = view.radius
    places = [(marker.number, view.point(*marker.centre)) for marker in markers]
    discs = "".join(f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r)}"/>' for _, (x, y) in places)
    digits = "".join(f'<text x="{num(x)}" y="{num(y + r * 0.46)}">{number}</text>' for number, (x, y) in places)
    return (
        f'<g{paint("fitted", "on_ball")} stroke-width="{num(r * 0.11, 2)}">{discs}</g>'
        f'<g{paint("on_ball")} font-size="{num(r * 1.3)}" font-weight="600" text-anchor="middle">{digits}</g>'
    )


def _triangle(shape: RacquetShape, balance: Balance, paint: Paint, view: _Projection) -> str:
    """The balance point: a fulcrum under the right edge, pointing at the frame, with its words beside it."""
    size, at = view.radius * 0.8, balance.at
    edge = half_width(shape, at) + 2
    corners = [view.point(*p) for p in ((at, edge), (at - size * 0.6, edge + size), (at + size * 0.6, edge + size))]
    data = "M" + "L".join(nums(*p) for p in corners) + "z"
    return f'<path d="{data}"{paint("plum")}/>' + _words(balance, edge + size, paint("plum"), view)


def _words(balance: Balance, out: float, fill: str, view: _Projection) -> str:
    """The words beside the mark, on the right of (upright) or below (lying) the frame."""
    if not balance.text:
        return ""
    size = view.radius * 1.15
    x, y = view.point(balance.at, out)
    if view.view.lying:
        # Towards the handle, where nothing lies beside the frame: the hoop is on the other side.
        return text(x - size * 0.55, y, balance.text, size=size, paint=fill, anchor="end", strong=True)
    return text(x + size * 0.3, y + size * 0.35, balance.text, size=size, paint=fill, strong=True)


def _box(
    shape: RacquetShape, markers: Sequence[Marker], view: _Projection, balance: Balance | None
) -> tuple[float, float, float, float]:
    """The picture's view: all of the frame, all numbers, the words beside it, and a little air."""
    air = 4.0
    reach = max([shape.head_width / 2 + shape.rim + air] + [abs(m.centre[1]) + view.radius + 2 for m in markers])
    if balance and balance.text and not view.view.lying:  # words run away; none of their letters is wider than 0.6 em
        reach = max(reach, half_width(shape, balance.at) + view.radius * (1.3 + 0.7 * len(balance.text)))
    top = max([shape.length + air] + [m.centre[0] + view.radius + 2 for m in markers])
    bottom = min([-air] + [m.centre[0] - view.radius - 2 for m in markers])
    if view.view.lying:
        return bottom, -reach, top - bottom, 2 * reach
    return -reach, shape.length - top, 2 * reach, top - bottom
