"""What is drawn on a chart, as short SVG: lines, polygons and texts in tokens of the palette.

A strict content security policy forbids ``style`` attributes, so looks are classes or presentation attributes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from passport.render.drawing.svg import DISPLAY_FAMILY, num, nums, text
from passport.render.theme.palette import Paint, Token

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a shape looks; lengths in px, a ``width`` of 0 is no stroke."""

    fill: Token | None
    stroke: Token | None
    width: float
    dash: tuple[float, ...] = ()
    round_ends: bool = False


@dataclass(frozen=True, slots=True)
class Shape:
    """A polyline or, ``closed``, a polygon."""

    look: Stroke
    points: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True, slots=True)
class ChartText:
    """One line of text with its baseline at ``y``."""

    x: float
    y: float
    content: str
    size: float
    fill: Token
    anchor: Anchor
    strong: bool
    display: bool


Drawn = Shape | ChartText


def inked(drawn: Sequence[Drawn], paint: Paint) -> str:
    """Everything that was drawn, in its order, as SVG elements; neighbours that look the same become one path."""
    parts: list[str] = []
    for look, same in groupby(drawn, key=lambda thing: thing.look if isinstance(thing, Shape) else None):
        if look is None:
            parts += [_text(line, paint) for line in same if isinstance(line, ChartText) and line.content]
        else:
            data = "".join(_path_data(shape) for shape in same if isinstance(shape, Shape))
            parts.append(f'<path d="{data}"{_attributes(look, paint)}/>')
    return "".join(parts)


def _attributes(look: Stroke, paint: Paint) -> str:
    """How a path looks, as classes or presentation attributes."""
    attributes = paint(look.fill or "none", look.stroke if look.width else None)
    if look.stroke and look.width:
        attributes += f' stroke-width="{num(look.width, 2)}"' if look.width != 1 else ""
        attributes += ' stroke-linecap="round"' if look.round_ends else ""
        if look.dash:
            attributes += f' stroke-dasharray="{" ".join(num(length, 6) for length in look.dash)}"'
    return attributes


def _path_data(shape: Shape) -> str:
    """Path data of M, L and z in tenths of a px, with H and V where they are shorter.

    A line too short to show (a dot) keeps a hundredth, so that its round ends are drawn. The corner that closed a
    polygon by hand is left out.
    """
    points = shape.points[:-1] if shape.closed and shape.points[-1] == shape.points[0] else shape.points
    last = (round(points[0][0], 1), round(points[0][1], 1))
    parts = ["M" + nums(*last)]
    for x, y in points[1:]:
        here = (round(x, 1), round(y, 1))
        if here == last:
            parts.append("h.01")
        elif here[1] == last[1]:
            parts.append("H" + num(here[0]))
        elif here[0] == last[0]:
            parts.append("V" + num(here[1]))
        else:
            parts.append("L" + nums(*here))
        last = here
    return "".join(parts) + ("z" if shape.closed else "")


def _text(line: ChartText, paint: Paint) -> str:
    return text(
        line.x,
        line.y,
        line.content,
        size=line.size,
        paint=paint(line.fill),
        anchor=line.anchor,
        strong=line.strong or line.display,
        extra=f'font-family="{DISPLAY_FAMILY}"' if line.display else "",
    )
