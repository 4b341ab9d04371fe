"""WeasyPrint's busiest functions, done faster with the same result, byte for byte.

A card is some seven hundred points of outlines and sixty lines of text in places of their own, most of which stood on
the card before it too. WeasyPrint reads them by the rules for whatever anybody may call HTML, parses the points one by
one with regular expressions, and works out some two hundred properties of each line by rules for the few that are
anything but their initial or inherited value. These are the short ways; `quickstyle` and `quicktext` hold those that
remember what cards have in common. They hold for the release they were read and tested against; with any other,
WeasyPrint is left as it is, and only slower.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from copy import copy
from functools import lru_cache, partial
from types import SimpleNamespace
from typing import Any
from xml.etree.ElementTree import ParseError, fromstring

from passport.render.fast_pdf import quickstyle, quicktext

RELEASES = ("70.0",)
"""The releases of WeasyPrint that the short ways are known to hold for."""

_COMMAND = re.compile("([MmLlHhVvCcSsZz])([^MmLlHhVvCcSsZz]*)")
_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
_PLAIN = re.compile(r"[MmLlHhVvCcSsZz0-9.,+\-\s]*")
_MARKERS = frozenset({"marker", "marker-start", "marker-mid", "marker-end"})
_BESIDE = ("position", "float", "display", "page")
"""Properties whose initial value is not the whole story."""
_NAMES = frozenset({"title", "meta", "link", "style"})
_undo: list[Callable[[], None]] = []


def install() -> bool:
    """Take the short ways from now on, in this process; whether they are known to hold."""
    import weasyprint

    if weasyprint.__version__ not in RELEASES:
        return False
    if not _undo:
        _replace_parser()
        _replace_queries()
        _replace_paths()
        _replace_svg_values()
        _replace_properties()
        _replace_percentages()
        _replace_style_attributes()
        _replace_backgrounds()
        _undo.append(quickstyle.install(_TRUSTED.get))
        _undo.append(quicktext.install(quickstyle.Memory(_TRUSTED.get)))
    return True


def remove() -> None:
    """Leave WeasyPrint as it is from now on."""
    while _undo:
        _undo.pop()()


_TRUSTED = ContextVar("trusted", default=False)


@contextmanager
def trusted() -> Iterator[None]:
    """Inside the block documents come from the shipped templates: what is well-formed XML there is the same as HTML,
    tables with their ``<tbody>`` and all, as tests hold them to."""
    token = _TRUSTED.set(True)
    try:
        yield
    finally:
        _TRUSTED.reset(token)


def _replace_parser() -> None:
    """Trusted documents that are well-formed are read by the parser for XML, which is written in C."""
    import weasyprint

    usual = weasyprint.tinyhtml5

    class Parser:
        """Stands in for the module."""

        @staticmethod
        def parse(document: Any, **options: Any) -> Any:
            text = document.read()
            if _TRUSTED.get() and isinstance(text, str):
                with suppress(ParseError):
                    return fromstring(text)
            return usual.parse(text, **options)

    weasyprint.tinyhtml5 = Parser
    _undo.append(lambda: setattr(weasyprint, "tinyhtml5", usual))


def _replace_queries() -> None:
    """Elements of some names in a trusted document are found by their names, without a look at what surrounds each."""
    from weasyprint import cssselect2

    wrapper_type = cssselect2.ElementWrapper
    usual = wrapper_type.query_all

    def query_all(wrapper: Any, *names: Any) -> Any:
        root = wrapper.etree_element
        if not _TRUSTED.get() or root.tag != "html" or not _NAMES.issuperset(names):
            return usual(wrapper, *names)
        return (SimpleNamespace(etree_element=element) for element in root.iter() if element.tag in names)

    wrapper_type.query_all = query_all
    _undo.append(lambda: setattr(wrapper_type, "query_all", usual))


def _replace_paths() -> None:
    from weasyprint import svg

    usual = svg.TAGS["path"]

    def path(picture: Any, node: Any, font_size: Any) -> None:
        data = node.get("d", "")
        if not _PLAIN.fullmatch(data) or _MARKERS & node.attrib.keys():
            usual(picture, node, font_size)
        else:
            picture.stream.stream.append(operators(data))

    svg.TAGS["path"] = path
    _undo.append(lambda: svg.TAGS.__setitem__("path", usual))


def _replace_svg_values() -> None:
    """Numbers, colours and transformations that stand in pictures are read once: the same text is the same value."""
    from weasyprint import svg

    for name in ("size", "normalize", "transform", "alpha_value", "parse_url"):
        usual = getattr(svg, name)
        setattr(svg, name, lru_cache(maxsize=4096)(usual))
        _undo.append(partial(setattr, svg, name, usual))
    usual_color = svg.color
    read_once = lru_cache(maxsize=1024)(usual_color)
    svg.color = lambda text: copy(read_once(text))  # its opacity is set afterwards
    _undo.append(partial(setattr, svg, "color", usual_color))


@lru_cache(maxsize=1024)
def operators(data: str) -> bytes:
    """The PDF operators of an SVG path without arcs and quadratic curves (ISO 32000-1, 8.5.2), a line each, as WeasyPrint
    writes them.

    Frames of one model share their outlines, so they are remembered.
    """
    pen = _OperatorPen()
    for letter, text in _COMMAND.findall(data):
        values = [float(value) for value in _NUMBER.findall(text)]
        kind, relative = letter.upper(), letter.islower()
        if kind == "Z":
            pen.close()
        elif kind in "HV":
            pen.straight(kind, values, relative)
        elif kind in "ML":
            pen.to(kind, values, relative)
        else:
            pen.curve(kind, values, relative)
        pen.last = "L" if kind == "M" and len(values) > 3 else kind
    return b"\n".join(pen.out)


class _OperatorPen:
    """A pen that writes PDF operators: where it is, where its line began, and the last control point of a curve."""

    def __init__(self) -> None:
        self.out = [b"0 0 m"]
        self.x = self.y = 0.0
        self.start = self.control = (0.0, 0.0)
        self.last = ""

    def close(self) -> None:
        """Back to where the line began, where one was drawn."""
        if self.last not in ("", "M", "Z"):
            self.out.append(b"h")
            self.x, self.y = self.start

    def straight(self, kind: str, values: list[float], relative: bool) -> None:
        """Lines along an axis."""
        self._begin()
        for value in values:
            if kind == "H":
                self.x = value + self.x if relative else value
            else:
                self.y = value + self.y if relative else value
            self.out.append(f"{_number(self.x)} {_number(self.y)} l".encode())

    def to(self, kind: str, values: list[float], relative: bool) -> None:
        """A move, lines; what follows a move are lines."""
        letter = "m" if kind == "M" else "l"
        if kind == "L":
            self._begin()
        for n, (dx, dy) in enumerate(zip(values[::2], values[1::2], strict=False)):
            if kind == "M" and n == 1:
                self.start = (self.x, self.y)
            self.x, self.y = (dx + self.x, dy + self.y) if relative else (dx, dy)
            self.out.append(f"{_number(self.x)} {_number(self.y)} {letter}".encode())
            letter = "l"

    def curve(self, kind: str, values: list[float], relative: bool) -> None:
        """Cubic curves; a smooth one begins as the one before ended."""
        self._begin()
        size = 6 if kind == "C" else 4
        for i in range(0, len(values) - size + 1, size):
            points = values[i : i + size]
            x, y = self.x, self.y
            if relative:
                points = [value + (y if n % 2 else x) for n, value in enumerate(points)]
            if kind == "S":
                smooth = self.last in ("C", "S") or i
                points = [*((x + (x - self.control[0]), y + (y - self.control[1])) if smooth else (x, y)), *points]
            self.out.append(f"{' '.join(map(_number, points))} c".encode())
            self.control, (self.x, self.y) = (points[2], points[3]), points[4:]

    def _begin(self) -> None:
        """A line begins where the pen is, after a move or a line that was closed."""
        if self.last in ("", "M", "Z"):
            self.start = (self.x, self.y)


def _number(value: float) -> str:
    """A number as WeasyPrint's PDF writer has it."""
    return str(int(value)) if value.is_integer() else f"{value:f}".rstrip("0")


