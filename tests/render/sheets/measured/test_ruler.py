"""The ruler on a bench sheet: both ends of every piece, in figures where they are."""

import re
from itertools import pairwise

import pytest
from sheetdrawings import CAP, EVERYTHING, INSIDE, SVG, THREE, TIP, TWO, drawn, texts, words


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


def test_hundreds_stand_where_there_is_room():
    """Round hundreds and the racquet's length are on the ruler, but for those that the ends of pieces would touch."""
    plain = words(drawn())
    assert {"0", "100", "200", "300", "400", "500", "600", "685"} <= set(plain)
    crowded = [e.text for e in texts(drawn(THREE, TWO)) if e.get("font-weight") != "600"]
    assert "100" in crowded and "600" not in crowded


def test_ends_that_are_close_keep_apart():
    """Figures of ends that lie together are moved apart, and none beyond the butt."""
    root = drawn(CAP, INSIDE, TIP, width=84.0)
    places = [
        float(e.get("x", 0)) for e in texts(root) if e.get("font-weight") == "600" and e.text in ("0", "10", "60")
    ]
    assert places == sorted(places)
    assert places[0] >= 0.0 and all(b - a > 20 for a, b in pairwise(places))
