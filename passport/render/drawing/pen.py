"""What is drawn on a chart, through matplotlib, as short SVG.

Matplotlib draws each token of the palette in a stand-in colour, which the `Paint` then replaces, since a strict content
security policy forbids the ``style`` attributes that matplotlib's own SVG has. One figure serves all charts of a
process, and its artists draw onto a renderer that writes the SVG at once.
"""

import warnings
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import groupby
from typing import TYPE_CHECKING, Any, Literal

from passport.render.drawing.svg import DISPLAY_FAMILY, num, nums, text
from passport.render.theme.assets import fonts
from passport.render.theme.palette import TOKENS, Paint, Token

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

_STAND_IN: dict[Token, str] = {token: f"#0101{i:02x}" for i, token in enumerate(TOKENS)}
_SIDE: dict[Anchor, Literal["left", "center", "right"]] = {"start": "left", "middle": "center", "end": "right"}


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
    pen = _pen_type()(paint)
    with _own_settings():
        for artist in _artists(drawn):
            artist.set_figure(_figure())
            artist.draw(pen)
    return "".join(pen.parts)


def font_name(strong: bool, display: bool) -> str:
    """The file of a typeface."""
    return "besley-600.ttf" if display else "barlow-sc-600.ttf" if strong else "barlow-sc-400.ttf"


@cache
def font(strong: bool, display: bool) -> Any:
    """A shipped typeface as matplotlib knows it."""
    from matplotlib.font_manager import FontProperties

    return FontProperties(fname=str(fonts() / font_name(strong, display)), size=100)


@cache
def _figure() -> "Figure":
    """The figure that every chart of this process is drawn on; a point of it is a CSS pixel."""
    from matplotlib.figure import Figure

    return Figure(dpi=72)


@contextmanager
def _own_settings() -> Iterator[None]:
    """Matplotlib's own defaults: whatever the user's settings are, the same chart gives the same bytes."""
    import matplotlib

    # Compared as a plain dict: matplotlib's own comparison asks for every value, which makes it choose a backend.
    if dict.__eq__(matplotlib.rcParams, _defaults()):
        yield
        return
    with matplotlib.rc_context(), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        matplotlib.rcdefaults()
        yield


@cache
def _defaults() -> dict[str, Any]:
    import matplotlib

    with matplotlib.rc_context(), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        matplotlib.rcdefaults()
        settings: Any = matplotlib.rcParams
        return dict(dict.items(settings))


def _artists(drawn: Sequence[Drawn]) -> "Iterator[Artist]":
    """One artist for each run of shapes that look the same, and one for each text, each to be drawn before the next: those
    of a look are one, which is given what to draw."""
    for look, same in groupby(drawn, key=lambda thing: thing.look if isinstance(thing, Shape) else None):
        if look is None:
            yield from (_lettering(line) for line in same if isinstance(line, ChartText))
        else:
            yield _patch(look, [shape for shape in same if isinstance(shape, Shape)])


def _patch(look: Stroke, shapes: Iterable[Shape]) -> Any:
    """The artist of a look, with these shapes to draw."""
    from matplotlib.path import Path

    points: list[Point] = []
    codes: list[int] = []
    for shape in shapes:
        first, *others = shape.points
        points += [first, *(others[:-1] if shape.closed and others[-1:] == [first] else others)]
        codes += [int(Path.MOVETO), *[int(Path.LINETO)] * (len(points) - len(codes) - 1)]
        points += [first] if shape.closed else []
        codes += [int(Path.CLOSEPOLY)] if shape.closed else []
    artist = _patch_of(look)
    artist.set_path(Path(points, codes))
    return artist


@lru_cache(maxsize=128)
def _patch_of(look: Stroke) -> Any:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    return PathPatch(
        Path([(0, 0)]),
        facecolor=_STAND_IN[look.fill] if look.fill else "none",
        edgecolor=_STAND_IN[look.stroke] if look.stroke else "none",
        linewidth=look.width,
        # Matplotlib multiplies dashes by the thickness of their line.
        linestyle=(0, tuple(length / look.width for length in look.dash)) if look.dash else "solid",
        capstyle="round" if look.round_ends else "butt",
    )


