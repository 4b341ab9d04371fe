"""How far the figures of a plan may be off from what is wanted, as a covariance; and the chance that all are inside.

Every independent input of the figures is one name with the changes that one standard uncertainty of it makes (JCGM 102,
6.2). A name that the body and the target share moves both, and what it moves alike drops out of their difference.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Self

import numpy as np
from numpy.typing import NDArray

from passport.physics.normal import COARSE, box_probability

Array = NDArray[np.float64]
Shifts = Mapping[str, Array]
"""For each input what one standard uncertainty of it changes: four numbers."""


@dataclass(frozen=True)
class Doubt:
    """What makes the figures of a plan unsure.

    ``start``: shifts of mass g, first moment g·mm, swingweight and twistweight kg·cm² of the body to start from.
    ``target``: shifts of what is wanted, mass g, balance mm, swing- and twistweight kg·cm². ``options``: for each group
    the covariance of the same four moments that each of its options adds, n × 4 × 4; they are independent of all else.
    ``swaps``: for each group that takes something off, the shifts of each option, which may share names with ``start``.
    """

    start: Shifts
    target: Shifts = field(default_factory=dict)
    options: Mapping[int, Array] = field(default_factory=dict)
    swaps: Mapping[int, tuple[Shifts, ...]] = field(default_factory=dict)

    def after(self, group: int, option: int) -> Self:
        """The doubt of the body after one swap."""
        change = self.swaps[group][option]
        nothing = np.zeros(4)
        names = {*self.start, *change}
        return replace(self, start={n: self.start.get(n, nothing) + change.get(n, nothing) for n in names})

    @cached_property
    def _common(self) -> tuple[Array, Array, Array]:
        """Covariances of the start's moments, of those with the target, and of the target."""
        names, nothing = sorted({*self.start, *self.target}), np.zeros(4)
        start = np.array([self.start.get(name, nothing) for name in names]).reshape(-1, 4)
        target = np.array([self.target.get(name, nothing) for name in names]).reshape(-1, 4)
        return start.T @ start, start.T @ target, target.T @ target

    def covariance(self, moments: Array, added: Array) -> Array:
        """The covariance of mass, balance, swing- and twistweight less what is wanted, for n bodies: n × 4 × 4.

        ``moments``: n × 4, the bodies. ``added``: n × 4 × 4, what their options add to the covariance of the moments. A
        balance is linear in its inputs to first order: its change is (δm₁ − B·δm₀)/M (JCGM 100, 5.1.2).
        """
        start, shared, target = self._common
        turn = np.zeros((len(moments), 4, 4))
        turn[:, 0, 0] = turn[:, 2, 2] = turn[:, 3, 3] = 1.0
        turn[:, 1, 0] = -moments[:, 1] / moments[:, 0] ** 2
        turn[:, 1, 1] = 1 / moments[:, 0]
        crossed = turn @ shared
        found: Array = turn @ (start + added) @ turn.transpose(0, 2, 1)
        return found - crossed - crossed.transpose(0, 2, 1) + target


def chances(off: Array, covariance: Array, tolerances: Array, nodes: int = COARSE) -> Array:
    """For n bodies the probability that all of the wanted figures are inside."""
    return box_probability(off, covariance, tolerances, nodes)


def at_most(off: Array, covariance: Array, tolerances: Array) -> Array:
    """A bound on that probability: no figures are inside together more often than the least sure one by itself."""
    from scipy.special import ndtr  # a tenth of a second that other commands need not wait for

    u = np.sqrt(np.maximum(np.diagonal(covariance, axis1=1, axis2=2), (1e-6 * tolerances) ** 2))
    single = ndtr((tolerances - off) / u) - ndtr((-tolerances - off) / u)
    found: Array = single.min(axis=1) if single.shape[1] else np.ones(len(off))
    return found
