"""Lines for a print shop's tools."""

import re

import pytest

from passport.render.print.page_box import CutBox, Tools
from passport.render.standards.tooling import CORNERS, DIE, HOLE, MARKS, drawn, used


def points(ops: bytes, ink: str) -> list[tuple[float, float]]:
    """Where lines of an ink begin."""
    (part,) = [p for p in ops.decode().split(" CS ")[1:] if ops.decode().split(p)[0].endswith(f"/{ink} CS ")]
    return [(float(x), float(y)) for x, y in re.findall(r"(\S+) (\S+) m\b", part)]


def test_only_what_a_piece_needs_is_used() -> None:
    """A plain piece has a die alone; hole, corners and marks come where they are asked for."""
    assert used(Tools((CutBox(1, 2, 30, 30),))) == {DIE}
    assert used(Tools((CutBox(1, 2, 30, 30, hole=(5, 6, 4), corner=3),), ((0, 0, 4, 0),))) == {
        DIE,
        HOLE,
        CORNERS,
        MARKS,
    }
    assert used(Tools()) == set()


@pytest.mark.parametrize(("turn", "centre"), [(0, (15, 28)), (90, (10 + 20 - 8, 20 + 5)), (-90, (10 + 8, 20 + 60 - 5))])
def test_a_hole_turns_with_its_piece(turn, centre) -> None:
    """A hole 5 mm across and 8 mm down is where a quarter's turn of the piece brings it, worked out by hand."""
    size = (60, 20) if turn == 0 else (20, 60)
    ops = drawn(Tools((CutBox(10, 20, *size, turn, hole=(5, 8, 4)),)), 100)[0]
    x, y = points(ops, HOLE)[0]
    assert abs(x - centre[0]) <= 2.01 and abs(y - centre[1]) <= 2.01


def test_lines_print_over_what_is_below() -> None:
    """All of it is drawn in the state that leaves the other inks alone, in millimetres from the top."""
    ops = drawn(Tools((CutBox(1, 2, 30, 30),)), 50)[0].decode()
    assert ops.startswith("q /Over gs 2.834646 0 0 -2.834646 0 141.732283 cm")
    assert ops.endswith("Q") and "1.0000 2.0000 30.0000 30.0000 re" in ops
