"""The drawing surface: small output, tokens for colours, text measured with the shipped fonts."""

import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.render.charts.plot import Axis, Canvas, round_ticks, text_width
from passport.render.theme.palette import CSS_PAINT, LIGHT, PRINT_PAINT, Paint

TENTHS = st.integers(-500, 4000).map(lambda n: n / 10)


def drawn(canvas: Canvas, paint: Paint = CSS_PAINT) -> list[ET.Element]:
    """The elements of a finished chart, title and description left out."""
    return list(ET.fromstring(canvas.svg(key="k", title="t", desc="", paint=paint)))[1:]


def paths(canvas: Canvas) -> list[str | None]:
    """The path data of a finished chart."""
    return [e.get("d") for e in drawn(canvas)]


def test_line_and_area_keep_their_places() -> None:
    """Coordinates are px with y downwards, written with H and V where they serve."""
    canvas = Canvas(100, 50)
    canvas.line([(10, 20), (60, 20), (60, 40), (70, 45.25)], "rule", 2)
    canvas.rect(5, 5, 30, 10, "band")
    assert paths(canvas) == ["M10 20H60V40L70 45.2", "M5 5H35V15H5z"]


def test_colours_become_classes_or_colours() -> None:
    """In a page a shape carries classes, in print the palette's colours; never a style."""
    canvas = Canvas(100, 50)
    canvas.area([(0, 0), (9, 0), (9, 9)], "ball", "on_ball", 1.5)
    (shape,) = drawn(canvas)
    assert (shape.get("class"), shape.get("stroke-width"), shape.get("style")) == ("f-ball s-on-ball", "1.5", None)
    (shape,) = drawn(canvas, PRINT_PAINT)
    assert (shape.get("fill"), shape.get("stroke")) == (LIGHT.ball, LIGHT.on_ball)


def test_dot_is_a_short_round_line() -> None:
    """A disc takes one short path whose round ends are twice the radius across."""
    canvas = Canvas(100, 50)
    canvas.dot(30, 20, 4, "petrol")
    (dot,) = drawn(canvas)
    assert (dot.get("d"), dot.get("stroke-width"), dot.get("stroke-linecap")) == ("M30 20h.01", "8", "round")


def test_like_neighbours_are_joined_and_order_is_kept() -> None:
    """Neighbours of one look share a path; what is drawn later comes later."""
    canvas = Canvas(100, 50)
    canvas.line([(0, 1), (9, 1)], "rule")
    canvas.line([(0, 2), (9, 2)], "rule")
    canvas.text(5, 5, "between")
    canvas.line([(0, 3), (9, 3)], "rule")
    assert [e.get("d") or e.text for e in drawn(canvas)] == ["M0 1H9M0 2H9", "between", "M0 3H9"]


def test_dashes_keep_their_length() -> None:
    """Dash lengths are px whatever the line's thickness."""
    canvas = Canvas(100, 50)
    canvas.line([(0, 1), (9, 1)], "plum", 3, dash=(5, 2))
    dash = drawn(canvas)[0].get("stroke-dasharray", "")
    assert [float(v) for v in dash.split()] == [5, 2]


def test_text_keeps_place_size_and_face() -> None:
    """Text stays text, with its anchor, size and face, and only the display face is named."""
    canvas = Canvas(100, 50)
    canvas.text(90, 12, "131.4 g", size=18, display=True, anchor="end")
    canvas.text(50, 30, "inside", fill="good", strong=True, anchor="middle")
    canvas.text(0, 40, "soft")
    big, strong, normal = drawn(canvas)
    assert (big.get("x"), big.get("y"), big.get("font-size")) == ("90", "12", "18")
    assert (big.get("text-anchor"), big.get("font-family")) == ("end", "House Display")
    assert (strong.get("class"), strong.get("font-weight"), strong.get("font-family")) == ("f-good", "600", None)
    assert normal.get("font-weight") is None


@pytest.mark.parametrize("content", ["<b>&\"'", "$x^2$ _{}", "日本 🏸", "line\nbreak\x00"])
def test_hostile_text_is_shown(content: str) -> None:
    """Markup, formula signs, missing glyphs and control characters end as plain text without a warning."""
    canvas = Canvas(100, 50)
    canvas.text(0, 10, content)
    (shown,) = drawn(canvas)
    assert shown.text == re.sub("[\n\0]", " ", content)
    assert text_width(content, 10) > 0


def test_same_input_gives_same_bytes() -> None:
    """Two charts of the same content and key are equal byte for byte."""

    def make() -> str:
        canvas = Canvas(100, 50)
        canvas.dot(1, 1, 2, "ink")
        canvas.text(5, 5, "x")
        return canvas.svg(key="k", title="t", desc="d", paint=CSS_PAINT)

    assert make() == make()


@settings(max_examples=200)
@given(TENTHS, st.integers(5, 9000), st.sampled_from([2, 3, 4, 5]), st.sampled_from([(1, 2, 5, 10), (1, 5, 10)]))
def test_ticks_are_those_of_matplotlib(low: float, span: int, most: int, steps: tuple[int, ...]) -> None:
    """Round numbers stand where matplotlib's own locator, which is no part of pages, puts them."""
    from matplotlib.ticker import MaxNLocator

    high = round(low + span / 10, 1)
    theirs = MaxNLocator(most, steps=list(steps), min_n_ticks=2).tick_values(low, high)
    assert round_ticks(low, high, most, steps=steps) == pytest.approx([float(v) for v in theirs], abs=1e-6)
    if span >= 20:
        theirs = MaxNLocator(most, steps=list(steps), min_n_ticks=2, integer=True).tick_values(low, high)
        assert round_ticks(low, high, most, steps=steps, whole=True) == pytest.approx([float(v) for v in theirs])


def test_a_scale_is_linear() -> None:
    """The ends of the values fall on the ends of the axis, the middle on its middle, whichever way it runs."""
    up = Axis(20.0, 30.0, 118.0, 34.0)
    assert (up(20), up(25), up(30)) == (118, 76, 34)
