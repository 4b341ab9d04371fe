"""Whether equations agree with each other, and which reading or which input is the likeliest to be wrong where not.

With S = C·Cᵀ the covariance of the misses r, rᵀS⁻¹r is χ² of as many degrees of freedom as there are equations: the test
of all together. A mistake that would shift the misses along c shows as w = cᵀS⁻¹r / √(cᵀS⁻¹c), a standard normal figure
where there is none; the largest |w| names the culprit (data snooping: W. Baarda 1968, "A testing procedure for use in
geodetic networks", Netherlands Geodetic Commission, from memory).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from passport.physics.conditioning import Constraint

Array = NDArray[np.float64]

ALARM: Final = 0.001
"""Chance of readings that are all right to be further apart than this, below which something is taken to be wrong
(the level that goes with data snooping, from memory)."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """``chi_square`` of ``degrees`` of freedom, the ``probability`` of a larger one, and |w| of each suspect by name."""

    chi_square: float
    degrees: int
    probability: float
    strays: Mapping[str, float]


def agreement(seen: Sequence[Constraint], suspects: Mapping[str, Sequence[float]]) -> Agreement:
    """How equations agree; ``suspects`` say by name what a mistake of theirs would do to each equation.

    A suspect that does nothing to any equation strays by 0. Raises ``ValueError`` for a direction of another length.
    """
    if any(len(direction) != len(seen) for direction in suspects.values()):
        raise ValueError("a suspect says for each equation what it does to it")
    if not seen:
        return Agreement(0.0, 0, 1.0, dict.fromkeys(suspects, 0.0))
    from scipy.special import chdtrc  # a tenth of a second that other commands need not wait for

    inverse: Array = np.asarray(np.linalg.inv(covariance_of(seen)), dtype=np.float64)
    misses = np.array([one.miss for one in seen])
    pull = inverse @ misses
    square = float(misses @ pull)
    strays = {name: _stray(direction, inverse, pull) for name, direction in suspects.items()}
    return Agreement(square, len(seen), float(chdtrc(len(seen), max(0.0, square))), strays)


def covariance_of(seen: Sequence[Constraint]) -> Array:
    """The covariance of the misses of n equations: n × n."""
    names = sorted({name for one in seen for name in one.shifts})
    rows = np.array([[one.shifts.get(name, 0.0) for name in names] for one in seen])
    found: Array = rows @ rows.T
    return found


def _stray(shift: Sequence[float], inverse: Array, pull: Array) -> float:
    direction: Array = np.asarray(shift, dtype=np.float64)
    size = float(direction @ inverse @ direction)
    return abs(float(direction @ pull)) / float(size**0.5) if size > 0 else 0.0
