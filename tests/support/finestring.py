"""A racquet's string, hole by hole and bend by bend: another model than the program's, for figures to be judged by.

It shares no code with the program. Each string is a chain of short pieces: a wave over and under the strings that it
crosses, a pass through the hoop that bends from the string's own direction to the hoop's normal, an arc in the groove to
the next hole, and at the ends a run to the tie-off hole with a knot of turns round the string there. Frames differ: the
depth of the groove, the slant of the holes, the tails that were left. What a knot and a groove measure is common
practice, no source.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

TURNS = 5
"""Turns of a knot round the string that holds it."""


@dataclass(frozen=True)
class Frame:
    """Dimensions in mm as the catalogue says them; ``start`` of mains and crosses, ``pieces`` of string and ``knots``.

    ``half_width`` gives another outline than the ellipse: the half-width in mm by the share of the length from the middle, −1
    at the throat. Mains that fan out are the first of ``spacings`` apart at the tip's end, and ``throat`` at the throat's.
    """

    length: float
    head: tuple[float, float]
    rim: float
    counts: tuple[int, int]
    spacings: tuple[float, float]
    start: tuple[str, str] = ("throat", "head")
    pieces: int = 1
    knots: int = 2
    half_width: Callable[[float], float] | None = None
    throat: float = 0.0
    first_cross: float = 0.0

    def edge(self, t: float) -> tuple[float, float]:
        """A point of the strung area's edge, mm from its middle, by its angle from the tip."""
        share = math.cos(t)
        if self.half_width is None:
            return self.head[0] / 2 * share, self.head[1] / 2 * math.sin(t)
        return self.head[0] / 2 * share, math.copysign(self.half_width(share), math.sin(t))

    def main_y(self, at: float, x: float) -> float:
        """Where the main that is ``at`` spacings from the long axis lies ``x`` mm from the head's middle."""
        head, throat = self.spacings[0], self.throat or self.spacings[0]
        return at * (throat + (head - throat) * (x / self.head[0] + 0.5))

    @property
    def centre(self) -> float:
        """Middle of the head, mm from the butt."""
        return self.length - self.rim - self.head[0] / 2


@dataclass(frozen=True)
class Ways:
    """What one frame and one stringing have of their own: shares of the rim, mm of tail, and string per length."""

    groove: float = 0.22
    slant: float = 0.5
    tail: float = 6.0
    density: float = 1.0

    @classmethod
    def drawn(cls, rng: np.random.Generator) -> "Ways":
        """As they happen to be."""
        return cls(
            groove=float(np.clip(rng.normal(0.22, 0.06), 0.05, 0.4)),
            slant=float(np.clip(rng.normal(0.5, 0.2), 0.0, 1.0)),
            tail=float(max(3.0, rng.normal(7.0, 2.0))),
            density=float(rng.normal(1.0, 0.012)),
        )


class Chain:
    """Points of string with their masses: sums of m, m·x, m·x² and m·y²."""

    def __init__(self) -> None:
        """Nothing yet."""
        self.sums = np.zeros(4)
        self.run = 0.0

    def lay(self, points: np.ndarray, g_per_m: float) -> None:
        """Add a polyline of (x, y, z) points in mm."""
        steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
        middle = (points[1:] + points[:-1]) / 2
        m = steps * g_per_m / 1000
        self.sums += [m.sum(), m @ middle[:, 0], m @ middle[:, 0] ** 2, m @ middle[:, 1] ** 2]
        self.run += steps.sum()


def moments(frame: Frame, densities: tuple[float, float], gauge: float, ways: Ways = Ways()) -> np.ndarray:
    """Mass g, first moment g·mm, second moment about the butt and polar moment g·mm² of the whole string."""
    chain = Chain()
    mains, crosses = ([string_ends(frame, side, at) for at in places(frame, side)] for side in (0, 1))
    for side, strings in ((0, mains), (1, crosses)):
        per_metre = densities[side] * ways.density
        for ends in strings:
            chain.lay(_wave(ends, frame.spacings[1 - side], gauge), per_metre)
            for end in (0, 1):
                chain.lay(_pass(frame, ends, end, ways), per_metre)
        for one, other, end in _joins(frame, side, len(strings)):
            chain.lay(
                _arc(frame, _leaves(frame, strings[one], end, ways), _leaves(frame, strings[other], end, ways), ways),
                per_metre,
            )
    _knots(chain, frame, mains, crosses, densities, gauge, ways)
    return chain.sums


