"""An odd number of mains: the one in the middle is strung with one of the sides."""

import itertools

import pytest

from passport.physics.geometry import RacquetShape
from passport.physics.stringing.course import course
from passport.physics.stringing.holes import Drilling, Hole
from passport.physics.stringing.route import Route, Threaded, steps
from passport.physics.stringing.ways import Strand, StrungWay, completed, mains_end
from passport.physics.stringpath import weave

WAYS = ("one piece", "two pieces", "around the world", "box")


def told(half: int, way: str, start: str, begin: str, crosses: int = 19) -> Route:
    """The route of an odd pattern."""
    found = Threaded(Drilling(2 * half + 1, crosses), StrungWay(way, start, begin)).route()
    assert isinstance(found, Route), found
    return found


def test_nine_mains_followed_by_hand():
    """Four mains a side and one in the middle, from the throat, crosses from the head, by a drawing: the long side takes the
    middle one up, is at the head after its fifth and goes on to the crosses there; the short one ends at the throat."""
    found = told(4, "one piece", "throat", "head", crosses=9)
    done = [(str(each.strand), str(each.start), str(each.stop)) for _, each in steps(found)]
    assert done[:4] == [
        ("main 1 on the left", "hole 1 at the throat, left", "hole 1 at the head, left"),
        ("main 2 on the left", "hole 2 at the head, left", "hole 2 at the throat, left"),
        ("main 3 on the left", "hole 3 at the throat, left", "hole 3 at the head, left"),
        ("main 4 on the left", "hole 4 at the head, left", "hole 4 at the throat, left"),
    ]
    assert done[4:7] == [
        ("the centre main", "the centre hole at the throat", "the centre hole at the head"),
        ("main 1 on the right", "hole 1 at the head, right", "hole 1 at the throat, right"),
        ("main 2 on the right", "hole 2 at the throat, right", "hole 2 at the head, right"),
    ]
    assert done[8][2] == "hole 4 at the head, right"
    assert done[9] == ("cross 1", "hole 5 at the head, right", "hole 5 at the head, left")
    assert found.drilling.apart(Hole("right", "throat", 0), Hole("left", "throat", 1)) == 1
    assert found.drilling.apart(Hole("right", "throat", 0), Hole("right", "throat", 1)) == 1
    assert found.drilling.apart(Hole("right", "head", 1), Hole("left", "head", 1)) == 2


@pytest.mark.parametrize("way", WAYS)
def test_every_odd_pattern_can_be_strung_from_every_start(way):
    """Whichever ends mains and crosses start at, one of the sides gets there; every string is strung once."""
    for half, start, begin in itertools.product(range(4, 12), ("throat", "head"), ("throat", "head")):
        found = told(half, way, start, begin)
        strung = [each.strand for _, each in steps(found)]
        assert len(set(strung)) == len(strung) == 2 * half + 1 + 19
        crosses = [strand.number for strand in strung if strand.of == "crosses"]
        last = crosses[-1]
        assert last in ((19, 18) if begin == "head" else (1, 2))


def test_from_one_start_alone_nothing_follows():
    """With an even number the crosses of one piece follow from the mains; with an odd one both starts are needed."""
    assert completed(StrungWay("one piece", "throat"), 8).crosses_start == mains_end(8, "throat")
    assert completed(StrungWay("one piece", "throat"), 8, odd=True) == StrungWay("one piece", "throat")


def test_a_workshops_own_order_says_which_side_has_the_middle():
    """Main 0 stands in the side that strings it; one left out is missed."""
    left = tuple(Strand("mains", k, "left") for k in range(5))
    right = tuple(Strand("mains", k, "right") for k in range(1, 5))
    rest = tuple(Strand("crosses", n) for n in range(1, 10))
    way = StrungWay("own", "throat")
    found = Threaded(Drilling(9, 9), way, (right, (*left, *rest))).route()
    assert isinstance(found, Route) and found.drilling.centre == "left"
    lacking = Threaded(Drilling(9, 9), way, (right, (*left[1:], *rest))).route()
    assert not isinstance(lacking, Route)


def test_its_length_is_that_of_all_its_strings():
    """Inside the head lie all 17 mains and 19 crosses, each as long as its chord and a little for the weave."""
    shape = RacquetShape(685.8, 340, 250, 12, 180, 32, "open", 17, 19)
    path = course(shape, told(8, "one piece", "throat", "head"))
    mains = sum(shape.main_length(y) for y in shape.main_positions()) * (1 + weave(shape, "mains", 0.0))
    assert path.length("mains", outside=False) == pytest.approx(mains)
    assert 9_000 < path.length() < 12_000  # a 17 × 19 takes most of a 12 m set (common practice, no source)
