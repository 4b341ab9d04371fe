"""The frame's outline: real dimensions, joined parts, every string at its place."""

import re
import xml.etree.ElementTree as ET

import pytest

from passport.physics.geometry import RacquetShape
from passport.render.drawing.outline import (
    Cubic,
    arm,
    arm_width,
    frame,
    half_width,
    handle,
    head_bottom,
    merge_point,
    strings,
)
from passport.render.theme.palette import CSS_PAINT

OPEN = RacquetShape(685.8, 338, 252, 11.5, 190, 31, "open", 16, 19)
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
    dash, gap = (float(v) for v in path.get("stroke-dasharray", "").split())
    offset = float(path.get("stroke-dashoffset", "0"))
    first = start + dash - offset + gap / 2
    return [first + i * (dash + gap) for i in range(-2, 40) if start <= first + i * (dash + gap) <= stop]


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
