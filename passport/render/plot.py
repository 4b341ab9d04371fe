"""A drawing surface on matplotlib whose SVG is small, follows light and dark, and needs no inline styles.

Coordinates are CSS pixels at the chart's own width, y downwards. Colours are tokens of the palette: matplotlib draws
each in a stand-in colour, which the `Paint` then replaces, since a strict content security policy forbids the
``style`` attributes that matplotlib writes. Text stays text, in the shipped typefaces, and is measured with them.
"""

import io
import re
import warnings
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

from passport.render.assets import fonts
from passport.render.palette import TOKENS, Paint, Token
from passport.render.svg import DISPLAY_FAMILY, document, num, nums, plain, text

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

Point = tuple[float, float]

_STAND_IN: dict[Token, str] = {token: f"#0101{i:02x}" for i, token in enumerate(TOKENS)}
_TOKEN: dict[str, Token] = {colour: token for token, colour in _STAND_IN.items()}
_SIDE: dict[str, Literal["left", "center", "right"]] = {"start": "left", "middle": "center", "end": "right"}
_SVG = "{http://www.w3.org/2000/svg}"
_QUIET = {"Date": None, "Creator": None, "Format": None, "Type": None}


@cache
def _font(strong: bool, display: bool) -> Any:
    """The shipped typeface as matplotlib knows it."""
    # Loaded late: matplotlib takes half a second, which commands without charts should not pay.
    from matplotlib.font_manager import FontProperties

    name = "besley-600.ttf" if display else "barlow-sc-600.ttf" if strong else "barlow-sc-400.ttf"
    return FontProperties(fname=str(fonts() / name), size=100)


@cache
def text_width(content: str, size: float, *, strong: bool = False, display: bool = False) -> float:
    """Width in px of a line of text set in the shipped typeface."""
    from matplotlib.textpath import text_to_path

    with warnings.catch_warnings():
        # A sign that the typeface lacks is the browser's to find; its width here is that of the empty box.
        warnings.simplefilter("ignore")
        width, _, _ = text_to_path.get_text_width_height_descent(content, _font(strong, display), ismath=False)
    return float(width) * size / 100


@dataclass(frozen=True, slots=True)
class _Shape:
    """A drawn path: its data and its attributes."""

    data: str
    attributes: str


class Canvas:
    """A chart in the making, ``width`` × ``height`` px; what is drawn later lies on top."""

    def __init__(self, width: float, height: float) -> None:
        """Start with nothing drawn."""
        self.width, self.height = width, height
        self._drawn: list[Callable[[], Artist]] = []

    def line(
        self,
        points: Iterable[Point],
        stroke: Token,
        width: float = 1,
        *,
        dash: Sequence[float] = (),
        round_ends: bool = False,
    ) -> None:
        """Draw a polyline; ``dash`` are lengths in px."""
        xs, ys = zip(*points, strict=True)

        def artist() -> "Artist":
            from matplotlib.lines import Line2D

            return Line2D(
                xs,
                ys,
                color=_STAND_IN[stroke],
                linewidth=width,
                # matplotlib multiplies dashes by the thickness of their line.
                linestyle=(0, tuple(length / width for length in dash)) if dash else "solid",
                dash_capstyle="butt",
                solid_capstyle="round" if round_ends else "butt",
            )

        self._drawn.append(artist)

    def area(self, points: Iterable[Point], fill: Token | None, stroke: Token | None = None, width: float = 1) -> None:
        """Draw a closed polygon."""
        corners = list(points)

        def artist() -> "Artist":
            from matplotlib.patches import Polygon

            return Polygon(
                corners,
                closed=True,
                facecolor=_STAND_IN[fill] if fill else "none",
                edgecolor=_STAND_IN[stroke] if stroke else "none",
                linewidth=width if stroke else 0,
            )

        self._drawn.append(artist)

    def rect(self, x: float, y: float, width: float, height: float, fill: Token) -> None:
        """Draw a filled rectangle from its upper left corner."""
        self.area([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], fill)

    def dot(self, x: float, y: float, radius: float, fill: Token) -> None:
        """Draw a disc: a very short line with round ends, the shortest way to write one."""
        self.line([(x, y), (x + 0.01, y)], fill, 2 * radius, round_ends=True)

    def diamond(self, x: float, y: float, radius: float, fill: Token) -> None:
        """Draw a square that stands on a corner."""
        self.area([(x, y - radius), (x + radius, y), (x, y + radius), (x - radius, y)], fill)

    def text(
        self,
        x: float,
        y: float,
        content: str,
        *,
        size: float = 13,
        fill: Token = "ink",
        anchor: str = "start",
        strong: bool = False,
        display: bool = False,
    ) -> None:
        """Set one line of text with its baseline at ``y``."""
        side = _SIDE[anchor]
        face = "display" if display else "strong" if strong else "plain"

        def artist() -> "Artist":
            from matplotlib.text import Text

            return Text(
                x,
                y,
                plain(content),
                color=_STAND_IN[fill],
                fontproperties=_font(strong, display),
                fontsize=size,
                horizontalalignment=side,
                verticalalignment="baseline",
                parse_math=False,
                gid=face,
            )

        self._drawn.append(artist)

    def svg(self, *, key: str, title: str, desc: str, paint: Paint, extra: str = "") -> str:
        """The finished chart as an SVG string (see `passport.render.svg.document`)."""
        import matplotlib

        out = io.StringIO()
        with matplotlib.rc_context(), warnings.catch_warnings():
            warnings.simplefilter("ignore")
            # Whatever the user's own settings are, the same chart gives the same bytes.
            matplotlib.rcdefaults()
            matplotlib.rcParams["svg.fonttype"] = "none"
            matplotlib.rcParams["svg.hashsalt"] = key
            self._figure().savefig(out, format="svg", metadata=_QUIET, transparent=True)
        body = "".join(_cleaned(ET.fromstring(out.getvalue()), paint))
        box = (0, 0, self.width, self.height)
        return document(body, key=key, title=title, desc=desc, box=box, paint=paint, extra=extra)

    def _figure(self) -> "Figure":
        """All that was drawn, straight on a figure: axes would take more time than the drawing."""
        from matplotlib.figure import Figure
        from matplotlib.transforms import Affine2D

        figure = Figure(figsize=(self.width / 72, self.height / 72), dpi=72)
        downwards = Affine2D().scale(1, -1).translate(0, self.height)
        for order, make in enumerate(self._drawn, start=1):
            artist = make()
            artist.set_zorder(order)
            artist.set_transform(downwards)
            figure.add_artist(artist)
        return figure


