"""Mass, first, second and polar moment: the one value to which everything on a racquet is reduced.

The frame itself, a strip of tape, a plug in the handle, a grip, the strings: each is a :class:`Moments`. They add and
subtract; balance and swingweight are read off the sum. All of it is the parallel axis theorem (any mechanics text).

Axes: ``x`` along the handle from the butt, ``y`` across in the string plane, ``z`` out of it. The swing axis lies in
the string plane, at right angles to the handle, so that the second moment sums m(x² + z²) and the polar one m(y² + z²).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Self

from passport.physics.geometry import RacquetShape
from passport.physics.quadrature import integrate
from passport.physics.units import GMM2_PER_KGCM2

SWING_AXIS_MM: Final = 100.0
"""Distance of the swing axis from the butt, mm.

Swingweight is taken about 10 cm (or 4 in) from the butt: Taraborrelli et al. 2019, Sports Engineering 22, §1. The two
differ by 1.6 mm, so 10.00 cm is fixed here. For sports other than tennis the same axis is common practice, no source.
"""


@dataclass(frozen=True, slots=True)
class Moments:
    """Mass and its moments, as one value that adds and subtracts.

    ``m0``: mass, g. ``m1``: first moment about the butt, g·mm. ``m2``: second moment about the swing axis' parallel
    through the butt, g·mm². ``polar``: moment about the long axis, g·mm², or ``None`` where it is not known; a sum
    with an unknown polar moment has an unknown polar moment.
    """

    m0: float
    m1: float
    m2: float
    polar: float | None

    def __add__(self, other: Self) -> Self:
        """The two bodies together."""
        polar = None if self.polar is None or other.polar is None else self.polar + other.polar
        return type(self)(self.m0 + other.m0, self.m1 + other.m1, self.m2 + other.m2, polar)

    def __sub__(self, other: Self) -> Self:
        """This body without the other, or the change from the other to this one."""
        return self + other.scaled(-1)

    def scaled(self, factor: float) -> Self:
        """The same spread of mass with ``factor`` times the mass."""
        polar = None if self.polar is None else self.polar * factor
        return type(self)(self.m0 * factor, self.m1 * factor, self.m2 * factor, polar)

    @property
    def mass(self) -> float:
        """Mass, g."""
        return self.m0

    @property
    def balance(self) -> float:
        """Distance of the centre of mass from the butt, mm. Raises ``ValueError`` for a body without mass."""
        if self.m0 == 0:
            raise ValueError("nothing has no balance point: the mass is 0")
        return self.m1 / self.m0

    def swingweight(self, axis_mm: float = SWING_AXIS_MM) -> float:
        """Moment of inertia about an axis ``axis_mm`` from the butt, kg·cm²: m₂ − 2A·m₁ + A²·m₀."""
        return (self.m2 - 2 * axis_mm * self.m1 + axis_mm**2 * self.m0) / GMM2_PER_KGCM2

    @property
    def i_cm(self) -> float:
        """Moment of inertia about the parallel to the swing axis through the centre of mass, kg·cm²."""
        return self.swingweight(self.balance)

    @property
    def twistweight(self) -> float | None:
        """Polar moment of inertia about the long axis, kg·cm², or ``None`` where it is not known."""
        return None if self.polar is None else self.polar / GMM2_PER_KGCM2

    @classmethod
    def total(cls, bodies: Iterable[Self]) -> Self:
        """All ``bodies`` together; no bodies at all weigh nothing."""
        whole = cls(0.0, 0.0, 0.0, 0.0)
        for body in bodies:
            whole = whole + body
        return whole

    @classmethod
    def from_measured(
        cls,
        mass: float,
        balance: float,
        swingweight: float,
        twistweight: float | None = None,
        axis: float = SWING_AXIS_MM,
    ) -> Self:
        """A body as the bench measures it: mass g, balance mm from the butt, swing- and twistweight kg·cm².

        ``axis`` is the place of the swing machine's axis, mm from the butt. Raises ``ValueError`` unless mass > 0.
        """
        if not mass > 0:
            raise ValueError(f"a measured body needs a mass above 0 g, not {mass:g} g")
        m1 = mass * balance
        m2 = swingweight * GMM2_PER_KGCM2 + 2 * axis * m1 - axis**2 * mass
        return cls(mass, m1, m2, None if twistweight is None else twistweight * GMM2_PER_KGCM2)

    @classmethod
    def point(cls, mass: float, x: float, y: float = 0.0) -> Self:
        """A mass in one place: g, mm from the butt, mm off the long axis."""
        return cls(mass, mass * x, mass * x**2, mass * y**2)

    @classmethod
    def pair(cls, mass_total: float, x: float, y: float) -> Self:
        """Two equal masses that weigh ``mass_total`` g together, one on each side, ``y`` mm off the long axis.

        The same moments as one mass in one of the two places, because y enters squared only.
        """
        return cls.point(mass_total, x, y)

    @classmethod
    def filled(cls, mass: float, x1: float, x2: float, radius: float = 0.0) -> Self:
        """A mass spread evenly along the long axis from ``x1`` to ``x2`` mm: a grip, a sleeve, a plug, a rod.

        ``radius`` is the root mean square distance of the material from the long axis, mm, the same in y and z: the
        radius of a thin sleeve or grip, radius/√2 of a solid round plug, width/√6 of a square rod.
        """
        middle = (x1 + x2) / 2
        # Half of radius²: of the two directions across, only z counts towards the swing axis, which lies in the string
        # plane.
        own = (x2 - x1) ** 2 / 12 + radius**2 / 2
        return cls(mass, mass * middle, mass * (middle**2 + own), mass * radius**2)

    @classmethod
    def plug(cls, mass: float, x1: float, x2: float, radius: float) -> Self:
        """A solid round plug of ``radius`` mm from ``x1`` to ``x2`` mm: silicone or cotton wool in the handle."""
        return cls.filled(mass, x1, x2, radius / math.sqrt(2))

    @classmethod
    def rod(cls, mass: float, length: float, width: float = 0.0, start: float = 0.0) -> Self:
        """A uniform square rod of ``width`` mm laid with its near end ``start`` mm from the butt: a check piece."""
        return cls.filled(mass, start, start + length, width / math.sqrt(6))

    @classmethod
    def hoop_arc(cls, mass_total: float, shape: RacquetShape, hour: float, length_mm: float) -> Self:
        """Strips on the hoop, centred at a clock's ``hour`` and at its mirror image, ``mass_total`` g for both.

        Each strip is ``length_mm`` long, measured along the middle of the hoop; at 12 and at 6 the two are one and
        the same strip. Raises ``ValueError`` where the strip is longer than the hoop.
        """
        x, xx, yy = _arc_means(shape, hour, length_mm)
        return cls(mass_total, mass_total * x, mass_total * xx, mass_total * yy)

    @classmethod
    def string_bed(cls, shape: RacquetShape, mains_g_per_m: float, crosses_g_per_m: float) -> Self:
        """The strings inside the head: each string's length in it times its linear density, g/m.

        What runs through the hoop and around it, and the knots, are not in it.
        """
        return cls.total((cls._mains(shape, mains_g_per_m), cls._crosses(shape, crosses_g_per_m)))

    @classmethod
    def _mains(cls, shape: RacquetShape, g_per_m: float) -> Self:
        found = (shape.main_ends(y) for y in shape.main_positions())
        return cls.total(cls._rod(g_per_m, *ends) for ends in found if ends)

    @classmethod
    def _crosses(cls, shape: RacquetShape, g_per_m: float) -> Self:
        places = ((x, shape.cross_length(x)) for x in shape.cross_positions())
        return cls.total(cls._rod(g_per_m, (x, -run / 2), (x, run / 2)) for x, run in places)

    @classmethod
    def _rod(cls, g_per_m: float, one: tuple[float, float], other: tuple[float, float]) -> Self:
        """A straight string from (x, y) to (x, y) in mm."""
        (x1, y1), (x2, y2) = one, other
        x, y, mass = (x1 + x2) / 2, (y1 + y2) / 2, g_per_m * math.hypot(x2 - x1, y2 - y1) / 1000
        return cls(mass, mass * x, mass * (x**2 + (x2 - x1) ** 2 / 12), mass * (y**2 + (y2 - y1) ** 2 / 12))


def arc_offset(shape: RacquetShape, hour: float, length: float) -> float:
    """How far the middle of mass of one strip is off the long axis, mm: positive on the clock's side of 3.

    The strip is ``length`` mm long and centred at ``hour`` on the hoop. Raises ``ValueError`` where it is longer than
    the hoop.
    """
    if length == 0:
        return shape.on_hoop(hour)[1]
    start, end = shape.hoop_span(hour, length)
    return integrate(lambda t: shape.hoop_point(t)[1] * shape.hoop_speed(t), start, end) / length


@lru_cache(maxsize=4096)
def _arc_means(shape: RacquetShape, hour: float, length: float) -> tuple[float, float, float]:
    """Means of x (mm), x² and y² (mm²) over a strip on the hoop, weighted by length along it."""
    # The mean over nothing is the point itself; the quotient below would be 0/0.
    if length == 0:
        x, y = shape.on_hoop(hour)
        return x, x**2, y**2
    start, end = shape.hoop_span(hour, length)

    def mean(power_x: int, power_y: int) -> float:
        def weighted(t: float) -> float:
            x, y = shape.hoop_point(t)
            return x**power_x * y**power_y * shape.hoop_speed(t)

        return integrate(weighted, start, end) / length

    return mean(1, 0), mean(2, 0), mean(0, 2)
