"""One small rule for integrals of smooth functions, so that the arcs need no heavy library."""

import math
from collections.abc import Callable

_INNER = math.sqrt(5 - 2 * math.sqrt(10 / 7)) / 3
_OUTER = math.sqrt(5 + 2 * math.sqrt(10 / 7)) / 3
_INNER_WEIGHT = (322 + 13 * math.sqrt(70)) / 900
_OUTER_WEIGHT = (322 - 13 * math.sqrt(70)) / 900
_RULE = (
    (-_OUTER, _OUTER_WEIGHT),
    (-_INNER, _INNER_WEIGHT),
    (0.0, 128 / 225),
    (_INNER, _INNER_WEIGHT),
    (_OUTER, _OUTER_WEIGHT),
)


def integrate(function: Callable[[float], float], start: float, end: float, panels: int = 8) -> float:
    """Integral of a smooth ``function`` from ``start`` to ``end`` by the five-point Gauss rule on equal ``panels``.

    Exact for polynomials up to degree nine (DLMF §3.5(v), Gauss–Legendre nodes and weights in closed form).
    """
    half = (end - start) / (2 * panels)
    middles = (start + (2 * i + 1) * half for i in range(panels))
    return half * sum(weight * function(middle + half * node) for middle in middles for node, weight in _RULE)


def nodes(start: float, end: float, panels: int = 8) -> list[tuple[float, float]]:
    """The places and weights of `integrate`, for sums of many functions at once."""
    half = (end - start) / (2 * panels)
    middles = [start + (2 * i + 1) * half for i in range(panels)]
    return [(middle + half * node, half * weight) for middle in middles for node, weight in _RULE]
