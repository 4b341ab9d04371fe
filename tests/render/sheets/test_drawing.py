"""The racquet on a bench sheet: every piece where it is, its number and its words readable."""

import re
import xml.etree.ElementTree as ET

import pytest
from sheetdrawings import (
    CAP,
    EVERYTHING,
    INSIDE,
    SHAFT,
    SVG,
    TENNIS,
    THREE,
    THROAT,
    TIP,
    TOP,
    TWO,
    drawing,
    drawn,
    extent,
    texts,
    view,
    words,
)

from passport.render.sheets.drawing import SIZE_PT, Drawing, aspect, sheet_drawing


def test_a_pair_has_its_number_on_both_sides_with_its_hours():
    """A strip with a twin is numbered twice, 2 o'clock on the right of the racquet seen from the front, 10 on the left."""
    root = drawn(TWO, INSIDE)
    assert words(root).count("1") == 2 and words(root).count("2") == 1
    (right,) = [e for e in texts(root) if e.text == "2 o’clock, 70 mm"]
    (left,) = [e for e in texts(root) if e.text == "10 o’clock, 70 mm"]
    # lying with the tip to the right, the right hand side of a racquet seen from the front is below
    assert float(right.get("y", 0)) > 0 > float(left.get("y", 0))


def test_numbers_run_from_tip_to_butt():
    """The piece nearest to the tip is 1."""
    root = drawn(*EVERYTHING)
    places = {}
    for e in texts(root):
        if e.text in "1234567" and e.get("text-anchor") == "middle" and e.get("font-weight") == "600":
            places.setdefault(e.text, float(e.get("x", 0)))
    assert len(places) == 7
    assert [places[str(n)] for n in range(1, 8)] == sorted(places.values(), reverse=True)


@pytest.mark.parametrize("width", [132.0, 108.0, 84.0])
@pytest.mark.parametrize("shape", [TENNIS, SHAFT])
@pytest.mark.parametrize("pieces", [(TWO, INSIDE), (TIP, INSIDE, CAP), (THREE, THROAT, TOP, INSIDE), EVERYTHING, ()])
def test_words_stay_in_the_picture(pieces, shape, width):
    """No text leaves the picture, however small it is drawn."""
    root = drawn(*pieces, shape=shape, width=width)
    left, top, right, bottom = view(root)
    for e in texts(root):
        x0, y0, x1, y1 = extent(e)
        assert left <= x0 and x1 <= right and top <= y0 and y1 <= bottom, e.text


@pytest.mark.parametrize("width", [132.0, 108.0])
@pytest.mark.parametrize("shape", [TENNIS, SHAFT])
@pytest.mark.parametrize(
    "pieces", [(TWO, INSIDE), (TIP, INSIDE, CAP), (THREE, THROAT, TOP, INSIDE), (TIP, TWO, THREE, CAP)]
)
def test_words_do_not_lie_on_each_other(pieces, shape, width):
    """No two texts overlap."""
    boxes = [(extent(e), e.text) for e in texts(drawn(*pieces, shape=shape, width=width))]
    for i, ((x0, y0, x1, y1), one) in enumerate(boxes):
        for (u0, v0, u1, v1), other in boxes[i + 1 :]:
            assert x1 <= u0 or u1 <= x0 or y1 <= v0 or v1 <= y0, (one, other)


@pytest.mark.parametrize("width", [132.0, 108.0, 84.0])
def test_words_are_7_pt_at_any_scale(width):
    """Printed at its width, no word is smaller than 7 pt."""
    root = drawn(*EVERYTHING, width=width)
    left, _, right, _ = view(root)
    unit = (right - left) / width
    sizes = [float(e.get("font-size", 0)) / unit / (25.4 / 72) for e in texts(root)]
    assert min(sizes) >= 7.0
    assert min(sizes) == pytest.approx(SIZE_PT, abs=0.05)


@pytest.mark.parametrize("pieces", [(TWO, INSIDE), (TIP,), ()])
def test_the_height_is_known_before_it_is_drawn(pieces):
    """The height that is counted with is the one that is drawn."""
    root = drawn(*pieces, width=120.0)
    left, top, right, bottom = view(root)
    assert aspect(drawing(*pieces), 120.0) == pytest.approx(120.0 * (bottom - top) / (right - left), rel=1e-3)


def test_balance_and_axis_are_marked_at_their_places():
    """The wanted balance is a triangle and the swing axis a broken line, each where it is."""
    root = drawn(INSIDE)
    paths = [e.get("d", "") for e in root.iter(SVG + "path")]
    assert any(re.match(r"M313 [\d.]+L", d) for d in paths)
    assert any(re.match(r"M100-[\d.]+V", d) for d in paths)
    assert {"balance 313 mm", "swing axis 100 mm", "mm from the butt"} <= set(words(root))


def test_without_a_wanted_balance_there_is_no_triangle():
    """A drawing of a frame whose balance nobody asked for has no fulcrum."""
    plain = Drawing(TENNIS, (INSIDE,), axis_text="swing axis 100 mm")
    root = ET.fromstring(sheet_drawing(plain, 120.0, key="k", title="t", desc=""))
    assert not any("balance" in word for word in words(root))