def places(frame: Frame, side: int) -> list[float]:
    """Where the mains lie across the head, or the crosses along it, mm from its middle."""
    step, count = frame.spacings[side], frame.counts[side]
    if side == 1 and frame.first_cross:
        return [frame.head[0] / 2 - frame.first_cross - (count - 1 - i) * step for i in range(count)]
    return [(i - (count - 1) / 2) * step for i in range(count)]


def string_ends(frame: Frame, side: int, at: float) -> np.ndarray:
    """The two ends of a string, at the throat and the head or on the left and the right."""
    a, b = frame.head[0] / 2, frame.head[1] / 2
    if frame.half_width:
        return _ends_on_edge(frame, side, at)
    if side == 0:
        half = a * math.sqrt(1 - (at / b) ** 2)
        return np.array([[frame.centre - half, at, 0.0], [frame.centre + half, at, 0.0]])
    half = b * math.sqrt(1 - (at / a) ** 2)
    return np.array([[frame.centre + at, -half, 0.0], [frame.centre + at, half, 0.0]])


def _ends_on_edge(frame: Frame, side: int, at: float) -> np.ndarray:
    """The two ends of a string of a frame that is no ellipse, by halving."""
    if side == 1:
        half = frame.half_width(2 * at / frame.head[0])
        return np.array([[frame.centre + at, -half, 0.0], [frame.centre + at, half, 0.0]])
    steps, ends = at / frame.spacings[0], []
    for way in (-1, 1):
        near, far = 0.0, way * frame.head[0] / 2
        for _ in range(40):
            x = (near + far) / 2
            inside = abs(frame.main_y(steps, x)) < frame.half_width(2 * x / frame.head[0])
            near, far = (x, far) if inside else (near, x)
        ends.append([frame.centre + near, frame.main_y(steps, near), 0.0])
    return np.array(ends)


@lru_cache(maxsize=8)
def _groove(frame: Frame, share: float) -> np.ndarray:
    """Points all round the groove, half a degree apart."""
    turns = np.linspace(-math.pi, math.pi, 720, endpoint=False) + 1e-4
    edge = [np.array([frame.centre + x, y, 0.0]) for x, y in map(frame.edge, turns)]
    return np.array([(spot + frame.rim * (1 - share) * _normal(frame, spot))[:2] for spot in edge])


def turn_of(frame: Frame, spot: np.ndarray) -> float:
    """The angle of a point of the edge."""
    share = min(1.0, max(-1.0, 2 * (spot[0] - frame.centre) / frame.head[0]))
    return math.copysign(math.acos(share), spot[1])


def _wave(ends: np.ndarray, spacing: float, gauge: float) -> np.ndarray:
    share = np.linspace(0, 1, 400)[:, None]
    points = ends[0] + share * (ends[1] - ends[0])
    run = share[:, 0] * np.linalg.norm(ends[1] - ends[0])
    points[:, 2] = gauge / 2 * np.sin(math.pi * run / spacing)
    return points


def _normal(frame: Frame, spot: np.ndarray) -> np.ndarray:
    if frame.half_width:
        t = turn_of(frame, spot)
        (x1, y1), (x2, y2) = frame.edge(t - 0.01), frame.edge(t + 0.01)
        return np.array([y2 - y1, x1 - x2, 0.0]) / math.hypot(x2 - x1, y2 - y1)
    n = np.array([(spot[0] - frame.centre) / (frame.head[0] / 2) ** 2, spot[1] / (frame.head[1] / 2) ** 2, 0.0])
    return n / np.linalg.norm(n)


