"""How a string bed over any outline rings: as a smooth membrane, and as the net of single strings that it is.

Rayleigh–Ritz: the bed moves as a sum of functions that vanish at the rim, and the lowest frequency is the least that a
sum of them has, which is never too low and here right to 1e-4 (Rayleigh, Theory of Sound I, ch. IX; Ritz 1909, both from
memory). Everything is symmetric in the long axis.

In the coordinates X = ξ, Y = η/p(ξ) every outline is the unit disc, so the functions are (1 − X² − Y²)·Xⁱ·Y²ʲ for all of
them. A smooth bed is integrated over the disc; of a net each string is integrated along itself, so that a head whose
strings stop short of its rim, a fan, and mains or crosses that are few, all count as they are. What is left out of the net
is that strings bend at their crossings alone, most of all where the last ones are far from the rim: nets that are solved
crossing by crossing ring up to 0.13 % lower.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from passport.physics.head.outline import HeadOutline
from passport.physics.quadrature import nodes

Matrix = tuple[tuple[float, ...], ...]

DEGREE: Final = 4
"""Greatest power of the functions beside their rim factor."""
_POWERS: Final = tuple((i, 2 * j) for i in range(DEGREE + 1) for j in range((DEGREE - i) // 2 + 1))
_SIZE: Final = len(_POWERS)
_AROUND: Final = 24
"""Places along the disc; they lie as cosines of equal angles, for which the sums converge faster than any power."""
_ROUNDS: Final = 60


@dataclass(frozen=True, slots=True)
class Energies:
    """Quadratic forms of a bed, pure numbers: of ``mains`` and ``crosses`` the stretching and the moving (``_mass``).

    A smooth bed and a net of the same strings have the same unit, so they are compared one by one.
    """

    mains: Matrix
    crosses: Matrix
    mains_mass: Matrix
    crosses_mass: Matrix

    def lowest(self, stretch: tuple[float, float], mass: tuple[float, float]) -> "Mode":
        """The slowest vibration: the least ω² of ``stretch[0]``·mains + ``stretch[1]``·crosses against the same of the masses.

        By inverse iteration from the rim's own function, which is close to it.
        """
        stiff = _sum(stretch, self.mains, self.crosses)
        heavy = _sum(mass, self.mains_mass, self.crosses_mass)
        root = _cholesky(stiff)
        shape = [1.0] + [0.0] * (_SIZE - 1)
        found = math.inf
        for _ in range(_ROUNDS):
            shape = _solved(root, [sum(map(_times, row, shape)) for row in heavy])
            scale = math.sqrt(_energy(heavy, shape))
            shape = [v / scale for v in shape]
            last, found = found, _energy(stiff, shape)
            if abs(last - found) < 1e-13 * found:
                break
        parts = (self.mains, self.crosses), (self.mains_mass, self.crosses_mass)
        (mains, crosses), (heavy_mains, heavy_crosses) = (tuple(_energy(m, shape) for m in pair) for pair in parts)
        return Mode((mains, crosses), (heavy_mains, heavy_crosses))


@dataclass(frozen=True, slots=True)
class Mode:
    """A vibration by the energies that it has in mains and crosses, for a stretch and a mass of 1 each."""

    stretched: tuple[float, float]
    moved: tuple[float, float]

    def squared(self, stretch: tuple[float, float], mass: tuple[float, float]) -> float:
        """ω² by Rayleigh's quotient: exact for the bed that the vibration is of, right to second order for one close to it."""
        above = stretch[0] * self.stretched[0] + stretch[1] * self.stretched[1]
        return above / (mass[0] * self.moved[0] + mass[1] * self.moved[1])


@dataclass(frozen=True, slots=True)
class Net:
    """The strings of a bed as shares of half the head's size: of the ``mains`` those from the middle to the right, each at
    its η at the middle of the head, of the ``crosses`` the ξ. ``fan`` is how much further apart the mains are at the tip's
    end than at the middle, as a share, ``width`` the head's width over its length, ``steps`` the spacings of both.
    """

    outline: HeadOutline
    fan: float
    width: float
    mains: tuple[float, ...]
    crosses: tuple[float, ...]
    steps: tuple[float, float]

    def energies(self) -> Energies:
        """String by string."""
        return _net(self)


@lru_cache(maxsize=256)
def smooth(outline: HeadOutline, fan: float = 0.0) -> Energies:
    """A bed that is one smooth membrane, with mains that fan out by ``fan``."""
    found = _ProductSums()
    for k in range(_AROUND):
        turn = math.pi * (k + 0.5) / _AROUND
        x, edge = math.cos(turn), math.sin(turn)
        p, across = outline.p(x), 1 + fan * x
        lean = fan / across - outline.slope(x) / p
        for y, weight in nodes(0.0, edge, 2):
            part = 2 * weight * math.pi / _AROUND * edge
            value, along, sideways = _functions(x, y, lean)
            found.add(along, part * p / across, found.mains)
            found.add(sideways, part / p, found.crosses)
            found.add(value, part * p / across, found.mains_mass)
            found.add(value, part * p, found.crosses_mass)
    return found.whole()