def _lettering(line: ChartText) -> Any:
    """The artist of a kind of text, with this line to write."""
    artist = _label_of(line.fill, line.strong, line.display, line.size, line.anchor)
    artist.set_position((line.x, line.y))
    artist.set_text(line.content)
    return artist


@lru_cache(maxsize=128)
def _label_of(fill: Token, strong: bool, display: bool, size: float, anchor: Anchor) -> Any:
    return _label_type()(
        color=_STAND_IN[fill],
        fontproperties=font(strong, display),
        fontsize=size,
        horizontalalignment=_SIDE[anchor],
        verticalalignment="baseline",
        parse_math=False,
    )


@cache
def _label_type() -> Any:
    from matplotlib.text import Text

    class Label(Text):
        """A text that is written at its anchor: its size would move nothing, and is not asked for."""

        def draw(self, renderer: Any) -> None:
            if self.get_text():
                gc = renderer.new_gc()
                gc.set_foreground(self.get_color())
                renderer.draw_text(
                    gc, *self.get_position(), self.get_text(), self.get_fontproperties(), 0.0, mtext=self
                )

    return Label


@cache
def _pen_type() -> Any:
    from matplotlib.backend_bases import RendererBase

    class Pen(RendererBase):
        """Matplotlib's renderer of a chart: writes what an artist draws as short SVG."""

        def __init__(self, paint: Paint) -> None:
            super().__init__()
            self._paint = paint
            self.parts: list[str] = []

        def draw_path(self, gc: Any, path: Any, transform: Any, rgbFace: Any = None) -> None:
            data = _path_data(path, transform)
            self.parts.append(f'<path d="{data}"{_attributes(gc, rgbFace, self._paint)}/>')

        def draw_text(
            self, gc: Any, x: float, y: float, s: str, prop: Any, angle: float, ismath: Any = False, mtext: Any = None
        ) -> None:
            self.parts.append(_text(gc, s, mtext, self._paint))

    return Pen


def _token(colour: Sequence[float]) -> Token:
    """The token that a stand-in colour stands for."""
    return TOKENS[round(colour[2] * 255)]


def _attributes(gc: Any, face: Sequence[float] | None, paint: Paint) -> str:
    """How a path looks, as classes or presentation attributes."""
    width = gc.get_linewidth()
    stroke = _token(gc.get_rgb()) if width else None
    attributes = paint(_token(face) if face is not None else "none", stroke)
    if stroke:
        attributes += f' stroke-width="{num(width, 2)}"' if width != 1 else ""
        if gc.get_capstyle() == "round":
            attributes += ' stroke-linecap="round"'
        if lengths := gc.get_dashes()[1]:
            attributes += f' stroke-dasharray="{" ".join(num(length, 6) for length in lengths)}"'
    return attributes


def _path_data(path: Any, transform: Any) -> str:
    """Path data of M, L and z in tenths of a px, with H and V where they are shorter.

    A line too short to show (a dot) keeps a hundredth, so that its round ends are drawn.
    """
    parts: list[str] = []
    last: Point = (0.0, 0.0)
    for (x, y), code in zip(transform.transform(path.vertices).tolist(), path.codes.tolist(), strict=True):
        if code == path.CLOSEPOLY:
            parts.append("z")
            continue
        here = (round(x, 1), round(y, 1))
        if code == path.MOVETO:
            parts.append("M" + nums(*here))
        elif here == last:
            parts.append("h.01")
        elif here[1] == last[1]:
            parts.append("H" + num(here[0]))
        elif here[0] == last[0]:
            parts.append("V" + num(here[1]))
        else:
            parts.append("L" + nums(*here))
        last = here
    return "".join(parts)


def _text(gc: Any, content: str, artist: Any, paint: Paint) -> str:
    """A text in short form."""
    x, y = artist.get_unitless_position()
    face = artist.get_fontproperties()
    anchor = next(anchor for anchor, side in _SIDE.items() if side == artist.get_horizontalalignment())
    return text(
        x,
        y,
        content,
        size=artist.get_fontsize(),
        paint=paint(_token(gc.get_rgb())),
        anchor=anchor,
        strong=face.get_file() != font(False, False).get_file(),
        extra=f'font-family="{DISPLAY_FAMILY}"' if face.get_file() == font(True, True).get_file() else "",
    )
