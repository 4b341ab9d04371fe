"""The ornaments of the ready looks beside the woven one: rays over scales, two scales that differ, chevrons.

Each is told by a seed as the woven ones are (`passport.render.drawing.ornament`), and has the same two forms: lines inside
a circle of radius 500 round 0, 0, of which the inner ones stand apart, and strands along a band in tenths of its units.
"""

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

from passport.render.drawing.dice import Dice

Point = tuple[float, float]
_ARC = 0.5523
"""4/3·(√2 − 1): a quarter of a circle as a cubic curve, off it by 0.03 % of its radius."""


def _at(radius: float, share: float) -> Point:
    """The point at a share of the turn, clockwise from the top."""
    angle = 2 * math.pi * share
    return radius * math.sin(angle), -radius * math.cos(angle)


def _lines(points: Iterable[Point], *, closed: bool = False) -> str:
    """Path data of straight lines through points, in whole units."""
    rounded = [(round(x), round(y)) for x, y in points]
    parts = [f"M{rounded[0][0]} {rounded[0][1]}l"]
    parts += [f"{x - px} {y - py}" for (px, py), (x, y) in pairwise(rounded)]
    return (parts[0] + " ".join(parts[1:])).replace(" -", "-") + ("z" if closed else "")


def _circle(radius: float) -> str:
    """Path data of a circle round the middle."""
    r, h = round(radius), round(_ARC * radius)
    k = r - h
    return f"M0-{r}c{h} 0 {r} {k} {r} {r}s-{k} {r}-{r} {r}-{r}-{k}-{r}-{r} {k}-{r} {r}-{r}z"


def _ticks(count: int, outer: float, lengths: Iterable[tuple[int, float]]) -> Iterator[str]:
    """Marks inward from a circle, each as long as the first of the ``lengths`` whose number divides its place."""
    known = tuple(lengths)
    for i in range(count):
        length = next(length for every, length in known if i % every == 0)
        yield _lines((_at(outer, i / count), _at(outer - length, i / count)))


def sun(seed: str) -> tuple[str, str]:
    """Rays of two lengths, and petals round a disc."""
    dice = Dice("sun " + seed)
    count, waist = 2 * (18 + dice.pick(10)), dice.between(250, 290)
    rays = "".join(
        _lines((_at(waist, (i - 0.4) / count), _at(494 - 110 * (i % 2), i / count), _at(waist, (i + 0.4) / count)))
        for i in range(count)
    )
    petals, tip = 8 + dice.pick(7), waist - 22
    flower = "".join(
        _lines((_at(70, (i - 0.5) / petals), _at(tip, i / petals), _at(70, (i + 0.5) / petals))) for i in range(petals)
    )
    return rays + _circle(waist), flower + _circle(tip) + _circle(70)


def scallops(seed: str, width: float, height: float) -> tuple[str, ...]:
    """Fans side by side on a line, each of a few arcs; how wide they are is the seed's."""
    dice = Dice("scallops " + seed)
    wide, tall = 10 * width, 10 * height
    low, rings = 0.86 * tall, 3
    radius = wide / round(wide / (tall * dice.between(1.05, 1.4))) / 2
    rise = 0.72 * tall
    strands = []
    for ring in range(rings):
        share = 1 - ring / rings
        r, up = radius * share, rise * share
        h, v = round(_ARC * r), round(_ARC * up)
        r_, up_ = round(r), round(up)
        fans = (
            f"M{round(x - r)} {round(low)}c0-{v} {r_ - h}-{up_} {r_}-{up_}s{r_} {up_ - v} {r_} {up_}"
            for x in (radius * (2 * i + 1) for i in range(round(wide / radius / 2)))
        )
        strands.append("".join(fans))
    return (*strands, f"M0 {round(low)}h{round(wide)}M0 {round(low + 0.08 * tall)}h{round(wide)}")


def dial(seed: str) -> tuple[str, str]:
    """A scale round the edge, and one of a division less or more inside it, as on a vernier."""
    dice = Dice("dial " + seed)
    count = 100 + 10 * dice.pick(5)
    waist = dice.between(330, 370)
    outer = "".join(_ticks(count, 494, ((10, 70), (5, 48), (1, 30)))) + _circle(494)
    inner = "".join(_ticks(count + (1 if dice.pick(2) else -1), waist, ((10, 60), (5, 40), (1, 24)))) + _circle(waist)
    return outer, inner + _circle(dice.between(90, 150)) + "M-494 0h988M0-494v988"


def scales(seed: str, width: float, height: float) -> tuple[str, ...]:
    """Two scales along the band, one up from below, one down from above with nine divisions on ten of the other."""
    dice = Dice("scales " + seed)
    wide, tall = 10 * width, 10 * height
    step = tall * dice.between(0.2, 0.26)
    first = dice.between(0, 1) * 10
    below = "".join(_rule(wide, tall, -1, step, round(first)))
    above = "".join(_rule(wide, 0, 1, step * 0.9, round(10 - first)))
    return below, above


def _rule(wide: float, edge: float, way: int, step: float, first: int) -> Iterator[str]:
    for i in range(int(wide / step) + 1):
        share = 0.44 if (i + first) % 10 == 0 else 0.3 if (i + first) % 5 == 0 else 0.17
        yield f"M{round(i * step)} {round(edge)}v{way * round(share * step / 0.22)}"


def compass(seed: str) -> tuple[str, str]:
    """Rings of zigzags, one inside the other, and a star in the middle."""
    dice = Dice("compass " + seed)
    points = 14 + 2 * dice.pick(6)
    deep = dice.between(70, 100)
    rings = "".join(
        _lines((_at(494 - 46 * ring - deep * (i % 2), i / points / 2) for i in range(2 * points)), closed=True)
        for ring in range(4)
    )
    corners = (7, 8, 9, 11, 10, 13)[dice.pick(6)]
    step = 3 if corners % 3 else 4 if corners == 9 else 2
    star = _lines((_at(494 - 4 * 46 - deep - 10, i * step / corners) for i in range(corners)), closed=True)
    return rings, star


def chevrons(seed: str, width: float, height: float) -> tuple[str, ...]:
    """Zigzags along the band, one behind the other; how wide and how many are the seed's."""
    dice = Dice("chevrons " + seed)
    wide, tall = 10 * width, 10 * height
    count, strands = max(3, round(wide / tall / dice.between(1.1, 1.6))), 5 + dice.pick(3)
    period = wide / count
    shift = period * dice.between(0.10, 0.14)
    return tuple(
        _lines(((i - 4) * period / 2 + k * shift, tall * (0.04 if i % 2 else 0.96)) for i in range(2 * count + 8))
        for k in range(strands)
    )
