"""Charts as short SVG: the corners are those that matplotlib, which had no part in it, writes of the same shape."""

import io
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.render.drawing.pen import ChartText, Shape, Stroke, inked
from passport.render.theme.palette import CSS_PAINT, PRINT_PAINT, TOKENS

HEIGHT = 200.0
PLACES = st.integers(10, 1900).map(lambda tenths: tenths / 10)
POINTS = st.lists(st.tuples(PLACES, PLACES), min_size=2, max_size=12).map(tuple)


def by_matplotlib(shape: Shape) -> list[tuple[float, float]]:
    """The corners of a shape in the SVG that matplotlib's own backend writes, y downwards as in SVG."""
    import matplotlib
    from matplotlib.figure import Figure
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path
    from matplotlib.transforms import Affine2D

    figure = Figure(figsize=(200 / 72, HEIGHT / 72), dpi=72)
    corners = [*shape.points, shape.points[0]] if shape.closed else list(shape.points)
    artist = PathPatch(Path(corners, closed=shape.closed), fill=shape.closed, linewidth=shape.look.width)
    artist.set_transform(Affine2D().scale(1, -1).translate(0, HEIGHT))
    figure.add_artist(artist)
    out = io.StringIO()
    with matplotlib.rc_context({"path.simplify": False}):
        figure.savefig(out, format="svg", transparent=True)
    paths = [e.get("d", "") for e in ET.fromstring(out.getvalue()).iter("{http://www.w3.org/2000/svg}path")]
    data = next(d for d in paths if d.count("L") and not d.startswith("M 0 200"))
    return [(float(x), float(y)) for x, y in re.findall(r"[ML] ([\d.]+) ([\d.]+)", data)]


def corners(svg: str) -> list[tuple[float, float]]:
    """The corners of short path data."""
    found: list[tuple[float, float]] = []
    data = re.search(r" d=\"([^\"]*)\"", svg)
    assert data
    for letter, numbers in re.findall(r"([MLHVh])([-\d. ]+)", data[1]):
        values = [float(v) for v in numbers.split()]
        last = found[-1] if found else (0.0, 0.0)
        found.append(
            {"H": (values[0], last[1]), "V": (last[0], values[0]), "h": last}.get(letter) or (values[0], values[-1])
        )
    return found


@settings(max_examples=15)
@given(POINTS, st.booleans())
def test_same_corners_as_matplotlib_writes(points, closed):
    """A shape keeps the corners that it has in matplotlib's own SVG, to a tenth of a px."""
    if closed and points[-1] == points[0]:
        points = points[:-1]
    shape = Shape(Stroke("band" if closed else None, "ink", 2), points, closed)
    ours, theirs = (np.array(c) for c in (corners(inked([shape], CSS_PAINT)), by_matplotlib(shape)))
    assert ours == pytest.approx(theirs, abs=0.051)


def test_neighbours_that_look_the_same_are_one_path():
    """Shapes of one look that follow each other are one path; another look or a text between them parts them."""
    one, other = Stroke(None, "rule", 1), Stroke(None, "rule", 2)
    lines = [Shape(look, ((0, n), (9, n))) for n, look in enumerate((one, one, other, one))]
    word = ChartText(1, 1, "a", 13, "ink", "start", False, False)
    assert re.findall(r"<(path|text)", inked([*lines, word, lines[0]], CSS_PAINT)) == ["path"] * 3 + ["text", "path"]


def test_a_polygon_that_was_closed_by_hand():
    """A polygon whose last corner repeats the first has that corner once."""
    look = Stroke("band", None, 0)
    square = ((1.0, 1.0), (5.0, 1.0), (5.0, 5.0))
    assert inked([Shape(look, (*square, square[0]), True)], CSS_PAINT) == inked([Shape(look, square, True)], CSS_PAINT)


def test_every_token_comes_back():
    """Each colour of the palette is written as itself, for fills, strokes and texts."""
    for token in TOKENS:
        fill, stroke = (
            Shape(Stroke(token, None, 0), ((0, 0), (1, 0), (1, 1)), True),
            Shape(Stroke(None, token, 1), ((0, 0), (1, 1))),
        )
        word = ChartText(1, 1, "a", 13, token, "middle", True, False)
        for drawn, want in (
            (fill, PRINT_PAINT(token)),
            (stroke, PRINT_PAINT("none", token)),
            (word, PRINT_PAINT(token)),
        ):
            assert want in inked([drawn], PRINT_PAINT), token
