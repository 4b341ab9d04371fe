"""The holes of a hoop: counted from the centre, mains and crosses each their own, both ends one row."""

import pytest

from passport.physics.stringing.holes import HANDS, Drilling, Hole


def both(*holes):
    """The same holes on both sides."""
    return tuple(Hole(hand, end, number) for end, number in holes for hand in HANDS)


DRILLED = Drilling(16, 19, both(("throat", 7), ("throat", 9), ("head", 8)))


def test_a_side_has_a_hole_for_each_end_of_a_string():
    """8 mains a side have 16 holes there and 19 crosses 19, 35 in all (counted)."""
    assert [len(DRILLED.row(hand)) for hand in HANDS] == [35, 35]
    assert sum(each.main is not None for each in DRILLED.row("left")) == 16
    assert [each.cross for each in DRILLED.row("left") if each.cross] == list(range(19, 0, -1))


def test_skipped_holes_are_the_crosses():
    """Mains 7 and 8 move out past the skipped holes, which the outermost crosses take (counted on a drawing)."""
    assert [DRILLED.main_hole("left", k, "throat").number for k in range(1, 9)] == [1, 2, 3, 4, 5, 6, 8, 10]
    assert [DRILLED.main_hole("left", k, "head").number for k in range(1, 9)] == [1, 2, 3, 4, 5, 6, 7, 9]
    assert [DRILLED.cross_hole("left", n).number for n in (1, 2, 3)] == [8, 10, 11]
    assert [DRILLED.cross_hole("left", n).number for n in (19, 18, 17)] == [7, 9, 11]


def test_blocked_and_shared_holes():
    """A blocked hole is counted and stays free; a shared one takes a main and a cross (counted on a drawing)."""
    blocked = Drilling(16, 19, blocked=both(("throat", 4), ("head", 12)))
    assert [blocked.main_hole("left", k, "throat").number for k in (3, 4, 8)] == [3, 5, 9]
    assert len(blocked.row("left")) == 37
    assert blocked.row("left")[37 - 12].cross is None
    shared = Drilling(16, 19, shared=both(("head", 8)))
    assert len(shared.row("left")) == 34
    assert shared.cross_hole("left", 1) == shared.main_hole("left", 8, "head") == Hole("left", "head", 8)


def test_holes_are_found_from_both_ends():
    """A hole on the side has two numbers; across the centre of an end the two sides are neighbours."""
    assert DRILLED.find(Hole("left", "throat", 20)) == DRILLED.find(Hole("left", "head", 16)) == 19
    assert DRILLED.find(Hole("left", "head", 36)) is None
    assert DRILLED.apart(Hole("left", "throat", 1), Hole("right", "throat", 1)) == 1
    assert DRILLED.apart(Hole("left", "head", 3), Hole("right", "head", 2)) == 4
    assert DRILLED.apart(Hole("left", "throat", 10), Hole("left", "throat", 7)) == 3
    with pytest.raises(ValueError, match="there is no hole 40"):
        DRILLED.apart(Hole("left", "throat", 40), Hole("left", "throat", 1))


@pytest.mark.parametrize(("drilling", "fields"), [
    (DRILLED, []),
    (Drilling(16, 19, both(("throat", 8))), []),
    (Drilling(16, 19, both(("throat", 9))), ["skipped", "skipped"]),
    (Drilling(16, 19, both(("throat", 7)), both(("throat", 7))), ["blocked", "blocked"]),
    (Drilling(16, 19, blocked=both(("throat", 50))), ["blocked", "blocked"]),
    (Drilling(16, 2, both(("throat", 2), ("throat", 4), ("head", 3))), ["crosses", "crosses"]),
    (Drilling(16, 19, shared=both(("head", 12))), ["shared", "shared"]),
])  # fmt: skip
def test_what_does_not_agree(drilling, fields):
    """Holes that cannot be skipped, blocked or shared are named by their field."""
    assert [field for field, _ in drilling.faults()] == fields
