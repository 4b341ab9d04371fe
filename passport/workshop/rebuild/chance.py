"""How sure a plan is: the covariance of its figures less what is wanted, and the chance that all are inside together.

The figures of a body hang on named inputs (`physics.body`), and so does a target that was read off a frame. What both hang
on, such as the correction of one instrument, moves both alike and drops out of their difference.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from passport.physics.body import Body
from passport.physics.moments import Moments
from passport.physics.normal import box_probability
from passport.physics.uncertainty import Estimate, Share
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.assumed import USUAL, Assumptions
from passport.workshop.measuring.specs import QUANTITIES
from passport.workshop.measuring.states import uncertain
from passport.workshop.rebuild.plan import Aim, Figures
from passport.workshop.solver.doubt import Doubt, Shifts

Array = NDArray[np.float64]

_ORDER: Final = {quantity: i for i, quantity in enumerate(QUANTITIES)}


def laid_body(moments: Moments, mass_name: str, place_name: str, assumed: Assumptions = USUAL) -> Body:
    """A piece that is weighed before it is fitted and laid to within a few millimetres."""
    return uncertain(moments, assumed.weighed, mass_name, assumed.placed, place_name)


def shift_rows(body: Body) -> dict[str, Array]:
    """For each input of a body the changes of mass, first moment, swing- and twistweight (0 where it is not known)."""
    return {
        name: np.array([shift.m0, shift.m1, shift.swingweight(), shift.twistweight or 0.0])
        for name, shift in body.shifts.items()
    }


def target_rows(aims: Iterable[Aim]) -> Shifts:
    """For each input of the targets the changes of mass, balance, swing- and twistweight."""
    rows: dict[str, Array] = {}
    for aim in aims:
        for name, change in _shares(aim).items():
            rows.setdefault(name, np.zeros(4))[_ORDER[aim.quantity]] += change
    return rows


def doubt_of(
    body: Body, aims: Iterable[Aim], options: Mapping[int, Array], swaps: Mapping[int, Sequence[Body]]
) -> Doubt:
    """What makes plans on a body unsure, as the search takes it; ``options`` and ``swaps`` by group."""
    taken_off = {group: tuple(shift_rows(swap) for swap in bodies) for group, bodies in swaps.items()}
    return Doubt(shift_rows(body), target_rows(aims), options, taken_off)


@dataclass(frozen=True)
class Deviation:
    """The figures of a plan less what is wanted of them.

    ``quantities``: which. ``off``: d distances from the targets. ``tolerances``: d. ``shifts``: for each input what one
    standard uncertainty of it does to the d distances.
    """

    quantities: tuple[QuantityName, ...]
    off: Array
    tolerances: Array
    shifts: Mapping[str, Array]

    @property
    def covariance(self) -> Array:
        """The covariance of the distances, d × d."""
        size = len(self.quantities)
        rows = np.array(list(self.shifts.values())).reshape(-1, size)
        found: Array = rows.T @ rows
        return found

    @property
    def chance(self) -> float:
        """The probability that all are within their tolerances (JCGM 106, 7.2, for several quantities)."""
        found = box_probability(self.off[np.newaxis], self.covariance[np.newaxis], self.tolerances)
        return float(min(1.0, max(0.0, found[0])))

    def u(self, quantity: QuantityName) -> float:
        """The standard uncertainty of one distance."""
        i = self.quantities.index(quantity)
        return float(sum(shift[i] ** 2 for shift in self.shifts.values()) ** 0.5)

    def estimate(self, quantity: QuantityName) -> Estimate:
        """One distance with its uncertainty and what that hangs on; what body and target have in common has dropped out."""
        i = self.quantities.index(quantity)
        rows = ((name, float(shift[i])) for name, shift in self.shifts.items())
        shares = tuple(Share(name, change, abs(change)) for name, change in rows if change)
        return Estimate(float(self.off[i]), self.u(quantity), shares)

    def better(self, factors: Mapping[str, float]) -> "Deviation":
        """The same with some inputs known better: each with so much of its uncertainty."""
        shifts = {name: shift * factors.get(name, 1.0) for name, shift in self.shifts.items()}
        return replace(self, shifts=shifts)


def deviation(figures: Figures, aims: Iterable[Aim]) -> Deviation:
    """How far figures are from what is wanted, and what that hangs on; quantities that nobody knows are left out."""
    wanted = [(aim, figure) for aim in aims if (figure := figures.get(aim.quantity)) is not None]
    shifts: dict[str, Array] = {}
    for i, (aim, figure) in enumerate(wanted):
        changes = _named(figure.shares, figure.u, f"figure, {aim.quantity}")
        theirs = _shares(aim)
        for name in {**changes, **theirs}:
            row = shifts.setdefault(name, np.zeros(len(wanted)))
            row[i] = changes.get(name, 0.0) - theirs.get(name, 0.0)
    return Deviation(
        tuple(aim.quantity for aim, _ in wanted),
        np.array([figure.value - aim.target for aim, figure in wanted], dtype=float),
        np.array([aim.tolerance for aim, _ in wanted], dtype=float),
        shifts,
    )


def _shares(aim: Aim) -> dict[str, float]:
    """What one standard uncertainty of each input does to a target."""
    return _named(aim.shares, aim.u, f"target, {aim.quantity}")


def _named(shares: Iterable[Share], u: float, otherwise: str) -> dict[str, float]:
    """Changes by the names of inputs; one input of its own where only the uncertainty is known."""
    named = {share.name: share.sensitivity for share in shares}
    return named or ({otherwise: u} if u else {})
