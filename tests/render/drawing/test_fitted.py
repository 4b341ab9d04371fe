"""Fitted pieces: to scale, at their place, twinned where they are off the axis."""

import math
import re
import xml.etree.ElementTree as ET

import pytest
from scipy.integrate import quad

from passport.physics.geometry import RacquetShape
from passport.render.drawing.fitted import DrawnPart, draw_piece, middle, number_pieces, spot
from passport.render.theme.palette import CSS_PAINT

SHAPE = RacquetShape(685.8, 338, 252, 11.5, 190, 31, "open", 16, 19)
BADMINTON = RacquetShape(675, 238, 180, 6.2, 175, 24, "shaft", 22, 21)


def paths(piece: DrawnPart, shape: RacquetShape = SHAPE) -> list[str]:
    """The path data that a piece is drawn with."""
    return [e.get("d", "") for e in ET.fromstring(f"<g>{draw_piece(shape, piece, CSS_PAINT)}</g>").iter("path")]


def arcs(data: str) -> list[tuple[float, float, float, float]]:
    """The ends (x0, y0, x1, y1) of each elliptic arc in path data."""
    found = []
    for part in data.split("M")[1:]:
        numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", part)]
        found.append((numbers[0], numbers[1], numbers[-2], numbers[-1]))
    return found


def arc_length(shape: RacquetShape, ends: tuple[float, float, float, float]) -> float:
    """Length along the middle of the hoop between two points of it, by numerical integration."""
    a, b = shape.hoop_axes
    t0, t1 = (math.atan2(y / b, (x - shape.head_centre) / a) for x, y in (ends[:2], ends[2:]))
    return float(quad(lambda t: math.hypot(a * math.sin(t), b * math.cos(t)), t0, t1 + (t1 < t0) * 2 * math.pi)[0])


@pytest.mark.parametrize("hour", [12, 0, 6, 2, 3, 4.5, 10])
def test_strip_on_the_hoop_is_to_scale(hour: float) -> None:
    """A strip's drawn length along the hoop is its length, on both sides where it is twinned."""
    drawn = arcs(paths(DrawnPart("tape", 0, 0, hour, 60))[0])
    assert len(drawn) == (1 if hour in (0, 6, 12) else 2)
    assert [arc_length(SHAPE, ends) for ends in drawn] == pytest.approx([60] * len(drawn), abs=0.5)


def test_strip_is_centred_on_its_hour() -> None:
    """A strip at 12 is symmetric about the axis; one at 3 and its twin about the head's middle."""
    ((x0, y0, x1, y1),) = arcs(paths(DrawnPart("tape", 0, 0, 12, 90))[0])
    assert (x0, y0) == (x1, -y1)
    right, left = arcs(paths(DrawnPart("tape", 0, 0, 3, 60))[0])
    assert right[0] + right[2] == pytest.approx(2 * SHAPE.head_centre, abs=0.2)
    assert right[1] > 0 > left[1]


def test_throat_tape_lies_on_both_arms() -> None:
    """Tape between handle and head is drawn on both arms, within its range; on a single shaft once."""
    data = paths(DrawnPart("tape", 250, 290))[0]
    assert data.count("M") == 2
    xs = [float(n) for n in re.findall(r"M(-?[\d.]+)", data)]
    assert xs == pytest.approx([290, 290], abs=1)
    assert paths(DrawnPart("tape", 250, 290), BADMINTON)[0] == "M250 0H290"


def test_tape_along_the_head_lies_on_both_sides_of_the_hoop() -> None:
    """Tape given by its range on the head is drawn on both sides of the hoop, from end to end."""
    for x0, _, x1, _ in arcs(paths(DrawnPart("tape", 450, 520))[0]):
        assert (x0, x1) == pytest.approx((520, 450), abs=0.1)


def test_plug_in_the_handle_is_to_scale() -> None:
    """Silicone fills the handle from and to its places, inside the handle's width."""
    rect = ET.fromstring(f"<g>{draw_piece(SHAPE, DrawnPart('silicone', 20, 90), CSS_PAINT)}</g>")[0]
    assert (rect.get("x"), rect.get("width")) == ("20", "70")
    assert float(rect.get("height", "99")) < SHAPE.handle_width


def test_sleeve_and_grip_go_round_the_handle() -> None:
    """A sleeve and a grip are drawn on both sides outside the handle, the sleeve outside the grip."""
    offsets = {}
    for kind in ("sleeve", "grip"):
        (data,) = paths(DrawnPart(kind, 0, 150))
        offsets[kind] = max(float(n) for n in re.findall(r"M0 ?(-?[\d.]+)", data))
    assert offsets["sleeve"] > offsets["grip"] > SHAPE.handle_width / 2


def test_numbers_run_from_tip_to_butt() -> None:
    """The piece nearest to the tip is number 1; pieces at one place keep the caller's order."""
    pieces = (
        DrawnPart("other", 0, 10, label="cap"),
        DrawnPart("tape", 0, 0, 3, 60, label="side"),
        DrawnPart("tape", 0, 0, 12, 60, label="tip"),
        DrawnPart("putty", 0, 0, 3, 60, label="putty"),
    )
    numbered = number_pieces(SHAPE, pieces)
    assert [(n, p.label) for n, p in numbered] == [(1, "tip"), (2, "side"), (3, "putty"), (4, "cap")]
    assert middle(SHAPE, pieces[2]) == pytest.approx(SHAPE.length - SHAPE.rim / 2)


def test_leader_starts_at_the_piece() -> None:
    """A leader starts at the hoop's outer edge, or at the edge of the plug in the handle."""
    assert spot(SHAPE, 1, DrawnPart("tape", 0, 0, 3, 60)).edge == pytest.approx(SHAPE.head_width / 2 + SHAPE.rim)
    assert spot(SHAPE, 1, DrawnPart("silicone", 20, 90)).edge < SHAPE.handle_width / 2
    assert spot(SHAPE, 1, DrawnPart("tape", 0, 0, 12, 60)).side == 0


def test_strip_longer_than_the_hoop_is_still_drawn() -> None:
    """An absurd length is cut to the hoop instead of vanishing."""
    ((x0, y0, x1, y1),) = arcs(paths(DrawnPart("tape", 0, 0, 12, 5000))[0])
    assert math.dist((x0, y0), (x1, y1)) > 1