def _pass(frame: Frame, ends: np.ndarray, end: int, ways: Ways) -> np.ndarray:
    spot, along = ends[end], ends[end] - ends[1 - end]
    along = along / np.linalg.norm(along)
    normal = _normal(frame, spot)
    hole = ways.slant * normal + (1 - ways.slant) * along
    hole = hole / np.linalg.norm(hole)
    deep = frame.rim * (1 - ways.groove) / max(0.5, float(hole @ normal))
    return np.array([spot, spot + deep * hole])


def _leaves(frame: Frame, ends: np.ndarray, end: int, ways: Ways) -> np.ndarray:
    return _pass(frame, ends, end, ways)[1]


def _joins(frame: Frame, side: int, count: int) -> list[tuple[int, int, int]]:
    """Which strings are joined at which end: mains from their middle, crosses one after another."""
    if side == 0:
        first = int(frame.start[0] == "head")
        return [(i, i + 1, (first + abs(i - (count // 2 - 1))) % 2) for i in range(count - 1)]
    order = range(count) if frame.start[1] == "throat" else range(count - 1, -1, -1)
    return [(i, j, k % 2) for k, (i, j) in enumerate(zip(order, list(order)[1:], strict=False))]


def _arc(frame: Frame, start: np.ndarray, end: np.ndarray, ways: Ways) -> np.ndarray:
    """Along the groove, the short way round."""
    if frame.half_width:
        groove = _groove(frame, ways.groove)
        count = len(groove)
        one, other = (int(np.hypot(*(groove - p[:2]).T).argmin()) for p in (start, end))
        turn = (other - one + count // 2) % count - count // 2
        at = [round(one + turn * k / 12) % count for k in range(1, 12)]
        return np.vstack([start, np.hstack([groove[at], np.zeros((11, 1))]), end])
    a, b = (half / 2 + frame.rim * (1 - ways.groove) for half in frame.head)
    t0, t1 = (math.atan2(p[1] / b, (p[0] - frame.centre) / a) for p in (start, end))
    turn = (t1 - t0 + math.pi) % (2 * math.pi) - math.pi
    t = t0 + turn * np.linspace(0, 1, 20)
    inner = np.stack([frame.centre + a * np.cos(t), b * np.sin(t), np.zeros_like(t)], axis=1)
    return np.vstack([start, inner[1:-1], end])


def _knots(chain, frame, mains, crosses, densities, gauge, ways) -> None:
    """Ends of string: to the tie-off hole two holes back, through the hoop, and round the string there."""
    head = int(frame.start[1] == "head")
    first = crosses[-1] if head else crosses[0]
    if frame.pieces == 1:
        chain.lay(
            _arc(frame, _leaves(frame, mains[-1], head, ways), _leaves(frame, first, 1, ways), ways), densities[1]
        )
    mains_end = 1 - head
    if frame.half_width:  # both ends of a head are not alike, so it counts at which one the mains end
        mains_end = int(frame.start[0] == "head") ^ (frame.counts[0] // 2 % 2)
    places = [(0, mains[0], mains[2], mains_end), (1, crosses[0 if head else -1], crosses[2 if head else -3], 0)]
    places += [(0, mains[-1], mains[-3], mains_end), (1, first, crosses[-3 if head else 2], 1)]
    for side, own, held, end in places[: frame.knots]:
        per_metre = densities[side] * ways.density
        hole = _leaves(frame, held, end, ways)
        chain.lay(_arc(frame, _leaves(frame, own, end, ways), hole, ways), per_metre)
        chain.lay(_pass(frame, held, end, ways)[::-1], per_metre)
        spot = held[end]
        t = np.linspace(0, 2 * math.pi * TURNS / 2.5, 60)
        turns = np.stack(
            [spot[0] + gauge * np.cos(t), spot[1] + gauge * np.sin(t), np.linspace(0, 2 * gauge, 60)], axis=1
        )
        chain.lay(turns, per_metre)
        chain.lay(np.array([spot, spot + np.array([0.0, 0.0, ways.tail])]), per_metre)
