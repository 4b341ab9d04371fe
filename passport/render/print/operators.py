"""A drawing as PDF operators: what our own SVG pictures are made of, as the content of a Form XObject.

Only what the drawings of printed pieces use is understood (ISO 32000-1, 8.5 for the operators; SVG 1.1, chapter 8 for
path data, F.6 for arcs). Whatever else a picture holds makes it foreign, and the layout engine draws it.
"""

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from xml.etree.ElementTree import Element

_SVG = "{http://www.w3.org/2000/svg}"
_SILENT = frozenset({_SVG + "title", _SVG + "desc", _SVG + "clipPath"})
_LOOK = frozenset({"fill", "stroke", "stroke-width"})
_SHAPES: Mapping[str, frozenset[str]] = {
    "path": frozenset({"d"}),
    "circle": frozenset({"cx", "cy", "r"}),
    "ellipse": frozenset({"cx", "cy", "rx", "ry"}),
    "rect": frozenset({"x", "y", "width", "height", "rx"}),
}
_EVERYWHERE = _LOOK | {"id", "class", "transform", "clip-path", "shape-rendering"}
_COMMAND = re.compile("([MmLlHhVvCcSsQqAaZz])([^MmLlHhVvCcSsQqAaZz]*)")
_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
_PLAIN = re.compile(r"[MmLlHhVvCcSsQqAaZz0-9.,+\-\s]*")
_TRANSFORM = re.compile(r"\s*(matrix|translate|scale|rotate)\(([^)]*)\)")
_COLOUR = re.compile("#[0-9a-f]{6}", re.IGNORECASE)
_ROUND = 4 / 3 * (math.sqrt(2) - 1)
"""The length of the handles of a quarter of a circle, in radii; off a circle by 0.03 %."""


class NotDrawn(ValueError):
    """A picture holds something that our own drawings do not."""


@dataclass(frozen=True, slots=True)
class Form:
    """The content of a Form XObject and its box, x, y, width, height in the units of the drawing, y downwards."""

    operators: bytes = field(repr=False)
    box: tuple[float, float, float, float]

    @property
    def entries(self) -> dict[str, object]:
        """The entries of its dictionary: its box fills the unit square, as an image does (ISO 32000-1, 8.9.5, 8.10)."""
        x, y, width, height = self.box
        matrix = (1 / width, 0, 0, -1 / height, -x / width, 1 + y / height)
        return {
            "Type": "/XObject",
            "Subtype": "/Form",
            "BBox": f"[{_numbers(x, y, x + width, y + height)}]",
            "Matrix": f"[{' '.join(f'{value:.9f}' for value in matrix)}]",
            "Resources": "<<>>",
        }


def form(svg: Element) -> Form:
    """A picture of ours as a form.

    Raises:
        NotDrawn: it holds what our own drawings do not.
    """
    box = tuple(float(value) for value in _NUMBER.findall(svg.get("viewBox", "")))
    if len(box) != 4 or min(box[2:]) <= 0:
        raise NotDrawn("no view box")
    clips = {f"url(#{clip.get('id')})": clip for clip in svg.iter(_SVG + "clipPath")}
    # SVG's limit of a mitre is 4, that of PDF 10.
    parts = [b"4 M", *_inside(svg, {"fill": "#000000", "stroke": "none", "stroke-width": "1"}, clips)]
    return Form(b"\n".join(parts), box)


def _inside(parent: Element, look: Mapping[str, str], clips: Mapping[str, Element]) -> Iterator[bytes]:
    """What the children of an element draw."""
    for child in parent:
        if child.tag in _SILENT:
            continue
        own = {**look, **{name: child.attrib[name] for name in _LOOK & child.attrib.keys()}}
        turned, clip = child.get("transform"), child.get("clip-path")
        if turned or clip:
            yield b"q"
        if turned:
            yield from _turned(turned)
        if clip:
            yield from _clipped(clips, clip)
        if child.tag == _SVG + "g":
            _known(child, frozenset())
            yield from _inside(child, own, clips)
        else:
            yield from _painted(_outline(child), own)
        if turned or clip:
            yield b"Q"


def _known(element: Element, own: frozenset[str]) -> None:
    """NotDrawn where an element has attributes that nothing here looks at."""
    if strange := element.attrib.keys() - _EVERYWHERE - own:
        raise NotDrawn(f"{element.tag}: {', '.join(sorted(strange))}")


