"""The security-print ornament: fine interlaced curves, different for each passport, the same for ever.

Every shape follows from the digest of a seed text (the passport's number), so the ornament needs no storage and a
copyist cannot reuse one card's ornament for another. Curves are cubic splines through evenly spaced points of
``radius(angle)`` or ``height(x)`` with the exact slopes there, written with SVG's smooth command: four short whole
numbers a piece.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache

from passport.render.drawing import patterns
from passport.render.drawing.dice import Dice
from passport.render.theme import assets
from passport.render.theme.palette import Paint, Token

Point = tuple[float, float]
Curve = Callable[[float], Point]

_WINDINGS = ((29, 6), (31, 7), (37, 8), (41, 9), (43, 8), (47, 9), (34, 7), (38, 9))
"""Lobes and turns of the outer weave; coprime, so that one line closes only after all turns."""
_CORES = ((16, 7), (17, 7), (18, 7), (19, 7), (17, 6), (19, 8), (20, 7), (15, 4))
"""Lobes and turns of the flower in the middle."""


def _spline(curve: Curve, start: float, stop: float, pieces: int, closed: bool = False) -> str:
    """Path data of a smooth line through ``pieces`` + 1 points of a curve, in whole units."""
    step = (stop - start) / pieces
    points = [curve(start + i * step) for i in range(pieces + 1)]
    slopes = [_slope(curve, start + i * step, step) for i in range(pieces + 1)]
    x, y = round(points[0][0]), round(points[0][1])
    first = (points[0][0] + slopes[0][0] - x, points[0][1] + slopes[0][1] - y)
    parts = [f"M{x} {y}"]
    for i in range(1, pieces + 1):
        (px, py), (sx, sy) = points[i], slopes[i]
        numbers = [px - sx - x, py - sy - y, px - x, py - y]
        parts.append(("c" + _numbers([*first, *numbers])) if i == 1 else ("s" + _numbers(numbers)))
        x, y = x + round(px - x), y + round(py - y)
    return "".join(parts) + ("z" if closed else "")


def _slope(curve: Curve, at: float, step: float) -> Point:
    """A third of the curve's derivative times the step: the spline's handle."""
    tiny = step / 1000
    (x0, y0), (x1, y1) = curve(at - tiny), curve(at + tiny)
    return (x1 - x0) / (2 * tiny) * step / 3, (y1 - y0) / (2 * tiny) * step / 3


def _numbers(values: Iterable[float]) -> str:
    """Whole numbers in SVG's shortest form: a minus sign parts as well as a space."""
    return " ".join(str(round(v)) for v in values).replace(" -", "-")


@dataclass(frozen=True, slots=True)
class _Winding:
    """A line that winds ``turns`` times round the centre while its radius swings ``lobes`` times."""

    lobes: int
    turns: int
    inner: float
    outer: float
    phase: float

    def path(self) -> str:
        """Path data, closed, centred on 0, 0."""
        middle, swing = (self.outer + self.inner) / 2, (self.outer - self.inner) / 2

        def at(angle: float) -> Point:
            radius = middle + swing * math.cos(self.lobes / self.turns * angle)
            return radius * math.sin(angle + self.phase), -radius * math.cos(angle + self.phase)

        # Points on the crests, in the troughs and, where a lobe is wide, between them.
        pieces = self.lobes * (2 if self.lobes > 3 * self.turns else 4)
        return _spline(at, 0, 2 * math.pi * self.turns, pieces, closed=True)


_ROUND: dict[str, Callable[[str], tuple[str, str]]] = {
    "almanac": patterns.sun, "gauge": patterns.dial, "pennant": patterns.compass,
}  # fmt: skip
_LONG: dict[str, Callable[[str, float, float], tuple[str, ...]]] = {
    "almanac": patterns.scallops, "gauge": patterns.scales, "pennant": patterns.chevrons,
}  # fmt: skip
"""The ornaments of the ready looks that are not woven."""


def rosette_paths(seed: str) -> tuple[str, str]:
    """Path data of a round ornament in the look in use: of its outer lines, and of the figure inside them, within a circle
    of radius 500 round 0, 0."""
    return _rosette_paths(seed, assets.own().ready)


