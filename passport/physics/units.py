"""Exact unit factors and the conversions of the trade.

Canonical units inside the program: mass g, length mm, inertia kg·cm², tension N, linear density g/m.

Sources of the factors: the yard and the pound are exact by the international yard and pound agreement of 1959
(1 yd = 0.9144 m, 1 lb = 0.45359237 kg); standard gravity is exact by the 3rd General Conference on Weights and
Measures, 1901 (9.80665 m/s²). Both are repeated in NIST Special Publication 811, appendix B.
"""

from typing import Final

STANDARD_GRAVITY: Final = 9.80665
"""Standard acceleration of free fall, m/s², exact (3rd CGPM, 1901)."""

G_PER_LB: Final = 453.59237
"""Grammes in an avoirdupois pound, exact (1959 agreement)."""

G_PER_OZ: Final = 28.349523125
"""Grammes in an avoirdupois ounce, exact: a sixteenth of a pound."""

MM_PER_IN: Final = 25.4
"""Millimetres in an inch, exact (1959 agreement)."""

N_PER_KGF: Final = STANDARD_GRAVITY
"""Newtons in a kilogramme-force, exact: the "kg" of a stringing machine."""

N_PER_LBF: Final = 4.4482216152605
"""Newtons in a pound-force, exact: 0.45359237 kg × 9.80665 m/s²; the "lb" of a stringing machine."""

GMM2_PER_KGCM2: Final = 1e5
"""g·mm² in a kg·cm²."""

KGCM2_PER_OZIN2: Final = G_PER_OZ * MM_PER_IN**2 / GMM2_PER_KGCM2
"""kg·cm² in an oz·in², 0.18289978…, from the exact ounce and inch."""

MM_PER_POINT: Final = MM_PER_IN / 8
"""Millimetres in one balance point: an eighth of an inch (common practice, no source)."""


def newtons_from_lb(lb: float) -> float:
    """Tension in N from pounds-force (the "lb" of a stringing machine)."""
    return lb * N_PER_LBF


def lb_from_newtons(newtons: float) -> float:
    """Tension in pounds-force from N."""
    return newtons / N_PER_LBF


def newtons_from_kg(kg: float) -> float:
    """Tension in N from kilogrammes-force (the "kg" of a stringing machine)."""
    return kg * N_PER_KGF


def kg_from_newtons(newtons: float) -> float:
    """Tension in kilogrammes-force from N."""
    return newtons / N_PER_KGF


def points_head_heavy(balance: float, length: float) -> float:
    """Balance points, positive for head heavy and negative for head light.

    ``balance`` (from the butt) and ``length`` (overall) in mm. One point is an eighth of an inch away from the middle
    of the length (common practice, no source).
    """
    return (balance - length / 2) / MM_PER_POINT


def points_head_light(balance: float, length: float) -> float:
    """Balance points, positive for head light and negative for head heavy; see :func:`points_head_heavy`."""
    return -points_head_heavy(balance, length)


def balance_from_head_heavy(points: float, length: float) -> float:
    """Balance in mm from the butt of a frame ``length`` mm long that is ``points`` head heavy (negative: light)."""
    return length / 2 + points * MM_PER_POINT


def balance_from_head_light(points: float, length: float) -> float:
    """Balance in mm from the butt of a frame ``length`` mm long that is ``points`` head light (negative: heavy)."""
    return balance_from_head_heavy(-points, length)
