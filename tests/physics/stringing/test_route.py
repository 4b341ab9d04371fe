"""The string followed from hole to hole, three ways by hand, and tie-offs."""

import pytest

from passport.physics.stringing.holes import HANDS, Drilling, Hole
from passport.physics.stringing.route import Route, Threaded, Tie, steps, tie_words
from passport.physics.stringing.ways import Misfit, Strand, StrungWay

SKIPPED = tuple(Hole(hand, end, 8) for end in ("throat", "head") for hand in HANDS)
DRILLED = Drilling(16, 19, SKIPPED)


def short(hole):
    """``9Tl``."""
    return f"{hole.number}{hole.end[0].upper()}{hole.hand[0]}"


def followed(way, **told):
    """The route of a way on that drilling."""
    found = Threaded(told.pop("drilling", DRILLED), StrungWay(way, "throat", told.pop("crosses", None)), **told).route()
    assert isinstance(found, Route), found
    return found


def by_hand(found):
    """The holes of the first and the last strings of each piece."""
    text = [[f"{short(p.start)}-{short(p.stop)}" for p in piece.passes] for piece in found.pieces]
    return [(" ".join(line[:2]), " ".join(line[-4:])) for line in text]


def test_one_piece_by_hand():
    """8 a side from the throat end at the throat, where the long side goes on to the lowest cross (on a drawing)."""
    found = followed("one piece")
    assert by_hand(found) == [("9Tl-9Hl 7Hl-7Tl", "12Hl-12Hr 11Hr-11Hl 10Hl-10Hr 8Hr-8Hl")]
    passes = found.pieces[0].passes
    assert [f"{short(p.start)}-{short(p.stop)}" for p in passes[7:9]] == ["1Hl-1Tl", "1Tr-1Hr"]
    assert [f"{short(p.start)}-{short(p.stop)}" for p in passes[15:18]] == ["9Hr-9Tr", "8Tr-8Tl", "10Tl-10Tr"]
    assert found.pieces[0].before == 8


def test_around_the_world_by_hand():
    """From the throat: the lowest cross to the short side, up its outermost main, and the crosses from the head down."""
    passes = followed("around the world").pieces[0].passes
    assert [f"{p.strand}" for p in passes[14:18]] == [
        "main 8 on the right",
        "cross 19",
        "main 8 on the left",
        "cross 1",
    ]
    assert [f"{short(p.start)}-{short(p.stop)}" for p in passes[14:18]] == [
        "9Hr-9Tr", "8Tr-8Tl", "9Tl-9Hl", "8Hl-8Hr",
    ]  # fmt: skip
    assert (short(passes[0].start), short(passes[-1].stop)) == ("7Hl", "10Tl")


def test_a_box_by_hand():
    """From the head: the top cross, down the short side's main, the lowest cross back, up its own main, and on."""
    passes = followed("box").pieces[0].passes
    assert [f"{short(p.start)}-{short(p.stop)}" for p in passes[13:19]] == [
        "7Tr-7Hr", "8Hr-8Hl", "9Hl-9Tl", "8Tl-8Tr", "9Tr-9Hr", "10Hr-10Hl",
    ]  # fmt: skip


def test_the_order_of_the_work():
    """The short side is strung from the middle outwards first, then the long side goes on; every string once."""
    found = followed("two pieces", crosses="head")
    work = [(k, str(each.strand)) for k, each in steps(found)]
    assert work[:2] == [(0, "main 1 on the left"), (0, "main 2 on the left")]
    assert work[8:10] == [(0, "main 1 on the right"), (0, "main 2 on the right")]
    assert work[16:18] == [(1, "cross 1"), (1, "cross 2")]
    assert len(set(work)) == 35


def test_a_shared_hole_takes_two():
    """A cross in a main's hole is nothing but a clash unless the hole is shared."""
    drilled = Drilling(16, 19, shared=tuple(Hole(hand, "head", 8) for hand in HANDS))
    assert isinstance(Threaded(drilled, StrungWay("two pieces", "throat", "head")).route(), Route)


@pytest.mark.parametrize(("way", "ties", "words"), [
    ("one piece", [Tie("mains", "throat", 6), Tie("crosses", "head", 5)], "mains 6 throat; crosses 5 head"),
    ("two pieces", [Tie("mains", "throat", 6), Tie("crosses", "head", 5), Tie("crosses", "throat", 11)],
     "mains 6 throat; crosses 5 head and 11 throat"),
    ("two pieces", [Tie("mains", "throat", 6, "left"), Tie("mains", "throat", 7, "right")], "mains 6 throat and 7 throat"),
])  # fmt: skip
def test_tie_offs_that_fit(way, ties, words):
    """Every end takes its knot; one hole of the mains stands for both sides of two pieces."""
    told = followed(way, crosses="head" if way == "two pieces" else None, ties=tuple(ties))
    assert tie_words(told) == words


def test_the_models_tie_offs_are_there_for_those_ends_that_are():
    """Of a model's three holes a string in one piece takes two; the third is no fault."""
    ties = (Tie("mains", "throat", 6), Tie("crosses", "head", 5), Tie("crosses", "throat", 11))
    assert tie_words(followed("one piece", ties=ties, strict=False)) == "mains 6 throat; crosses 5 head"
    assert isinstance(Threaded(DRILLED, StrungWay("one piece", "throat"), ties=ties).route(), Misfit)


def test_without_numbers_only_ends_are_looked_at():
    """Where nobody knows which holes are skipped no hole is called wrong, but the end of the racquet is."""
    way = StrungWay("one piece", "throat")
    assert isinstance(Threaded(DRILLED, way, ties=(Tie("mains", "throat", 9),), numbered=False).route(), Route)
    wrong = Threaded(DRILLED, way, ties=(Tie("mains", "head", 9),), numbered=False).route()
    assert isinstance(wrong, Misfit) and wrong.what == "No end of the mains is at the head: they end at the throat."


def test_an_order_of_ones_own():
    """Mains 8 before 7 on the long side, as some finish: the string still ends where its last main does."""
    left = tuple(Strand("mains", k, "left") for k in range(1, 9))
    right = tuple(Strand("mains", k, "right") for k in (1, 2, 3, 4, 5, 6, 8, 7))
    crosses = tuple(Strand("crosses", n) for n in range(19, 0, -1))
    found = Threaded(DRILLED, StrungWay("own", "throat"), (left, (*right, *crosses))).route()
    assert isinstance(found, Route)
    assert short(found.pieces[0].passes[15].stop) == "7Tr"