def _replace_properties() -> None:
    """Most properties of most styles have their initial value, or that of the style above: these come all at once."""
    from weasyprint.css import AnonymousStyle, ComputedStyle
    from weasyprint.css.computed_values import PHYSICAL_FUNCTIONS
    from weasyprint.css.functions import check_math
    from weasyprint.css.properties import INHERITED, INITIAL_NOT_COMPUTED, INITIAL_VALUES

    logical = {name: {f(block="ttb", inline=way) for way in ("ltr", "rtl")} for name, f in PHYSICAL_FUNCTIONS.items()}
    every_logical = frozenset[str]().union(*logical.values())
    simple = {name for name in INITIAL_VALUES if name not in _BESIDE and not name.startswith("text_decoration_")}
    initial = {
        name: INITIAL_VALUES[name]
        for name in simple - INHERITED - INITIAL_NOT_COMPUTED
        if not check_math(INITIAL_VALUES[name])
    }
    inherited = (simple & INHERITED) - PHYSICAL_FUNCTIONS.keys()
    usual, usual_anonymous = ComputedStyle.__missing__, AnonymousStyle.__missing__

    def missing(style: Any, key: str) -> Any:
        cascaded = style.cascaded
        if key in cascaded:
            return usual(style, key)
        if key in initial:
            if key == "anchor":  # all that is ever asked of most pseudo-elements
                value = style[key] = initial[key]
                return value
            if every_logical.isdisjoint(cascaded):
                _fill(style, initial, cascaded)
                return style[key]
            if logical.get(key, cascaded.keys()).isdisjoint(cascaded):
                style[key] = initial[key]
                return style[key]
        elif key in inherited and style.parent_style is not None:
            value = style.parent_style[key]
            if not check_math(value):
                style[key] = value
                return value
        return usual(style, key)

    def missing_anonymous(style: Any, key: str) -> Any:
        if key in initial:
            _fill(style, initial, ())
            return style[key]
        return usual_anonymous(style, key)

    ComputedStyle.__missing__, AnonymousStyle.__missing__ = missing, missing_anonymous
    _undo.append(lambda: setattr(ComputedStyle, "__missing__", usual))
    _undo.append(lambda: setattr(AnonymousStyle, "__missing__", usual_anonymous))


