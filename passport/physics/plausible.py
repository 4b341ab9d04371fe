"""Can this mass, balance and swingweight belong to one racquet?"""

import math
from dataclasses import dataclass
from typing import Final, Literal

from passport.physics.moments import SWING_AXIS_MM, Moments

GYRATION_WINDOW: Final = (0.22, 0.42)
"""Radius of gyration about the centre of mass as a share of the length, between which a racquet may lie.

Common practice, no source, reached by reasoning: a uniform rod has 1/√12 = 0.289, two equal masses at the ends have
0.5, a rod whose mass is all in its middle half 0.144. A frame carries its mass in the handle and in the hoop with a
light throat between, so it lies near the rod or above it: about 0.28 (squash) over 0.33 (tennis) to 0.37 (badminton).
"""

Fault = Literal["", "mass", "balance", "too small", "too large", "concentrated", "spread out"]


@dataclass(frozen=True, slots=True)
class Plausibility:
    """What was found: ``fault`` is empty for a plausible racquet, ``reason`` says in words what is wrong.

    ``i_cm``: inertia about the centre of mass, kg·cm². ``gyration``: its radius as a share of the length (0 where
    there is none). ``low`` and ``high``: the swingweights between which this mass and balance would be plausible.
    """

    fault: Fault
    reason: str
    i_cm: float
    gyration: float
    low: float
    high: float

    def __bool__(self) -> bool:
        """True for a plausible racquet."""
        return not self.fault


def plausible(
    mass: float, balance: float, swingweight: float, length: float, axis: float = SWING_AXIS_MM
) -> Plausibility:
    """Judge a mass (g), balance (mm), swingweight (kg·cm², about ``axis`` mm) and length (mm) as one body.

    The hard bound 0 < I_cm ≤ M·B(L − B) holds for any body between butt and tip (Bhatia & Davis 2000, "A better bound
    on the variance", American Mathematical Monthly 107, from memory); the narrower :data:`GYRATION_WINDOW` holds for
    racquets.
    """
    if not mass > 0:
        return Plausibility("mass", f"a mass of {mass:g} g is not above 0", 0.0, 0.0, 0.0, 0.0)
    if not 0 < balance < length:
        reason = f"a balance of {balance:g} mm is not between the butt and the tip ({length:g} mm)"
        return Plausibility("balance", reason, 0.0, 0.0, 0.0, 0.0)
    i_cm = Moments.from_measured(mass, balance, swingweight, axis=axis).i_cm
    shift = swingweight - i_cm
    most = mass * balance * (length - balance) / 1e5
    low, high = (shift + mass * (share * length) ** 2 / 1e5 for share in GYRATION_WINDOW)
    gyration = math.sqrt(max(0.0, i_cm) * 1e5 / mass) / length
    fault = _fault(i_cm, most, gyration)
    return Plausibility(
        fault, _reason(fault, i_cm, most, gyration, shift), i_cm, gyration, low, min(high, shift + most)
    )


def _fault(i_cm: float, most: float, gyration: float) -> Fault:
    if not i_cm > 0:
        return "too small"
    if i_cm > most:
        return "too large"
    if gyration < GYRATION_WINDOW[0]:
        return "concentrated"
    return "spread out" if gyration > GYRATION_WINDOW[1] else ""


def _reason(fault: Fault, i_cm: float, most: float, gyration: float, shift: float) -> str:
    match fault:
        case "too small":
            return f"the mass at its balance point alone would already swing {shift:.1f} kg·cm²"
        case "too large":
            return f"even with all mass at butt and tip it could swing {shift + most:.1f} kg·cm² at most"
        case "concentrated":
            return (
                f"the mass would sit in a lump around the balance point (radius of gyration {gyration:.2f} of the "
                f"length; racquets have {GYRATION_WINDOW[0]:.2f} to {GYRATION_WINDOW[1]:.2f})"
            )
        case "spread out":
            return (
                f"the mass would sit at butt and tip with next to nothing between (radius of gyration {gyration:.2f} "
                f"of the length; racquets have {GYRATION_WINDOW[0]:.2f} to {GYRATION_WINDOW[1]:.2f})"
            )
    return ""
