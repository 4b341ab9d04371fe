"""Exact unit factors and the conversions of the trade.

Canonical units inside the program: mass g, length mm, inertia kg·cm², tension N, linear density g/m.

Sources of the factors: the yard and the pound are exact by the international yard and pound agreement of 1959
(1 yd = 0.9144 m, 1 lb = 0.45359237 kg); standard gravity is exact by the 3rd General Conference on Weights and
Measures, 1901 (9.80665 m/s²). Both are repeated in NIST Special Publication 811, appendix B.
"""

from types import MappingProxyType
from typing import Final

STANDARD_GRAVITY: Final = 9.80665
"""Standard acceleration of free fall, m/s², exact (3rd CGPM, 1901)."""

G_PER_LB: Final = 453.59237
"""Grammes in an avoirdupois pound, exact (1959 agreement)."""

G_PER_OZ: Final = 28.349523125
"""Grammes in an avoirdupois ounce, exact: a sixteenth of a pound."""

MM_PER_IN: Final = 25.4
"""Millimetres in an inch, exact (1959 agreement)."""

MM_PER_CM: Final = 10.0
"""Millimetres in a centimetre."""

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

TENNIS_GRIP_MM: Final = MappingProxyType({f"L{n}": (4 + n / 8) * MM_PER_IN for n in range(6)})
"""Circumference of a tennis handle by its size mark, mm: L*n* is 4 + *n*/8 in.

L1 to L5 are common practice, no source; L0 is from memory. Badminton "G" marks run the other way and must never be
looked up here.
"""


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


def grams_from_oz(oz: float) -> float:
    """Mass in g from avoirdupois ounces."""
    return oz * G_PER_OZ


def oz_from_grams(grams: float) -> float:
    """Mass in avoirdupois ounces from g."""
    return grams / G_PER_OZ


def mm_from_inches(inches: float) -> float:
    """Length in mm from inches."""
    return inches * MM_PER_IN


def inches_from_mm(mm: float) -> float:
    """Length in inches from mm."""
    return mm / MM_PER_IN


def kgcm2_from_ozin2(ozin2: float) -> float:
    """Moment of inertia in kg·cm² from oz·in²."""
    return ozin2 * KGCM2_PER_OZIN2


def ozin2_from_kgcm2(kgcm2: float) -> float:
    """Moment of inertia in oz·in² from kg·cm²."""
    return kgcm2 / KGCM2_PER_OZIN2


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


def tennis_grip_mm(mark: str) -> float:
    """Circumference in mm of a tennis handle marked ``L0`` … ``L5``.

    Raises ``ValueError`` for any other mark, such as a badminton "G" size.
    """
    try:
        return TENNIS_GRIP_MM[mark.strip().upper()]
    except KeyError:
        raise ValueError(f"“{mark}” is not a tennis grip size: use one of {', '.join(TENNIS_GRIP_MM)}") from None
