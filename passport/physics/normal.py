"""Probability that several figures that hang together are all within their limits.

The figures have a multivariate normal distribution (JCGM 106:2012, 7.2, for several quantities; clause from memory).
The integral over the box of limits is taken by Genz's separation of variables (A. Genz 1992, "Numerical computation of
multivariate normal probabilities", J. Comput. Graph. Stat. 1:141–149, from memory), with Gauss-Legendre nodes in place of
random points, so that the same figures give the same probability on every machine.
"""

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FINE: Final = 32
"""Nodes for each variable but the last where the figure is shown: within 0.0005 of scipy's own integral in the tests."""

MIDDLING: Final = 16
"""Nodes where plans are told apart to a tenth of a per cent."""

COARSE: Final = 8
"""Nodes where many plans are ranked first and the best of them reckoned again."""

_LEAST_U: Final = 1e-6
"""A standard uncertainty of this share of half a tolerance counts as none; it keeps the covariance invertible."""

_AT_ONCE: Final = 2_000_000
"""How many points of the integral are held at a time: 16 MB for each of a dozen arrays."""


def box_probability(off: Array, covariance: Array, half: Array, nodes: int = FINE) -> Array:
    """Probability that each of d figures is within ``half`` of its target, for n sets of figures at once.

    ``off``: n × d distances of the figures from their targets. ``covariance``: n × d × d of those distances. ``half``:
    d half widths, all above 0. ``nodes``: Gauss-Legendre nodes for each of the first d − 1 variables. Returns n
    probabilities; 1 for no figures at all. Raises ``ValueError`` for a half width that is not above 0.
    """
    count, size = off.shape
    if size == 0:
        return np.ones(count)
    if not np.all(half > 0):
        raise ValueError("a tolerance is above 0")
    scaled: Array = off / half
    spread: Array = covariance / half[:, np.newaxis] / half[np.newaxis, :]
    # the least certain first: what is almost sure to be inside then varies least where it is integrated last
    order = np.argsort(-np.diagonal(spread, axis1=1, axis2=2).mean(axis=0), kind="stable")
    scaled, spread = scaled[:, order], spread[:, order][:, :, order]
    factors: Array = np.asarray(np.linalg.cholesky(_certain(spread)), dtype=float)
    step = max(1, _AT_ONCE // nodes ** (size - 1))
    blocks = [_separated(scaled[i : i + step], factors[i : i + step], nodes) for i in range(0, count, step)]
    return np.concatenate(blocks) if blocks else np.zeros(0)


def _certain(covariance: Array) -> Array:
    """A covariance with the smallest of uncertainties on top: no figure then follows exactly from the others."""
    return covariance + np.eye(covariance.shape[1]) * _LEAST_U**2


def _separated(off: Array, factors: Array, nodes: int) -> Array:
    """The integral for scaled limits of ± 1: one variable after the other, each given those before it."""
    from scipy.special import ndtr, ndtri  # a tenth of a second that other commands need not wait for

    count, size = off.shape
    points, weights = _grid(nodes, size - 1)
    total: Array = np.ones((count, 1))
    drawn = list[Array]()
    for i in range(size):
        mean = off[:, i, np.newaxis] + sum((factors[:, i, k, np.newaxis] * drawn[k] for k in range(i)), np.zeros(1))
        own = factors[:, i, i, np.newaxis]
        low, high = ndtr((-1.0 - mean) / own), ndtr((1.0 - mean) / own)
        total = total * (high - low)
        if i < size - 1:
            share = np.clip(low + points[i] * (high - low), 1e-16, 1 - 1e-16)
            drawn.append(ndtri(share))
    return np.asarray((total * weights).sum(axis=1), dtype=float)


@lru_cache(maxsize=16)
def _grid(nodes: int, size: int) -> tuple[tuple[Array, ...], Array]:
    """All combinations of nodes between 0 and 1 in ``size`` variables, and the weight of each."""
    if size == 0:
        return (), np.ones(1)
    at, weight = np.polynomial.legendre.leggauss(nodes)
    at, weight = (at + 1) / 2, weight / 2
    points = np.meshgrid(*[at] * size, indexing="ij")
    weights = np.ones(1)
    for _ in range(size):
        weights = np.multiply.outer(weights, weight).reshape(-1)
    return tuple(p.reshape(-1) for p in points), weights
