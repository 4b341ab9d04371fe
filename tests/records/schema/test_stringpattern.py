"""Holes, ways and orders of strings as people write them."""

import pytest
from pydantic_core import PydanticCustomError

from passport.physics.stringing.ways import Strand
from passport.records.schema.stringpattern import NamedHole, read_holes, read_order, read_path


@pytest.mark.parametrize(("text", "holes"), [
    ("mains 8 at throat and head", [("mains", "throat", 8), ("mains", "head", 8)]),
    ("mains 7 and 9 throat, 8 head", [("mains", "throat", 7), ("mains", "throat", 9), ("mains", "head", 8)]),
    ("mains 6 throat; crosses 5 head and 11 throat",
     [("mains", "throat", 6), ("crosses", "head", 5), ("crosses", "throat", 11)]),
    ("crosses 8 head and throat", [("crosses", "head", 8), ("crosses", "throat", 8)]),
    ("7T 9t, 8H", [(None, "throat", 7), (None, "throat", 9), (None, "head", 8)]),
    ("none", []),
])  # fmt: skip
def test_holes(text, holes):
    """A number goes with the end after it, and with a second end until the next number."""
    assert read_holes(text) == tuple(NamedHole(*each) for each in holes)


def test_holes_of_one_side():
    """A side that follows goes with the holes just before it."""
    assert read_holes("mains 6 throat left and 7 throat right") == (
        NamedHole("mains", "throat", 6, "left"), NamedHole("mains", "throat", 7, "right"),
    )  # fmt: skip


@pytest.mark.parametrize("text", [
    "", "as on the frame", "mains 8 throut", "mains 6", "8 throat 10", "throat 8", "mains 0 throat", "left 8 throat",
    "8 mains throat", "mains 123 throat",
])  # fmt: skip
def test_other_words_stay_words(text):
    """What names no holes, or not only holes, is not guessed at."""
    assert read_holes(text) is None


@pytest.mark.parametrize(("text", "said"), [
    ("two pieces, crosses from the head", ("two pieces", None, "head", None, "")),
    ("2 pieces; mains start at the throat", ("two pieces", "throat", None, None, "")),
    ("Around the World, crosses top down, short side on the left", ("around the world", None, "head", "left", "")),
    ("mains from the bottom", (None, "throat", None, None, "")),
    ("our own way, short side right", (None, None, None, "right", "our own way")),
])  # fmt: skip
def test_ways(text, said):
    """One short answer, in the words of the trade; anything else first is a variant's name."""
    found = read_path(text)
    assert (found.way, found.mains_start, found.crosses_start, found.short, found.variant) == said


@pytest.mark.parametrize("text", ["", ",", "one piece, two pieces", "crosses from the side", "mains", "a, b"])
def test_what_is_no_way(text):
    """Two things at once, half a phrase or nothing is refused with what to write."""
    with pytest.raises(PydanticCustomError) as refused:
        read_path(text)
    assert refused.value.context["rule"] == "string-path" and refused.value.context["do"]


def test_an_order():
    """Mains are of the arm's own side unless told, counted up or down; crosses have no side."""
    short, long = read_order("short: mains 1-3; long: mains 1-2, cross 4, short main 4, crosses 3-1", "right")
    assert short == tuple(Strand("mains", k, "right") for k in (1, 2, 3))
    assert long == (
        Strand("mains", 1, "left"), Strand("mains", 2, "left"), Strand("crosses", 4), Strand("mains", 4, "right"),
        Strand("crosses", 3), Strand("crosses", 2), Strand("crosses", 1),
    )  # fmt: skip
    assert len(read_order("left: 1-8; right: 1-8; crosses: 1-19")) == 3


@pytest.mark.parametrize("text", ["", "mains 1-8", "short: mains 1-8", "short: 1; short: 2", "short: x; long: 1-8"])
def test_what_is_no_order(text):
    """An order has two sides, and names nothing but strings."""
    with pytest.raises(PydanticCustomError):
        read_order(text)
