"""Moments together with their uncertainty: every independent input keeps its own share.

A body remembers, for each input that it was worked out from, how its moments shift when that input is one standard
uncertainty larger. Shifts of one input add before they are squared, so whatever cancels (a grip taken off and put on
again) or enters twice (balance: JCGM 100, 5.2, correlated inputs) is right without any correlation coefficient. To
first order this is the multivariate propagation of JCGM 102:2011, 6.2.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Self

from passport.physics.moments import SWING_AXIS_MM, Moments
from passport.physics.uncertainty import Estimate, Share, combined

NOTHING = Moments(0.0, 0.0, 0.0, 0.0)
"""No mass at all."""


def shifted(moments: Moments, along: float) -> Moments:
    """The same body moved ``along`` mm away from the butt: m₁ + m₀d and m₂ + 2m₁d + m₀d²."""
    m0, m1, m2 = moments.m0, moments.m1, moments.m2
    return Moments(m0, m1 + m0 * along, m2 + 2 * m1 * along + m0 * along**2, moments.polar)


@dataclass(frozen=True, slots=True)
class Body:
    """``moments`` with ``shifts``: for each input, by name, their change for one standard uncertainty of it."""

    moments: Moments
    shifts: Mapping[str, Moments] = field(default_factory=dict)

    @classmethod
    def of(cls, model: Callable[[Mapping[str, float]], Moments], inputs: Mapping[str, Estimate]) -> Self:
        """What ``model`` makes of the values of ``inputs``, with shifts by central differences (JCGM 100, 5.1.3)."""
        values = {name: estimate.value for name, estimate in inputs.items()}
        shifts = {
            name: (model({**values, name: e.value + e.u}) - model({**values, name: e.value - e.u})).scaled(0.5)
            for name, e in inputs.items()
            if e.u > 0
        }
        return cls(model(values), shifts)

    @classmethod
    def total(cls, bodies: Iterable[Self]) -> Self:
        """All ``bodies`` together."""
        whole = cls(NOTHING)
        for body in bodies:
            whole = whole + body
        return whole

    def __add__(self, other: Self) -> Self:
        """The two bodies together; an input of both is one input."""
        shifts = dict(self.shifts)
        for name, shift in other.shifts.items():
            # Added before they are squared: what two parts share (one scale, one model's dimensions) counts once, with
            # its sign.
            shifts[name] = shifts[name] + shift if name in shifts else shift
        return type(self)(self.moments + other.moments, shifts)

    def __sub__(self, other: Self) -> Self:
        """This body without the other."""
        return self + other.scaled(-1)

    def scaled(self, factor: float) -> Self:
        """The same body ``factor`` times, uncertainty included."""
        return type(self)(self.moments.scaled(factor), {name: s.scaled(factor) for name, s in self.shifts.items()})

    def mass(self) -> Estimate:
        """Mass, g, with its uncertainty and where it comes from."""
        return self._figure(self.moments.mass, lambda shift: shift.m0)

    def balance(self) -> Estimate:
        """Balance, mm from the butt. Raises ``ValueError`` for a body without mass."""
        centre, mass = self.moments.balance, self.moments.m0
        return self._figure(centre, lambda shift: (shift.m1 - centre * shift.m0) / mass)

    def swingweight(self, axis: float = SWING_AXIS_MM) -> Estimate:
        """Swingweight about ``axis`` mm from the butt, kg·cm²."""
        return self._figure(self.moments.swingweight(axis), lambda shift: shift.swingweight(axis))

    def twistweight(self) -> Estimate | None:
        """Twistweight, kg·cm², or None where it is not known."""
        value = self.moments.twistweight
        return None if value is None else self._figure(value, lambda shift: shift.twistweight or 0.0)

    def _figure(self, value: float, change: Callable[[Moments], float]) -> Estimate:
        """A figure with its u; the sensitivity of a share is its change for one standard uncertainty, signed."""
        changes = [(name, change(shift)) for name, shift in self.shifts.items()]
        return Estimate(value, combined(*(c for _, c in changes)), tuple(Share(n, c, abs(c)) for n, c in changes))
