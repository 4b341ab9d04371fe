"""The string's path drawn: woven as it is, in its order, with its middle and its knots."""

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from passport.physics.geometry import RacquetShape
from passport.physics.stringing.holes import HANDS, Drilling, Hole
from passport.physics.stringing.route import Route, Threaded, Tie, steps
from passport.physics.stringing.ways import StrungWay
from passport.render.drawing.racquet import Caption
from passport.render.drawing.threaded import ThreadedView, draw_path, sketch_path
from passport.render.theme.palette import CSS_PAINT, PRINT_PAINT

TENNIS = RacquetShape(685.8, 330, 246, 12, 180, 32, "open", 16, 19, 12.0, 13.5)
SKIPPED = tuple(Hole(hand, end, 8) for end in ("throat", "head") for hand in HANDS)
TIES = (Tie("mains", "throat", 6), Tie("crosses", "throat", 11), Tie("crosses", "head", 5))
SVG = "{http://www.w3.org/2000/svg}"


def drawn(way="one piece", crosses=None, ties=()):
    """The drawing of a way as a tree."""
    found = Threaded(Drilling(16, 19, SKIPPED), StrungWay(way, "throat", crosses), ties=ties, strict=False).route()
    assert isinstance(found, Route)
    caption = Caption("p", "The path", "35 strings")
    return ElementTree.fromstring(draw_path(TENNIS, found, ThreadedView(), caption, paint=PRINT_PAINT))


def lines(root):
    """The straight lines of every path, each as two points."""
    found = []
    for path in root.iter(f"{SVG}path"):
        for part in re.findall(r"M([^Mz]+)", path.get("d")):
            points = [tuple(map(float, re.findall(r"-?[0-9.]+", at))) for at in part.split("L")]
            found += pairwise(points)
    return found


@pytest.mark.parametrize(("way", "crosses"), [("one piece", None), ("around the world", None), ("two pieces", "head")])
def test_over_and_under_alternate(way, crosses):
    """Where a main and a cross meet just one of them is drawn through, and neighbours alternate (how strings are woven)."""
    found = lines(drawn(way, crosses))

    def through(x, y, upright):
        return any(
            min(a[upright], b[upright]) < (x, y)[upright] - 1 and max(a[upright], b[upright]) > (x, y)[upright] + 1
            and abs(a[1 - upright] - (x, y)[1 - upright]) < 0.6 and abs(b[1 - upright] - (x, y)[1 - upright]) < 0.6
            for a, b in found
        )  # fmt: skip

    over = {}
    for i, main in enumerate(TENNIS.main_positions()):
        for j, cross in enumerate(TENNIS.cross_positions()):
            if abs(main) < 80 and abs(cross - TENNIS.head_centre) < 100:  # ends are a little slanted
                x, y = main, TENNIS.length - cross
                assert through(x, y, 1) != through(x, y, 0)
                over[i, j] = through(x, y, 1)
    assert len(over) > 150
    assert all(over[i, j] != over[i + 1, j] for i, j in over if (i + 1, j) in over)
    assert all(over[i, j] != over[i, j + 1] for i, j in over if (i, j + 1) in over)


def test_the_order_is_numbered_and_ends_are_dots():
    """Every string has its number once; a piece pulled from its middle has a ring, every end a dot."""
    for way, crosses, knots in (("one piece", None, 2), ("two pieces", "head", 4)):
        root = drawn(way, crosses, TIES)
        assert sorted(int(text.text) for text in root.iter(f"{SVG}text")) == list(range(1, 36))
        radii = [circle.get("r") for circle in root.iter(f"{SVG}circle")]
        assert (radii.count("3.4"), radii.count("3.2")) == (knots, 1)
        dashed = [path for path in root.iter(f"{SVG}path") if path.get("stroke-dasharray")]
        assert len(dashed) == knots


def test_strings_end_at_their_holes():
    """Outside the hoop one main turns over the skipped hole: 34 turns, two of them with a hole between (on a drawing)."""
    root = drawn()
    arrows = [path for path in root.iter(f"{SVG}path") if path.get("d").endswith("z")]
    assert len(arrows) == 33  # 34 turns, the middle without an arrow
    assert root.find(f"{SVG}title").text == "The path" and root.find(f"{SVG}desc").text == "35 strings"


@pytest.mark.parametrize("way", ["one piece", "around the world", "two pieces"])
def test_a_sketch_for_a_page_is_small_and_whole(way):
    """Every string runs from edge to edge once, the mains' turns are numbered at their own places and every fifth of the
    crosses', in 2.5 kB at most."""
    crosses = "head" if way == "two pieces" else None
    found = Threaded(Drilling(16, 19, SKIPPED), StrungWay(way, "throat", crosses), ties=TIES, strict=False).route()
    assert isinstance(found, Route)
    data = sketch_path(TENNIS, found, 11, Caption("p", "The path", "35 strings"), paint=CSS_PAINT)
    assert len(data.encode()) < 2_500
    root = ElementTree.fromstring(data)
    moves = [move for path in root.iter(f"{SVG}path") for move in re.findall(r"[vhl]([^a-zA-Z]+)", path.get("d"))]
    far = [[float(n) for n in re.findall(r"-?[0-9]+", move)] for move in moves]
    assert sum(max(map(abs, by)) > 90 for by in far) == 35
    mains = [i for i, (_, each) in enumerate(steps(found), 1) if each.strand.of == "mains"]
    first = [i for i, (_, each) in enumerate(steps(found), 1) if each.strand.of == "crosses" and i - 1 in mains]
    texts = list(root.iter(f"{SVG}text"))
    assert [int(text.text) for text in texts] == [i for i in range(1, 36) if i in mains or i in first or i % 5 == 0]
    assert len({(text.get("x"), text.get("y")) for text in texts}) == len(texts)
    assert len(list(root.iter(f"{SVG}circle"))) == len(found.ends) + 1
