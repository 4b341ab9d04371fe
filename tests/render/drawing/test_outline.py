"""The frame's outline: real dimensions, joined parts, every string at its place."""

import math
import re
import xml.etree.ElementTree as ET
from itertools import accumulate, pairwise

import pytest

from passport.physics.geometry import RacquetShape
from passport.physics.head.outline import TEARDROP
from passport.render.drawing.outline import (
    Cubic,
    arm,
    arm_width,
    curve,
    frame,
    half_width,
    handle,
    head_bottom,
    merge_point,
    strings,
)
from passport.render.theme.palette import CSS_PAINT

OPEN = RacquetShape(685.8, 338, 252, 11.5, 190, 31, "open", 16, 19)
TEAR = RacquetShape(
    686, 342, 184, 11, 200, 27, "open", 14, 18, 8.2, 15.2, outline=TEARDROP, joined=True, fan=0.32, first_cross=22
)
SHAFT = RacquetShape(675, 238, 180, 6.2, 175, 24, "shaft", 22, 21)


def wrap(parts: str) -> ET.Element:
    """Parts of a drawing as one element."""
    return ET.fromstring(f"<g>{parts}</g>")


@pytest.mark.parametrize("shape", [OPEN, SHAFT], ids=["open", "shaft"])
def test_hoop_has_the_real_size(shape: RacquetShape) -> None:
    """The hoop's outer edge is at the frame's full length, its inner edge is the string ellipse."""
    hoop = next(e for e in wrap(frame(shape, CSS_PAINT, 0)) if e.tag == "ellipse")
    cx, rx, ry, rim = (float(hoop.get(k, 0)) for k in ("cx", "rx", "ry", "stroke-width"))
    assert cx + rx + rim / 2 == pytest.approx(shape.length, abs=0.2)
    assert 2 * (rx - rim / 2) == pytest.approx(shape.head_length, abs=0.2)
    assert 2 * (ry - rim / 2) == pytest.approx(shape.head_width, abs=0.2)


def test_every_string_is_drawn() -> None:
    """There are as many lines as mains and crosses, woven or plain, in two inks where they differ."""
    for weave in (True, False):
        paths = list(wrap(strings(OPEN, CSS_PAINT, clip="c", thickness=1.5, weave=weave, hybrid=True)).iter("path"))
        for ink, count, letter in (("s-petrol", 16, "H"), ("s-plum", 19, "V")):
            data = "".join(p.get("d", "") for p in paths if p.get("class") == ink)
            assert (data.count("M"), data.count(letter)) == (count, count)


def gaps(path: ET.Element, start: float, stop: float) -> list[float]:
    """Middles of the gaps of a dashed line from start to stop."""
    return [start + at for at in broken(path) if start + at <= stop]


def broken(path: ET.Element) -> list[float]:
    """Middles of the gaps of a dash pattern that begins with a dash (SVG 2, 13.5.6), up to where it would begin anew."""
    runs = [float(v) for v in path.get("stroke-dasharray", "").split()]
    assert len(runs) % 2 == 1 and runs[-1] > 400, (
        "an odd list is repeated with dashes and gaps exchanged, beyond the end"
    )
    ends = list(accumulate(runs))
    return [(a + b) / 2 for a, b in zip(ends[:-1:2], ends[1::2], strict=True)]


def test_strings_pass_over_and_under_in_turn() -> None:
    """At every crossing exactly one of the two strings is broken, and neighbours differ."""
    paths = list(wrap(strings(OPEN, CSS_PAINT, clip="c", thickness=1.5, weave=True, hybrid=False)).iter("path"))
    mains, crosses = OPEN.main_positions(), OPEN.cross_positions()
    bottom, side = OPEN.length - OPEN.rim - OPEN.head_length, OPEN.head_width / 2
    main_gaps = [gaps(p, bottom, bottom + OPEN.head_length) for p in paths[:2]]
    cross_gaps = [gaps(p, -side, side) for p in paths[2:]]
    for i, y in enumerate(mains):
        for j, x in enumerate(crosses):
            main_under = min(abs(x - g) for g in main_gaps[i % 2]) < 1
            cross_under = min(abs(y - g) for g in cross_gaps[j % 2]) < 1
            assert main_under is ((i + j) % 2 == 0)
            assert cross_under is ((i + j) % 2 == 1)
    for found, crossed in ((main_gaps, crosses), (cross_gaps, mains)):
        for some in found:
            assert all(min(abs(at - place) for place in crossed) < 1 for at in some), "broken where nothing crosses"
            assert abs(len(some) - len(crossed) / 2) < 1


def test_arm_joins_hoop_and_shaft() -> None:
    """A throat arm starts on the hoop and ends beside the long axis, between the handle and the head."""
    curve = arm(OPEN)
    (x0, y0), (x1, y1) = curve.at(0), curve.at(1)
    assert half_width(OPEN, x0) == pytest.approx(y0 + OPEN.rim / 2, abs=4)
    assert (x1, y1) == pytest.approx((merge_point(OPEN), arm_width(OPEN) / 2))
    assert OPEN.handle < x1 < head_bottom(OPEN) < x0