def _outline(shape: Element) -> bytes:
    """The operators that make the path of a shape."""
    name = shape.tag.removeprefix(_SVG)
    if name not in _SHAPES:
        raise NotDrawn(name)
    _known(shape, _SHAPES[name])
    if name == "path":
        return path(shape.get("d", ""))
    at = {key: float(shape.get(key, 0)) for key in _SHAPES[name]}
    if name == "rect":
        return _rounded(at["x"], at["y"], at["width"], at["height"], at["rx"], at["rx"])
    rx, ry = (at["r"], at["r"]) if name == "circle" else (at["rx"], at["ry"])
    return _rounded(at["cx"] - rx, at["cy"] - ry, 2 * rx, 2 * ry, rx, ry)


def _painted(outline: bytes, look: Mapping[str, str]) -> Iterator[bytes]:
    """A path in its colours."""
    fill, stroke = look["fill"] != "none", look["stroke"] != "none"
    if not outline or not (fill or stroke):
        return
    if fill:
        yield _colour(look["fill"]) + b" rg"
    if stroke:
        yield _colour(look["stroke"]) + b" RG " + _number(float(look["stroke-width"])).encode() + b" w"
    yield outline
    yield b"B" if fill and stroke else b"f" if fill else b"S"


def _clipped(clips: Mapping[str, Element], name: str) -> Iterator[bytes]:
    """Draw nothing outside the shapes of a clip path."""
    if name not in clips:
        raise NotDrawn(name)
    yield from (_outline(shape) for shape in clips[name])
    yield b"W n"


@lru_cache(maxsize=64)
def _colour(text: str) -> bytes:
    if not _COLOUR.fullmatch(text):
        raise NotDrawn(text)
    return " ".join(f"{int(text[i : i + 2], 16) / 255:.4f}" for i in (1, 3, 5)).encode()


@lru_cache(maxsize=256)
def _turned(text: str) -> tuple[bytes, ...]:
    """A list of transforms, each an operator."""
    found = _TRANSFORM.findall(text)
    if re.sub(_TRANSFORM, "", text).strip():
        raise NotDrawn(text)
    return tuple(_matrix(kind, [float(value) for value in re.findall(_NUMBER, values)]) for kind, values in found)


def _matrix(kind: str, values: list[float]) -> bytes:
    if kind == "translate":
        values = [1, 0, 0, 1, values[0], values[1]]
    elif kind == "scale":
        values = [values[0], 0, 0, values[-1], 0, 0]
    elif kind == "rotate":
        turn = math.radians(values[0])
        values = [math.cos(turn), math.sin(turn), -math.sin(turn), math.cos(turn), 0, 0]
    return (" ".join(f"{value:.6f}" for value in values) + " cm").encode()


def _rounded(x: float, y: float, width: float, height: float, rx: float, ry: float) -> bytes:
    """A rectangle, its corners rounded where ``rx`` and ``ry`` are not 0; an ellipse where they are half its sides."""
    if not rx:
        return f"{_numbers(x, y, width, height)} re".encode()
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    far_x, far_y, nx, ny = x + width, y + height, rx * (1 - _ROUND), ry * (1 - _ROUND)
    lines = [
        f"{_numbers(x + rx, y)} m {_numbers(far_x - rx, y)} l",
        f"{_numbers(far_x - nx, y, far_x, y + ny, far_x, y + ry)} c {_numbers(far_x, far_y - ry)} l",
        f"{_numbers(far_x, far_y - ny, far_x - nx, far_y, far_x - rx, far_y)} c {_numbers(x + rx, far_y)} l",
        f"{_numbers(x + nx, far_y, x, far_y - ny, x, far_y - ry)} c {_numbers(x, y + ry)} l",
        f"{_numbers(x, y + ny, x + nx, y, x + rx, y)} c h",
    ]
    return "\n".join(lines).encode()


def circle(x: float, y: float, radius: float) -> str:
    """A circle about a point."""
    return _rounded(x - radius, y - radius, 2 * radius, 2 * radius, radius, radius).decode()


@lru_cache(maxsize=256)
def path(data: str) -> bytes:
    """The operators of SVG path data, a line each; frames of one model share their outlines, so they are remembered.

    Raises:
        NotDrawn: it is not plain path data, or has smooth quadratic curves.
    """
    if not _PLAIN.fullmatch(data):
        raise NotDrawn("path data")
    pen = _Pen()
    for letter, text in _COMMAND.findall(data):
        pen.draw(letter.upper(), [float(value) for value in _NUMBER.findall(text)], letter.islower())
    return "\n".join(pen.out).encode()