def _cleaned(root: ET.Element, paint: Paint) -> Iterable[str]:
    """The drawn elements alone, in short form; neighbours that look the same become one path."""
    waiting: _Shape | None = None
    for element in _drawn(root):
        shape = _path(element, paint) if element.tag == _SVG + "path" else None
        if shape and waiting and shape.attributes == waiting.attributes:
            waiting = _Shape(waiting.data + shape.data, shape.attributes)
            continue
        if waiting:
            yield f'<path d="{waiting.data}"{waiting.attributes}/>'
        waiting = shape
        if shape is None:
            yield _text(element, paint)
    if waiting:
        yield f'<path d="{waiting.data}"{waiting.attributes}/>'


def _drawn(root: ET.Element) -> Iterable[ET.Element]:
    """Every path that shows and every text, in drawing order; a text carries its group's id as ``face``."""
    for group in root.iter(_SVG + "g"):
        for child in group:
            if child.tag == _SVG + "text":
                child.set("face", group.get("id", ""))
                yield child
            elif child.tag == _SVG + "path" and "#0101" in child.get("style", ""):
                yield child


def _style(element: ET.Element) -> dict[str, str]:
    """The declarations of an element's style attribute."""
    pairs = (part.split(":", 1) for part in element.get("style", "").split(";") if ":" in part)
    return {name.strip(): value.strip() for name, value in pairs}


def _path(element: ET.Element, paint: Paint) -> _Shape:
    """A path in short form, its style turned into classes or presentation attributes."""
    style = _style(element)
    fill, stroke = _TOKEN.get(style.get("fill", "")), _TOKEN.get(style.get("stroke", ""))
    attributes = paint(fill or "none", stroke)
    if stroke:
        width = num(float(style.get("stroke-width", 1)), 2)
        attributes += f' stroke-width="{width}"' if width != "1" else ""  # which is what SVG takes for none given
        if style.get("stroke-linecap") == "round":
            attributes += ' stroke-linecap="round"'
        if dash := style.get("stroke-dasharray"):
            attributes += f' stroke-dasharray="{dash.replace(",", " ")}"'
    return _Shape(_short(element.get("d", "")), attributes)


def _short(data: str) -> str:
    """Path data of M, L and z in tenths of a px, with H and V where they are shorter.

    A line too short to show (a dot) keeps a hundredth, so that its round ends are drawn.
    """
    parts: list[str] = []
    last: Point = (0.0, 0.0)
    for letter, x, y in re.findall(r"([MLz])\s*(?:(-?[\d.e-]+)\s+(-?[\d.e-]+))?", data):
        if letter == "z":
            parts.append("z")
            continue
        here = (round(float(x), 1), round(float(y), 1))
        if letter == "L" and here == last:
            parts.append("h.01")
        elif letter == "L" and here[1] == last[1]:
            parts.append("H" + num(here[0]))
        elif letter == "L" and here[0] == last[0]:
            parts.append("V" + num(here[1]))
        else:
            parts.append(letter + nums(*here))
        last = here
    return "".join(parts)


def _text(element: ET.Element, paint: Paint) -> str:
    """A text in short form."""
    style = _style(element)
    face = element.get("face")
    return text(
        float(element.get("x", 0)),
        float(element.get("y", 0)),
        element.text or "",
        size=float(style.get("font-size", "13px").removesuffix("px")),
        paint=paint(_TOKEN[style["fill"]]),
        anchor=style.get("text-anchor", "start"),
        strong=face != "plain",
        extra=f'font-family="{DISPLAY_FAMILY}"' if face == "display" else "",
    )