def test_part_of_a_curve_lies_on_it() -> None:
    """A piece cut from a curve runs through the same points."""
    curve = Cubic(((0, 0), (10, 20), (40, 20), (50, 0)))
    piece = curve.part(0.25, 0.75)
    for t in (0, 0.3, 1):
        assert piece.at(t) == pytest.approx(curve.at(0.25 + 0.5 * t))


def test_half_width_along_the_frame() -> None:
    """The outline is as wide as the handle, the shaft and the head are, and nothing beyond the ends."""
    assert half_width(SHAFT, 100) == 12
    assert half_width(SHAFT, 300) == pytest.approx(arm_width(SHAFT) / 2)
    assert half_width(SHAFT, SHAFT.head_centre) == pytest.approx(SHAFT.head_width / 2 + SHAFT.rim)
    assert half_width(SHAFT, -1) == half_width(SHAFT, 676) == 0


def test_handle_has_seams_only_when_asked() -> None:
    """The grip's seams follow the handle's length; a thickness of 0 leaves the bare shape."""
    seams = [
        len(re.findall("q", "".join(p.get("d", "") for p in wrap(handle(s, CSS_PAINT, 1)))))
        for s in (OPEN, RacquetShape(558, 338, 222, 10.5, 120, 31, "open", 16, 18))
    ]
    assert seams[0] > seams[1] > 0
    assert len(wrap(handle(OPEN, CSS_PAINT, 0))) == 1


def bezier(data: str) -> list[tuple[float, float]]:
    """Points along path data of M, C and S, by Bézier's formula (SVG 2, 9.3.6)."""
    numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", data)]
    pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
    at, first, second, to, *rest = pairs
    points = []
    while True:
        for k in range(10):
            t = k / 10
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            spots = (at, first, second, to)
            points.append(tuple(sum(w * p[i] for w, p in zip(weights, spots, strict=True)) for i in (0, 1)))
        if not rest:
            return points
        at, first = to, (2 * to[0] - second[0], 2 * to[1] - second[1])
        second, to, *rest = rest


@pytest.mark.parametrize("far", [1.0, 5.5, 7.7])
def test_curves_keep_their_distance(far: float) -> None:
    """Drawn round a teardrop, every point of a curve lies as far from the strung area's edge as it should, to 0.15 mm.

    The edge is 4,000 points of the outline; the least distance to them is sought.
    """
    edge = [TEAR.outline_point(math.pi * k / 2000) for k in range(4000)]
    points = bezier(curve(TEAR, 0.0, 2 * math.pi, far))
    assert len(points) > 100
    for point in points:
        assert min(math.dist(point, other) for other in edge) == pytest.approx(far, abs=0.15)


def test_the_hoop_of_a_teardrop_runs_on_into_its_shaft() -> None:
    """No bridge: the outline narrows without a step from the head to the shaft, and to the handle."""
    widths = [half_width(TEAR, x) for x in range(200, 680)]
    assert max(abs(b - a) for a, b in pairwise(widths[2:400])) < 1.5
    assert widths[90] < 15 < widths[300] < max(widths) == pytest.approx(184 / 2 + 11, abs=0.3)
    assert "A" not in frame(TEAR, CSS_PAINT, 0.9)


def test_fanned_strings_pass_over_and_under_in_turn() -> None:
    """At every crossing of a fan exactly one string is broken, and neighbours differ; each main leans as the fan has it."""
    found = wrap(strings(TEAR, CSS_PAINT, clip="c", thickness=1.5, weave=True, hybrid=False))
    groups = [g for g in found.iter("g") if g.get("stroke-dasharray")]
    assert [len(g) for g in groups] == [7, 7, 9, 9]
    lines = []
    for g in groups:
        for path in g:
            numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", path.get("d", ""))]
            start = (numbers[0], numbers[1])
            stop = (numbers[2], numbers[3]) if "L" in path.get("d", "") else (numbers[0], numbers[2])
            length = float(path.get("pathLength", "0"))
            shares = [b / length for b in broken(g) if 0 <= b <= length]
            lines.append([tuple(start[i] + s * (stop[i] - start[i]) for i in (0, 1)) for s in shares])
    mains, crosses = lines[:14], lines[14:]
    seen = 0
    for i, y in enumerate(TEAR.main_positions()):
        for j, x in enumerate(TEAR.cross_positions()):
            at = (x, TEAR.main_at(y, x))
            if abs(at[1]) > TEAR.cross_length(x) / 2:
                continue
            under = [any(math.dist(at, spot) < 1.2 for line in some for spot in line) for some in (mains, crosses)]
            assert under == ([True, False] if (i + j) % 2 == 0 else [False, True]), (i, j)
            seen += 1
    assert seen > 200