class _Pen:
    """Where a path has come to: its last point, where its line began, and the mirrored handle of its last curve."""

    def __init__(self) -> None:
        self.out: list[str] = []
        self._x = self._y = 0.0
        self._start = (0.0, 0.0)
        self._handle: tuple[float, float] | None = None
        self._closed = False

    def draw(self, kind: str, values: list[float], relative: bool) -> None:
        """One command with all of its numbers."""
        if kind == "Z":
            self.out.append("h")
            (self._x, self._y), self._handle, self._closed = self._start, None, True
            return
        if self._closed and kind != "M":
            self.out.append(f"{_numbers(self._x, self._y)} m")
        self._closed = False
        if kind in "CSQ":
            self._curves(kind, values, relative)
            return
        self._handle = None
        if kind == "A":
            self._arcs(values, relative)
        elif kind in "HV":
            self._axis(kind, values, relative)
        else:
            self._lines(kind, values, relative)

    def _lines(self, kind: str, values: list[float], relative: bool) -> None:
        """A move and lines: what follows the point of a move are lines."""
        letter = kind.lower()
        for x, y in zip(values[::2], values[1::2], strict=True):
            self._x, self._y = (self._x + x, self._y + y) if relative else (x, y)
            self.out.append(f"{_numbers(self._x, self._y)} {letter}")
            if letter == "m":
                self._start, letter = (self._x, self._y), "l"

    def _axis(self, kind: str, values: list[float], relative: bool) -> None:
        for value in values:
            if kind == "H":
                self._x = self._x + value if relative else value
            else:
                self._y = self._y + value if relative else value
            self.out.append(f"{_numbers(self._x, self._y)} l")

    def _curves(self, kind: str, values: list[float], relative: bool) -> None:
        """Curves; a smooth one leaves its start as the cubic curve before came to it."""
        size = 6 if kind == "C" else 4
        x, y, handle, out = self._x, self._y, self._handle, self.out
        for i in range(0, len(values), size):
            points = values[i : i + size]
            if relative:
                points = [value + (y if n % 2 else x) for n, value in enumerate(points)]
            if kind == "S":
                points = [*(handle or (x, y)), *points]
            elif kind == "Q":  # of degree two, raised to three
                qx, qy, to_x, to_y = points
                points = [(x + 2 * qx) / 3, (y + 2 * qy) / 3, (to_x + 2 * qx) / 3, (to_y + 2 * qy) / 3, to_x, to_y]
            out.append(_numbers(*points) + " c")
            _, _, hx, hy, x, y = points
            handle = (2 * x - hx, 2 * y - hy) if kind != "Q" else None
        self._x, self._y, self._handle = x, y, handle

    def _arcs(self, values: list[float], relative: bool) -> None:
        for i in range(0, len(values), 7):
            rx, ry, turn, large, sweep, x, y = values[i : i + 7]
            if turn:
                raise NotDrawn("a turned arc")
            end = (self._x + x, self._y + y) if relative else (x, y)
            curves = arc((self._x, self._y), (abs(rx), abs(ry)), bool(large), bool(sweep), end)
            self.out += [_numbers(*points) + " c" for points in curves]
            self._x, self._y = end


def arc(
    start: tuple[float, float], radii: tuple[float, float], large: bool, sweep: bool, end: tuple[float, float]
) -> Iterator[tuple[float, ...]]:
    """An arc of an ellipse along the axes as cubic curves of at most a quarter each (SVG 1.1, F.6.5 and F.6.6)."""
    rx, ry = radii
    if start == end or not rx or not ry:
        yield (*start, *end, *end)
        return
    dx, dy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    reach = math.hypot(dx / rx, dy / ry)
    rx, ry = rx * max(1.0, reach), ry * max(1.0, reach)
    off = math.sqrt(max(0.0, 1 / (dx * dx / (rx * rx) + dy * dy / (ry * ry)) - 1)) * (-1 if large == sweep else 1)
    cx, cy = (start[0] + end[0]) / 2 + off * rx * dy / ry, (start[1] + end[1]) / 2 - off * ry * dx / rx
    first, last = (math.atan2((y - cy) / ry, (x - cx) / rx) for x, y in (start, end))
    whole = (last - first) % (2 * math.pi) if sweep else -((first - last) % (2 * math.pi))
    count = max(1, math.ceil(abs(whole) / (math.pi / 2) - 1e-9))
    step = whole / count
    handle = 4 / 3 * math.tan(step / 4)
    for i in range(count):
        a, b = first + i * step, first + (i + 1) * step
        yield (
            *(cx + rx * (math.cos(a) - handle * math.sin(a)), cy + ry * (math.sin(a) + handle * math.cos(a))),
            *(cx + rx * (math.cos(b) + handle * math.sin(b)), cy + ry * (math.sin(b) - handle * math.cos(b))),
            *(end if i == count - 1 else (cx + rx * math.cos(b), cy + ry * math.sin(b))),
        )


def _number(value: float) -> str:
    """A number in PDF's short form, to a thousandth."""
    return str(int(value)) if value.is_integer() else f"{value:.3f}".rstrip("0").rstrip(".")


def _numbers(*values: float) -> str:
    return " ".join([_number(value) for value in values])