def _fill(style: Any, initial: dict[str, Any], but: Iterable[str]) -> None:
    """Give a style its initial values; what it has already stays, and what has a rule of its own is left out."""
    own = dict(style)
    style.update(initial)
    for name in but:
        if name in initial and name not in own:
            del style[name]
    style.update(own)


def _replace_style_attributes() -> None:
    """Lines stand in the same places on every card, so a style attribute is read once for all elements that have it."""
    import tinycss2
    from weasyprint import css

    usual = css.preprocess_declarations

    @lru_cache(maxsize=8192)
    def expanded(base_url: str, declarations: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(usual(base_url, declarations))

    def preprocess(base_url: str, declarations: Any, prelude: Any = None) -> Any:
        if prelude is None and type(declarations) is tuple:
            return expanded(base_url, declarations)
        return usual(base_url, declarations, prelude)

    class StyleReader:
        """Stands in for the module where style attributes are read."""

        parse_one_declaration = staticmethod(lru_cache(maxsize=8192)(tinycss2.parse_one_declaration))

        def __getattr__(self, name: str) -> Any:
            return getattr(tinycss2, name)

        @staticmethod
        @lru_cache(maxsize=8192)
        def attribute(text: str) -> tuple[Any, ...]:
            return tuple(tinycss2.parse_blocks_contents(text))

        def parse_blocks_contents(self, content: Any, *more: Any, **named: Any) -> Any:
            if isinstance(content, str) and not more and not named:
                return self.attribute(content)
            return tinycss2.parse_blocks_contents(content, *more, **named)

    css.preprocess_declarations, css.tinycss2 = preprocess, StyleReader()
    _undo.append(lambda: setattr(css, "preprocess_declarations", usual))
    _undo.append(lambda: setattr(css, "tinycss2", tinycss2))


def _replace_backgrounds() -> None:
    """Most boxes have square corners and nothing behind them, which their style tells once for all."""
    from weasyprint.layout import background

    usual = background.layout_box_backgrounds

    def layout_backgrounds(
        page: Any, box: Any, get_image: Any, layout_children: bool = True, style: Any = None
    ) -> None:
        bare = box is not page and layout_children and style is None
        if bare and "_quick_bare" not in box.style.__dict__:
            box.style.__dict__["_quick_bare"] = _is_bare(box.style)
        if not bare or not box.style.__dict__["_quick_bare"]:
            usual(page, box, get_image, layout_children, style)
            return
        for name, value in _SQUARE:
            setattr(box, name, value)
        for child in box.all_children():
            layout_backgrounds(page, child, get_image)

    background.layout_box_backgrounds = layout_backgrounds
    _undo.append(lambda: setattr(background, "layout_box_backgrounds", usual))


_CORNERS = [f"border_{corner}_radius" for corner in ("top_left", "top_right", "bottom_right", "bottom_left")]
_SQUARE = (*((corner, (0, 0)) for corner in _CORNERS), ("background", None))


def _is_bare(style: Any) -> bool:
    """Whether a style has square corners, and no colour, picture, shadow or frame of pictures behind its boxes."""
    from weasyprint.draw.color import get_color

    pictures = [kind for kind, _ in style["background_image"]]
    return (
        style["visibility"] == "visible"
        and set(pictures) <= {"none"}
        and not style["box_shadow"]
        and style["border_image_source"][0] == style["mask_border_source"][0] == "none"
        and all((0, "px") in style[corner] for corner in _CORNERS)
        and get_color(style, "background_color").alpha == 0
    )


_SIZES = (
    "margin_left", "margin_right", "margin_top", "margin_bottom", "padding_left", "padding_right", "padding_top",
    "padding_bottom", "width", "min_width", "max_width", "height", "min_height", "max_height",
)  # fmt: skip


def _replace_percentages() -> None:
    """Sizes without percentages do not depend on what is round them, so a style tells them once."""
    from weasyprint.layout import absolute, block, column, flex, float, grid, inline, page, percent, table

    usual = percent.resolve_percentages

    def resolve(box: Any, containing_block: Any) -> None:
        style = box.style
        values = [style[name] for name in _SIZES]
        known, sizes = style.__dict__.get("_quick_sizes", (None, None))
        if known != values:
            sizes = _used(values) if style["box_sizing"] == "content-box" else None
            style.__dict__["_quick_sizes"] = values, sizes
        if sizes is None:
            usual(box, containing_block)
            return
        box.__dict__.update(sizes)
        collapsed = style["border_collapse"] == "collapse"
        for side in ("top", "right", "bottom", "left"):
            name = f"border_{side}_width"
            if not (collapsed and hasattr(box, name)):
                setattr(box, name, style[name])

    for module in (absolute, block, column, flex, float, grid, inline, page, percent, table):
        if getattr(module, "resolve_percentages", None) is usual:
            setattr(module, "resolve_percentages", resolve)  # noqa: B010  # a module is given, not known
            _undo.append(partial(setattr, module, "resolve_percentages", usual))


def _used(values: list[Any]) -> dict[str, Any] | None:
    """The used values of a style's sizes; None where one depends on what is round the box."""
    sizes = {}
    for name, value in zip(_SIZES, values, strict=True):
        if value == "auto":
            sizes[name] = 0 if name in ("min_width", "min_height") else value
        elif getattr(value, "unit", "%") == "%":
            return None
        else:
            sizes[name] = value.value
    return sizes