@lru_cache(maxsize=32)
def _rosette_paths(seed: str, ready: str) -> tuple[str, str]:
    if ready in _ROUND:
        return _ROUND[ready](seed)
    dice = Dice("rosette " + seed)
    lobes, turns = _WINDINGS[dice.pick(len(_WINDINGS))]
    core_lobes, core_turns = _CORES[dice.pick(len(_CORES))]
    waist = dice.between(270, 330)
    weave = _Winding(lobes, turns, waist, 494, dice.between(0, 6.28))
    core = _Winding(core_lobes, core_turns, dice.between(60, 120), waist - dice.between(14, 30), dice.between(0, 6.28))
    return weave.path(), core.path()


def rosette(
    seed: str, *, paint: Paint, stroke: Token = "weave", core: Token | None = None, line: float = 5, extra: str = ""
) -> str:
    """A round ornament as an SVG string, hidden from screen readers.

    ``line`` is the thickness of the lines in thousandths of the ornament's width, ``core`` the colour of the inner
    flower where it differs, ``extra`` further attributes of the ``svg`` element (``class``, ``width`` …).
    """
    weave, flower = rosette_paths(seed)
    colour, inner = paint("none", stroke), paint("none", core or stroke)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-500 -500 1000 1000" aria-hidden="true"{_lead(extra)}>'
        f'<path d="{weave}"{colour} stroke-width="{line:g}"/><path d="{flower}"{inner} stroke-width="{line:g}"/></svg>'
    )


def band_paths(seed: str, width: float = 720, height: float = 40) -> tuple[str, ...]:
    """Path data of the strands of a band ``width`` × ``height`` in the look in use, in tenths of those units."""
    return _band_paths(seed, width, height, assets.own().ready)


@lru_cache(maxsize=32)
def _band_paths(seed: str, width: float, height: float, ready: str) -> tuple[str, ...]:
    if ready in _LONG:
        return _LONG[ready](seed, width, height)
    dice = Dice("band " + seed)
    strands = 6 + dice.pick(3)
    wave = _Wave(
        waves=7 + dice.pick(5),
        beats=2 + dice.pick(3),
        depth=dice.between(0.5, 0.8),
        shift=dice.between(0, 6.28),
        width=width * 10,
        height=height * 10,
    )
    return tuple(wave.path(2 * math.pi * k / strands) for k in range(strands))


@dataclass(frozen=True, slots=True)
class _Wave:
    """A wave along a band whose height swells and ebbs ``beats`` times, by ``depth`` of the whole."""

    waves: int
    beats: int
    depth: float
    shift: float
    width: float
    height: float

    def path(self, phase: float) -> str:
        """Path data of one strand, ``phase`` radians ahead, from before the start to past the end of the band."""

        def at(x: float) -> Point:
            beat = math.cos(2 * math.pi * self.beats * x / self.width + self.shift + phase)
            swell = 1 - self.depth / 2 + self.depth / 2 * beat
            swing = math.sin(2 * math.pi * self.waves * x / self.width + phase)
            return x, self.height * (0.5 + 0.47 * swell * swing)

        # Points on the crests and in the troughs.
        length = self.width / self.waves
        start = length * (0.25 - phase / (2 * math.pi) - 1)
        return _spline(at, start, start + (self.waves + 2) * length, 2 * self.waves + 4)


def band(
    seed: str,
    *,
    paint: Paint,
    stroke: Token = "weave",
    second: Token | None = None,
    line: float = 0.8,
    width: float = 720,
    height: float = 40,
    sparse: bool = False,
    extra: str = "",
) -> str:
    """A long ornament for the head of a page as an SVG string, hidden from screen readers.

    It fills the box that it is given and is cut at the ends, never stretched. ``line`` is the thickness of the lines
    in the same units as ``width`` and ``height``; ``second`` is the colour of every other strand where it differs;
    ``sparse`` leaves every other strand out.
    """
    strands = band_paths(seed, width, height)[:: 2 if sparse else 1]
    groups = [(stroke, strands[::2]), (second, strands[1::2])] if second else [(stroke, strands)]
    paths = "".join(f'<path d="{"".join(group)}"{paint("none", colour)}/>' for colour, group in groups)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width * 10:g} {height * 10:g}" '
        f'preserveAspectRatio="xMidYMid slice" aria-hidden="true"{_lead(extra)}>'
        f'<g stroke-width="{line * 10:g}">{paths}</g></svg>'
    )


def _lead(extra: str) -> str:
    return f" {extra}" if extra else ""