@lru_cache(maxsize=256)
def _net(net: Net) -> Energies:
    found, outline = _ProductSums(), net.outline
    for eta in net.mains:
        both = net.steps[0] * (2 if eta > 1e-9 else 1)
        for x, y, weight in _along_main(outline, net.fan, eta):
            p, across = outline.p(x), 1 + net.fan * x
            lean = net.fan / across - outline.slope(x) / p
            longer = math.hypot(1, net.width * eta * net.fan)  # than the way along the axis: it runs aslant
            value, along, _ = _functions(x, y, lean)
            found.add(along, both * weight / longer, found.mains)
            found.add(value, both * weight * longer, found.mains_mass)
    for x in net.crosses:
        p, edge = outline.p(x), math.sqrt(max(0.0, 1 - x * x))
        for y, weight in nodes(0.0, edge, 2):
            value, _, sideways = _functions(x, y, 0.0)
            found.add(sideways, 2 * net.steps[1] * weight / p, found.crosses)
            found.add(value, 2 * net.steps[1] * weight * p, found.crosses_mass)
    return found.whole()


def _along_main(outline: HeadOutline, fan: float, eta: float) -> Iterable[tuple[float, float, float]]:
    """X, Y and the weight of places along a main, as far as it is inside the head."""
    span = outline.span(eta, fan)
    if span is None:
        return
    for x, weight in nodes(*span, 3):
        yield x, eta * (1 + fan * x) / outline.p(x), weight


def _functions(x: float, y: float, lean: float) -> tuple[list[float], list[float], list[float]]:
    """All functions at (X, Y), their slopes along a main that leans by ``lean``·Y, and those by Y."""
    rim = 1 - x * x - y * y
    xs = [x**i for i in range(DEGREE + 1)]
    ys = [y**j for j in range(DEGREE + 1)]
    value, along, sideways = [], [], []
    for i, j in _POWERS:
        term = xs[i] * ys[j]
        by_x = -2 * x * term + (rim * i * xs[i - 1] * ys[j] if i else 0.0)
        by_y = -2 * y * term + (rim * j * xs[i] * ys[j - 1] if j else 0.0)
        value.append(rim * term)
        along.append(by_x + lean * y * by_y)
        sideways.append(by_y)
    return value, along, sideways


class _ProductSums:
    """Sums of products of the functions, the lower triangles of four matrices."""

    def __init__(self) -> None:
        """All are 0 to begin with."""
        self.mains, self.crosses, self.mains_mass, self.crosses_mass = (
            [[0.0] * (k + 1) for k in range(_SIZE)] for _ in range(4)
        )

    @staticmethod
    def add(values: list[float], weight: float, into: list[list[float]]) -> None:
        """Add the products of ``values`` by twos."""
        for k, row in enumerate(into):
            own = weight * values[k]
            for j in range(k + 1):
                row[j] += own * values[j]

    def whole(self) -> Energies:
        """The matrices with both triangles."""
        return Energies(*(_mirrored(each) for each in (self.mains, self.crosses, self.mains_mass, self.crosses_mass)))


def _mirrored(lower: list[list[float]]) -> Matrix:
    return tuple(tuple(lower[max(i, j)][min(i, j)] for j in range(_SIZE)) for i in range(_SIZE))


def _times(one: float, other: float) -> float:
    return one * other


def _energy(matrix: Iterable[Iterable[float]], shape: list[float]) -> float:
    return sum(v * sum(map(_times, row, shape)) for v, row in zip(shape, matrix, strict=True))


def _sum(by: tuple[float, float], one: Matrix, other: Matrix) -> list[list[float]]:
    p, q = by
    return [[p * a + q * b for a, b in zip(row, line, strict=True)] for row, line in zip(one, other, strict=True)]


def _cholesky(matrix: list[list[float]]) -> list[list[float]]:
    """The lower triangle L with L·Lᵀ = ``matrix``, which is positive definite."""
    root: list[list[float]] = []
    for i, row in enumerate(matrix):
        line: list[float] = []
        for j in range(i):
            line.append((row[j] - sum(map(_times, line, root[j]))) / root[j][j])
        line.append(math.sqrt(row[i] - sum(v * v for v in line)))
        root.append(line)
    return root


def _solved(root: list[list[float]], right: list[float]) -> list[float]:
    """x with L·Lᵀ·x = ``right``."""
    down: list[float] = []
    for row, value in zip(root, right, strict=True):
        down.append((value - sum(map(_times, row, down))) / row[len(down)])
    up = [0.0] * len(down)
    for i in reversed(range(len(down))):
        up[i] = (down[i] - sum(root[k][i] * up[k] for k in range(i + 1, len(up)))) / root[i][i]
    return up
