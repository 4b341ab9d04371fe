"""The racquet on a bench sheet: every piece where it is, its ends in figures, its number and its words readable."""

import re
import xml.etree.ElementTree as ET

import pytest

from passport.physics.geometry import RacquetShape
from passport.render.fitted import Piece
from passport.render.sheet_drawing import SIZE_PT, Drawing, aspect, sheet_drawing

TENNIS = RacquetShape(
    length=685, head_length=334, head_width=246, rim=11.5, handle=180, handle_width=32, throat="open", mains=18, crosses=20
)  # fmt: skip
SHAFT = RacquetShape(
    length=675, head_length=244, head_width=188, rim=9, handle=175, handle_width=24, throat="shaft", mains=22, crosses=21
)  # fmt: skip
TWO = Piece("tape", 540.7, 607.0, 2.0, 70.0, 2.8, "{hour} o’clock, 70 mm")
THREE = Piece("tape", 459.3, 553.7, 3.0, 95.0, 3.8, "{hour} o’clock, 95 mm")
TIP = Piece("tape", 673.0, 679.2, 0.0, 70.0, 1.4, "{hour} o’clock, 70 mm")
THROAT = Piece("tape", 270.0, 330.0, None, 60.0, 1.2, "2 × 60 mm")
TOP = Piece("tape", 140.0, 180.0, None, 40.0, 0.8, "40 mm")
INSIDE = Piece("silicone", 10.0, 60.0, None, 0.0, 5.5, "5.5 g")
CAP = Piece("silicone", 0.0, 10.0, None, 0.0, 4.0, "4.0 g")
EVERYTHING = (TWO, THREE, TIP, THROAT, TOP, INSIDE, CAP)
SVG = "{http://www.w3.org/2000/svg}"


def drawing(*pieces: Piece, shape: RacquetShape = TENNIS) -> Drawing:
    """A drawing of pieces with its marks."""
    return Drawing(shape, pieces, 313.0, "balance 313 mm", 100.0, "swing axis 100 mm", "mm from the butt")


def drawn(*pieces: Piece, shape: RacquetShape = TENNIS, width: float = 132.0) -> ET.Element:
    """The drawing as XML."""
    return ET.fromstring(sheet_drawing(drawing(*pieces, shape=shape), width, key="k", title="Racquet", desc="Pieces"))


def texts(root: ET.Element) -> list[ET.Element]:
    """All texts."""
    return list(root.iter(SVG + "text"))


def words(root: ET.Element) -> list[str]:
    """What all texts say."""
    return [e.text or "" for e in texts(root)]


def view(root: ET.Element) -> tuple[float, float, float, float]:
    """The picture's view: left, top, right, bottom."""
    x, y, w, h = map(float, re.findall(r"-?[\d.]+", root.get("viewBox", "")))
    return x, y, x + w, y + h


@pytest.mark.parametrize("piece", EVERYTHING)
def test_the_ends_of_a_piece_stand_in_figures_under_the_ruler(piece):
    """Both ends of a piece are given in whole mm from the butt, each at its own place along the racquet."""
    root = drawn(piece)
    for end in {round(piece.from_mm), round(piece.to_mm)}:
        (label,) = [e for e in texts(root) if e.text == str(end) and e.get("font-weight") == "600"]
        assert float(label.get("x", 0)) == pytest.approx(end, abs=26)


def test_figures_with_room_stand_exactly_under_their_ends():
    """Ends that are not crowded have their figures straight below them."""
    root = drawn(THREE, INSIDE)
    for end in (10, 60, 459, 554):
        (label,) = [e for e in texts(root) if e.text == str(end) and e.get("font-weight") == "600"]
        assert float(label.get("x", 0)) == pytest.approx(end, abs=0.6)


def test_a_bar_on_the_ruler_is_as_long_as_its_piece():
    """Each piece is a thick bar on the ruler from its one end to the other."""
    root = drawn(TWO, INSIDE)
    bars = {re.sub(r"^M(\S+) .*H(\S+)$", r"\1 \2", e.get("d", "")) for e in root.iter(SVG + "path")}
    assert {"540.7 607", "10 60"} <= bars


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


def extent(e: ET.Element) -> tuple[float, float, float, float]:
    """About where a text lies: left, top, right, bottom; letters are half as wide as high (from memory)."""
    size, x, y = float(e.get("font-size", 0)), float(e.get("x", 0)), float(e.get("y", 0))
    wide = 0.42 * size * len(e.text or "")
    left = {"middle": x - wide / 2, "end": x - wide}.get(e.get("text-anchor", ""), x)
    return left, y - 0.7 * size, left + wide, y


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
