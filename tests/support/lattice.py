"""A string bed as a net of single strings: another way to its frequency than the membrane."""

import math
from collections.abc import Sequence

import numpy as np
from scipy.linalg import eigh

from passport.physics.geometry import RacquetShape

TENNIS = RacquetShape(685.8, 340, 250, 12, 180, 32, "open", 16, 19)
PATTERNS = [
    TENNIS,
    RacquetShape(685.8, 340, 250, 12, 180, 32, "open", 18, 20),
    RacquetShape(685.8, 340, 250, 12, 180, 32, "open", 16, 19, 11.5, 13),
    RacquetShape(675, 240, 186, 8, 170, 25, "shaft", 22, 21),
    RacquetShape(686, 335, 205, 8, 170, 25, "open", 14, 18),
]


def lattice_frequency(
    shape: RacquetShape, g_per_m: float, mains: float | Sequence[float], crosses: float | Sequence[float]
) -> float:
    """Lowest frequency in Hz of the bed as single stretched strings, tied where they cross, with their mass at the ties.

    ``mains`` N in each or in one after the other from left to right, ``crosses`` from the throat to the tip.
    """
    ys, xs, cx = shape.main_positions(), shape.cross_positions(), shape.head_centre
    node = {}
    for i, y in enumerate(ys):
        for j, x in enumerate(xs):
            if abs(x - cx) < shape.main_length(y) / 2:
                node[i, j] = len(node)
    stiff, mass = np.zeros((len(node), len(node))), np.zeros(len(node))

    def string(places: list[float], nodes: list[int], end: float, tension: float) -> None:
        stops = [-end, *places, end]
        ties = [-1, *nodes, -1]
        for k in range(len(stops) - 1):
            run = (stops[k + 1] - stops[k]) / 1000
            one, two = ties[k], ties[k + 1]
            for tie in (one, two):
                if tie >= 0:
                    stiff[tie, tie] += tension / run
                    mass[tie] += g_per_m / 1000 * run / 2
            if one >= 0 and two >= 0:
                stiff[one, two] -= tension / run
                stiff[two, one] -= tension / run

    for i, y in enumerate(ys):
        inside = [j for j in range(len(xs)) if (i, j) in node]
        string([xs[j] - cx for j in inside], [node[i, j] for j in inside], shape.main_length(y) / 2, _each(mains, i))
    for j, x in enumerate(xs):
        inside = [i for i in range(len(ys)) if (i, j) in node]
        string([ys[i] for i in inside], [node[i, j] for i in inside], shape.cross_length(x) / 2, _each(crosses, j))
    lowest = eigh(stiff, np.diag(mass), eigvals_only=True, subset_by_index=[0, 0])[0]
    return math.sqrt(lowest) / (2 * math.pi)


def _each(tension: float | Sequence[float], i: int) -> float:
    return tension[i] if isinstance(tension, Sequence) else tension
