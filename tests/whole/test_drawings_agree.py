"""Page, card and bench sheet show the same racquet: hoop, strings and pieces of tape in the same places, to scale."""

import math
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from passport.render.charts.figures import drawn_piece, racquet_figure
from passport.render.print import card_art
from passport.render.sheets.drawing import Drawing, sheet_drawing
from passport.render.theme.formats import Formats

SVG = "{http://www.w3.org/2000/svg}"


def drawings(frame, shop):
    """The racquet of a frame as the page, the card and a bench sheet have it."""
    pieces = [drawn_piece(part) for part in frame.parts]
    return {
        "page": racquet_figure(frame, Formats("en")),
        "card": card_art.small_racquet(frame, card_art.card_palette(shop), "The racquet"),
        "sheet": sheet_drawing(Drawing(frame.shape, pieces), 132.0, key="sheet", title="The racquet", desc=""),
    }


def hoop(root) -> tuple[str, ...]:
    """The hoop, the closed curve that is thickest: middle and half axes of an ellipse, or the data of its path."""
    found = {
        (*(e.get(name, "") for name in ("cx", "rx", "ry", "d")), e.get("stroke-width", "0"))
        for group in root.iter()
        for e in group
        if group.tag != f"{SVG}clipPath" and (e.tag == f"{SVG}ellipse" or re.fullmatch(r"M.*S.*z", e.get("d", "")))
    }
    return max(found, key=lambda curve: float(curve[-1]))


def curve(data: str, pieces: int = 40) -> list[tuple[float, float]]:
    """Points along path data of M, C and S, by Bézier's formula (SVG 2, 9.3.6)."""
    numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", data)]
    pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
    points, (at, *rest) = [pairs[0]], pairs
    before: tuple[float, float] | None = None
    while rest:
        if before is None:
            first, *rest = rest
        else:
            first = (2 * at[0] - before[0], 2 * at[1] - before[1])
        second, to, *rest = rest
        for k in range(1, pieces + 1):
            t = k / pieces
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            spots = (at, first, second, to)
            points.append(tuple(sum(w * p[i] for w, p in zip(weights, spots, strict=True)) for i in (0, 1)))
        at, before = to, second
    return points


def bed(root) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Where the mains lie across, and the crosses along the racquet, mm: the lines inside the clipped group."""
    (group,) = [g for g in root.iter(f"{SVG}g") if g.get("clip-path")]
    data = "".join(path.get("d", "") for path in group.iter(f"{SVG}path"))
    fanned = re.findall(r"M-?[\d.]+[ ]?(-?[\d.]+)L-?[\d.]+[ ]?(-?[\d.]+)", data)
    mains = re.findall(r"M-?[\d.]+[ ]?(-?[\d.]+)H", data) or [(float(a) + float(b)) / 2 for a, b in fanned]
    crosses = re.findall(r"M(-?[\d.]+)[ ]?-?[\d.]+V", data)
    return tuple(sorted(map(float, mains))), tuple(sorted(map(float, crosses)))


def arcs(root) -> set[str]:
    """The strips on the hoop, as arcs or open curves along its middle."""
    found = {
        path.get("d", "") for path in root.iter(f"{SVG}path") if path.get("stroke-width") not in (None, "0.9", "1.2")
    }
    return {data for data in found if re.search(r"\dA", data) or re.fullmatch(r"(M[^MA-RT-Zz]*C[^MA-RT-Zz]*)+", data)}


@pytest.fixture(scope="module")
def frames(demo_facts):
    """The demo's frames that somebody plays."""
    found = [frame for frame in demo_facts.frames if frame.status == "active"]
    assert {frame.sport for frame in found} == {"tennis", "squash", "badminton", "racketball"}
    return found


def test_hoop_and_strings_are_the_same(frames, demo_facts):
    """Every frame has one hoop and one bed on all three, with as many mains and crosses as its model has, evenly spaced."""
    for frame in frames:
        roots = {name: ET.fromstring(svg) for name, svg in drawings(frame, demo_facts.shop).items()}
        assert len({hoop(root) for root in roots.values()}) == 1, frame.number
        (mains, crosses), *others = {bed(root) for root in roots.values()}
        assert not others, frame.number
        assert (len(mains), len(crosses)) == (frame.shape.mains, frame.shape.crosses)
        for places in (mains, crosses):
            steps = [b - a for a, b in pairwise(places)]
            assert max(steps) - min(steps) <= 0.21, "evenly spaced, to the tenth of a mm that is written"


def test_tape_is_at_its_hour_and_of_its_length(frames, demo_facts):
    """Each strip on the hoop stands at its o'clock place in all three, and is as long as the real one.

    A clock face on the hoop has 12 at the tip, and an hour is 30 degrees of it (common practice, no source); the length
    of an arc is summed here over its chords.
    """
    seen = 0
    for frame in frames:
        roots = {name: ET.fromstring(svg) for name, svg in drawings(frame, demo_facts.shop).items()}
        strips = [part for part in frame.parts if part.hour is not None]
        (found, *others) = {frozenset(arcs(root)) for root in roots.values()}
        assert not others, frame.number
        data = "".join(found)
        middle, a, b, path, _ = hoop(roots["page"])
        if path:
            ends = [x for x, _ in curve(path)]
            placed = sorted(_of_points(curve(arc), (min(ends) + max(ends)) / 2) for arc in re.findall(r"M[^M]+", data))
        else:
            axes = (float(middle), float(a), float(b))
            placed = sorted(_hour_and_length(arc, *axes) for arc in re.findall(r"M[^M]+", data))
        wanted = sorted({(hour % 12, part.length) for part in strips for hour in (part.hour, 12 - part.hour)})
        for hour, length in wanted:
            near = [
                p for p in placed if min(abs(p[0] - hour), 12 - abs(p[0] - hour)) < 0.1 and abs(p[1] - length) < 1.5
            ]
            assert near or _alone(frame, hour), (frame.number, hour, length, placed)
            seen += bool(near)
    assert seen >= 6


def _alone(frame, hour: float) -> bool:
    """Whether no strip is at this hour by itself: the twin of one that has none."""
    return all(abs((part.hour % 12) - hour) > 0.01 for part in frame.parts if part.hour is not None)


def _hour_and_length(arc: str, middle: float, a: float, b: float) -> tuple[float, float]:
    """The hour of an arc's middle by its direction from the middle of the head, and its length."""
    numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", arc)]
    (x0, y0), (x1, y1) = numbers[:2], numbers[-2:]
    start, stop = (math.atan2(y / b, (x - middle) / a) for x, y in ((x0, y0), (x1, y1)))
    stop += 2 * math.pi * (stop < start)
    turns = [start + (stop - start) * n / 400 for n in range(401)]
    return _of_points([(a * math.cos(t), b * math.sin(t)) for t in turns], 0.0)


def _of_points(points: list[tuple[float, float]], middle: float) -> tuple[float, float]:
    """The same of points along a strip."""
    lengths = [math.dist(p, q) for p, q in pairwise(points)]
    along, half = 0.0, sum(lengths) / 2
    x, y = next(p for p, length in zip(points, lengths, strict=False) if (along := along + length) >= half)
    return math.degrees(math.atan2(y, x - middle)) / 30 % 12, sum(lengths)
