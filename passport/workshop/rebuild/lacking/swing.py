"""What a pendulum would tell of a frame whose swingweight is only estimated: a knife edge, a stopwatch, two minutes.

I = m·g·d·T²/4π² about the edge (any mechanics text), brought to the swing axis. With the edge as far from the balance
point as the radius of gyration the period is the shortest, and where exactly the edge sits does not matter to first
order: dI/dd = m·(k²/d − d) = 0 at d = k.
"""

import math
from dataclasses import dataclass
from typing import Final

from passport.physics.moments import Moments
from passport.physics.pendulum import PendulumReading, pendulum_period
from passport.physics.uncertainty import Estimate
from passport.workshop.measuring.measured import BY_HAND_S, GRAVITY, PLACED_MM, SWING_U

SWINGS: Final = 30
"""So many full swings are counted: half a minute to a minute."""

AMPLITUDE_DEGREES: Final = 5.0
"""How far it swings to each side; wider swings take longer."""

_STEP: Final = 5.0
"""The place of the edge is named to this many mm."""


@dataclass(frozen=True, slots=True)
class Timing:
    """A pendulum to hang: the edge ``pivot`` mm from the butt, the ``period`` of a swing in s, and the standard
    uncertainty ``u`` of the swingweight that it gives, kg·cm²."""

    pivot: float
    period: float
    u: float

    @property
    def seconds(self) -> float:
        """Time of all swings, s."""
        return SWINGS * self.period


def timing(body: Moments, mass: Estimate, balance: Estimate) -> Timing:
    """How to time a frame that swings like ``body``, whose mass (g) and balance (mm) are known that well."""
    swing, radius = math.radians(AMPLITUDE_DEGREES), math.sqrt(body.i_cm * 1e5 / body.mass)
    pivot = max(_STEP, round((body.balance - radius) / _STEP) * _STEP)
    period = pendulum_period(body, pivot, swing)
    reading = PendulumReading(
        mass,
        balance,
        Estimate(pivot, PLACED_MM),
        Estimate(SWINGS * period, BY_HAND_S),
        SWINGS,
        Estimate(swing, SWING_U * swing),
        GRAVITY,
    )
    return Timing(pivot, period, reading.swingweight().u)
