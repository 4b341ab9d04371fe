"""The usual ways to string a frame: where mains end, and where crosses of a string in one piece can begin."""

import pytest

from passport.physics.stringing.ways import Misfit, StrungWay, completed, crosses_begin, mains_end, short_end


@pytest.mark.parametrize(("half", "start", "end"), [
    (8, "throat", "throat"), (8, "head", "head"), (9, "throat", "head"), (7, "head", "throat"), (11, "head", "throat"),
])  # fmt: skip
def test_where_mains_end(half, start, end):
    """An even number a side ends where it started, an odd one at the other end (plain counting)."""
    assert mains_end(half, start) == end


@pytest.mark.parametrize(("way", "begin", "short"), [
    ("one piece", "throat", "throat"), ("around the world", "head", "head"), ("box", "head", "head"),
    ("two pieces", None, "throat"),
])  # fmt: skip
def test_where_crosses_begin(way, begin, short):
    """8 a side from the throat: one piece goes on at the throat, around the world and a box lead to the head."""
    assert crosses_begin(way, 8, "throat") == begin
    assert short_end(way, 8, "throat") == short


def test_one_start_follows_from_the_other():
    """Where the way and one start are told the other follows; where neither is nothing does."""
    assert completed(StrungWay("one piece", "throat"), 8).crosses_start == "throat"
    assert completed(StrungWay("box", None, "head"), 8).mains_start == "throat"
    assert completed(StrungWay("one piece", None, "head"), 9).mains_start == "throat"
    assert completed(StrungWay("one piece"), 8) == StrungWay("one piece")
    assert completed(StrungWay(None, "throat", "head"), 8) == StrungWay(None, "throat", "head")


@pytest.mark.parametrize("half", range(4, 13))
@pytest.mark.parametrize("way", ["one piece", "around the world", "box"])
@pytest.mark.parametrize("start", ["throat", "head"])
def test_the_nearest_ways_can_be_strung(half, way, start):
    """What cannot be strung is told with ways that can be, the first of which keeps where mains and crosses start."""
    wrong = "head" if crosses_begin(way, half, start) == "throat" else "throat"
    found = completed(StrungWay(way, start, wrong), half)
    assert isinstance(found, Misfit) and found.field == "crosses_start"
    assert (found.nearest[0].mains_start, found.nearest[0].crosses_start) == (start, wrong)
    assert all(isinstance(completed(each, half), StrungWay) for each in found.nearest)
