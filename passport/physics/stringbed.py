"""The string bed as a stretched membrane: frequency from tension, and bed tension from frequency.

The mains carry tension along the handle, the crosses across it. On an ellipse, stretching each axis by the square root of
its tension per length turns unequal tensions into equal ones on another ellipse, whose own lowest wavenumber is taken (not
that of a circle of the same area). Other outlines, and mains that fan out, are solved as `passport.physics.head.membrane`
does. A bed whose strings are known rings lower than the smooth membrane by what the net of them does.

Three figures are not each other and are never shown as one another: the pull tension set on the machine, the reading
of an instrument, and the bed tension that is worked out here from a frequency.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Final, Self

from passport.physics.geometry import RacquetShape
from passport.physics.head.membrane import Mode, Net, smooth
from passport.physics.head.outline import ELLIPSE, HeadOutline
from passport.physics.uncertainty import Estimate, propagate

LEFT_OUT: Final = (
    "The bed is taken as an evenly stretched net of strings with a fixed rim and their own mass. Left out: strings of "
    "uneven tension, friction where they cross, their stiffness, the hoop that gives way, the air that moves along, "
    "and dampeners, stencil ink, knots and string savers."
)
"""What the net leaves out, in words that may be printed beside a figure from it."""

MODEL_U: Final = 0.01
"""Standard uncertainty of a smooth membrane, whose strings nobody knows one by one, as a share of the frequency: nets of
single strings ring 0.1 to 2 % lower."""

NET_U: Final = 0.003
"""Standard uncertainty of the net, as a share of the frequency.

Nets that are solved crossing by crossing ring within 0.15 % of it. The rest stands for where the strings lie: the places of
the outer ones are counted from the middle ones' spacing. What :data:`LEFT_OUT` names is not in it.
"""

BED_SHARE_OF_PULL: Final = Estimate(0.70, 0.05)
"""Bed tension right after stringing as a share of the pull tension.

About 30 % below the pull in one study of tennis racquets: Cross & Bower 2001, "Measurements of string tension in a
tennis racket", Sports Engineering 4:165–175. Its standard uncertainty is common practice, no source. Only for a
forecast where nothing was measured.
"""

BED_SHARE_ELSEWHERE: Final = Estimate(0.70, 0.10)
"""The same for squash, racketball and badminton, of which no study is known: as unsure again (common practice, no source)."""


def bed_share(sport: str) -> Estimate:
    """Bed tension right after stringing as a share of the pull, in a sport."""
    return BED_SHARE_OF_PULL if sport == "tennis" else BED_SHARE_ELSEWHERE


FIRST_BESSEL_ZERO: Final = 2.404825557695773
"""First zero of the Bessel function J₀ (DLMF §10.21): the lowest wavenumber of a drum of radius 1."""

THINNEST_ELLIPSE: Final = 0.1
"""Least ratio of the (stretched) semi-axes for which the wavenumber is solved; no head comes near it."""


@dataclass(frozen=True, slots=True)
class Material:
    """A string material: ``density`` g/cm³, its relative standard uncertainty ``spread``, and the ``source``."""

    density: float
    spread: float
    source: str


_MORTON_HEARLE = "Morton & Hearle, Physical Properties of Textile Fibres, Tables 5.1–5.2"

MATERIALS: Final[Mapping[str, Material]] = MappingProxyType(
    {
        "nylon": Material(1.14, 0.05, _MORTON_HEARLE),
        "polyester": Material(1.39, 0.03, _MORTON_HEARLE),
        "aramid": Material(1.44, 0.05, _MORTON_HEARLE),
        "gut": Material(1.30, 0.08, "from memory, unsure"),
    }
)
"""Densities of solid string materials. The spreads (wrapped, braided and coated strings) are common practice, no
source. A weighed linear density always wins over an estimate from these."""

GAUGE_U: Final = 0.01
"""Standard uncertainty of a gauge as printed on the packet, mm (common practice, no source)."""


def linear_density(material: str, gauge: float) -> Estimate:
    """Estimated linear density of a round string in g/m: μ = ρπd²/4, gauge d in mm.

    Raises ``ValueError`` for a material that is not in :data:`MATERIALS` or a gauge that is not above 0.
    """
    if material not in MATERIALS:
        raise ValueError(f"no density is known for “{material}”: weigh the string, or use {', '.join(MATERIALS)}")
    if not gauge > 0:
        raise ValueError(f"a gauge is above 0 mm, not {gauge:g} mm")
    known = MATERIALS[material]
    value = known.density * math.pi * gauge**2 / 4
    return Estimate(value, value * math.hypot(known.spread, 2 * GAUGE_U / gauge))


def wavenumber_bounds(a: float, b: float) -> tuple[float, float]:
    """Bounds of the lowest wavenumber of an ellipse with semi-axes ``a`` and ``b``, in 1 over their unit.

    Below by Faber–Krahn, j₀₁/√(ab) (no shape of that area rings lower than the circle); above by Rayleigh's quotient
    of the circle's shape stretched to the ellipse, j₀₁·√((1/a² + 1/b²)/2). Both from memory.
    """
    return FIRST_BESSEL_ZERO / math.sqrt(a * b), FIRST_BESSEL_ZERO * math.sqrt((a**-2 + b**-2) / 2)


def ellipse_wavenumber(a: float, b: float) -> float:
    """Lowest wavenumber k of a membrane on an ellipse with semi-axes ``a`` and ``b``, in 1 over their unit.

    From a series through the zeros of modified Mathieu functions (:data:`WAVENUMBER_SERIES`), right to 1e-12.
    Raises ``ValueError`` for axes that are not above 0, or an ellipse thinner than :data:`THINNEST_ELLIPSE`.
    """
    if not (a > 0 and b > 0):
        raise ValueError("a head has a length and a width above 0")
    return _scaled_wavenumber(min(a, b) / max(a, b)) / math.sqrt(a * b)


WAVENUMBER_SERIES: Final = (
    3.77789655387508, 1.35384355769371, -0.00804532872475193, 0.00887787291708046, -0.00187489339422306,
    0.000369154873057454, -5.62101758705864e-05, 4.25780455819503e-06, 5.13589354607297e-07, -3.49112707044234e-08,
    -1.47859354862876e-07, 8.8129858024877e-08, -2.82327164352457e-08, 5.13208942616046e-09, -6.88722624898238e-11,
    -2.67983773153157e-10, 7.27607267959965e-11, 2.2892957181699e-12, -8.3594071738262e-12, 3.28805905984358e-12,
    -6.47200393138966e-13, 6.03392311427373e-15, 4.18073632266241e-14,
)  # fmt: skip
"""Chebyshev coefficients of k·√(ab) of an ellipse over (ln b/a)², from the circle to :data:`THINNEST_ELLIPSE`.

Least squares through the first zeros of the modified Mathieu function Mc₀⁽¹⁾(ξ₀, q) with tanh ξ₀ = b/a and q = (kc/2)²,
c² = a² − b² (DLMF ch. 28; Troesch & Troesch 1973, Mathematics of Computation 27:755–765, from memory) at 96 Chebyshev
nodes, solved with SciPy, which takes longer to load than all the sums of a day take. A test solves them again.
"""


@lru_cache(maxsize=4096)
def _scaled_wavenumber(ratio: float) -> float:
    """k·√(ab) of an ellipse with b/a = ``ratio`` ≤ 1, by Clenshaw's rule."""
    if ratio < THINNEST_ELLIPSE:
        raise ValueError(f"an ellipse {ratio:.2f} times as wide as long is not a racquet's head")
    # Over the square of the logarithm: k is the same for b/a and a/b, so only even powers are needed.
    x = 2 * (math.log(ratio) / math.log(THINNEST_ELLIPSE)) ** 2 - 1
    ahead = beyond = 0.0
    for coefficient in WAVENUMBER_SERIES[:0:-1]:
        ahead, beyond = coefficient + 2 * x * ahead - beyond, ahead
    return WAVENUMBER_SERIES[0] + x * ahead - beyond


@lru_cache(maxsize=4096)
def _net_share(bed: "StringBed", crosses_to_mains: float) -> float:
    """`StringBed.net_share` of a bed with a net; every check of a reading asks for it, mostly of beds known by then."""
    assert bed.net is not None, "a bed without one has a share of 1"
    weights = bed.weights(1.0, crosses_to_mains)
    net, even = bed.net.energies().lowest(*weights), _smooth_mode(bed.outline, bed.fan, *weights)
    return math.sqrt(net.squared(*weights) / even.squared(*weights))


@lru_cache(maxsize=4096)
def _smooth_mode(outline: HeadOutline, fan: float, stretch: tuple[float, float], mass: tuple[float, float]) -> Mode:
    """The slowest vibration of a smooth membrane, which the checks of the same bed ask for again and again."""
    return smooth(outline, fan).lowest(stretch, mass)


@dataclass(frozen=True, slots=True)
class StringBed:
    """A string bed, mains and crosses apart.

    ``length`` and ``width`` of the strung area, mm, with its ``outline``; linear densities g/m; spacings mm, that of mains
    which ``fan`` out (`RacquetShape`) at the middle of the head. ``net`` are its strings; without it the bed is smooth.
    """

    length: float
    width: float
    main_density: float
    cross_density: float
    main_spacing: float
    cross_spacing: float
    outline: HeadOutline = ELLIPSE
    fan: float = 0.0
    net: Net | None = None

    @classmethod
    def of(cls, shape: RacquetShape, main_density: float, cross_density: float) -> Self:
        """The bed of a frame model with mains and crosses of the given linear densities, g/m."""
        half, width = shape.head_length / 2, shape.head_width / 2
        net = Net(
            shape.outline,
            shape.fan,
            width / half,
            tuple(y / width for y in shape.main_positions() if y > -1e-6 and shape.main_length(y) > 0),
            tuple((x - shape.head_centre) / half for x in shape.cross_positions() if shape.cross_length(x) > 0),
            (shape.spacing[0] / width, shape.spacing[1] / half),
        )
        size = (shape.head_length, shape.head_width)
        return cls(*size, main_density, cross_density, *shape.spacing, shape.outline, shape.fan, net)

    @property
    def areal_density(self) -> float:
        """Mass of the strings per area of bed, kg/m²: σ = μ_m/s_m + μ_c/s_c."""
        return self.main_density / self.main_spacing + self.cross_density / self.cross_spacing

    def frequency(self, mains: float, crosses: float) -> float:
        """Lowest frequency in Hz with ``mains`` and ``crosses`` N of tension in each string of the bed.

        Raises ``ValueError`` for a tension that is not above 0.
        """
        return self.smooth_frequency(mains, crosses) * self.net_share(crosses / mains)

    def smooth_frequency(self, mains: float, crosses: float, mode: Mode | None = None) -> float:
        """The same of a smooth membrane, Hz; ``mode`` may be that of a bed close to it, which is quicker.

        Of an ellipse f = k/(2π√σ), with k of the ellipse whose semi-axes are divided by √(T/s), the root of the tension per
        length. Raises ``ValueError`` for a tension that is not above 0.
        """
        if not (mains > 0 and crosses > 0):
            raise ValueError("a string bed rings only with tension in mains and crosses")
        if self.outline.profile or self.fan:
            weights = self.weights(mains, crosses)
            known = mode or _smooth_mode(self.outline, self.fan, *weights)
            return math.sqrt(known.squared(*weights)) / (2 * math.pi)
        along = self.length / 2000 / math.sqrt(mains / self.main_spacing * 1000)
        across = self.width / 2000 / math.sqrt(crosses / self.cross_spacing * 1000)
        return ellipse_wavenumber(along, across) / (2 * math.pi * math.sqrt(self.areal_density))

    def net_share(self, crosses_to_mains: float) -> float:
        """What the net of single strings rings at as a share of the smooth membrane, both by the same functions."""
        return 1.0 if self.net is None else _net_share(self, crosses_to_mains)

    def mode(self, crosses_to_mains: float) -> Mode | None:
        """The slowest vibration of the smooth membrane; None for an ellipse, which is solved without it."""
        if not (self.outline.profile or self.fan):
            return None
        return _smooth_mode(self.outline, self.fan, *self.weights(1.0, crosses_to_mains))

    def weights(self, mains: float, crosses: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """What the energies of mains and crosses are multiplied with, stretched (N) and moved (kg), at tensions in N."""
        a, b = self.length / 2000, self.width / 2000
        stretch = (mains / self.main_spacing * 1000 * b / a, crosses / self.cross_spacing * 1000 * a / b)
        masses = (self.main_density / self.main_spacing * a * b, self.cross_density / self.cross_spacing * a * b)
        return stretch, masses

    @property
    def model_u(self) -> float:
        """Standard uncertainty of the model that the bed is taken as, as a share of the frequency."""
        return NET_U if self.net else MODEL_U

    def bed_tension(self, hz: float, crosses_to_mains: float = 1.0) -> float:
        """Bed tension of the mains in N at which the bed rings at ``hz``; the crosses hold the given ratio of it.

        The frequency goes with the root of the tension while the ratio stays, so one forward solution is enough.
        Raises ``ValueError`` for a frequency or a ratio that is not above 0.
        """
        if not hz > 0:
            raise ValueError(f"a string bed does not ring at {hz:g} Hz")
        # Exact, not an approximation: no root needs to be searched for.
        return (hz / self.frequency(1.0, crosses_to_mains)) ** 2


@dataclass(frozen=True, slots=True)
class BedSpread:
    """Standard uncertainties of what is known of a bed: sizes and spacings in mm, linear densities in g/m.

    ``model`` is that of the model itself, as a share of the frequency, None for the bed's own, and ``area`` that of the
    strung area for an outline that was not measured, as a share of it. The defaults for sizes and spacings (read
    with a tape, counted over the head) are common practice, no source.
    """

    length: float = 1.0
    width: float = 1.0
    main_density: float = 0.0
    cross_density: float = 0.0
    main_spacing: float = 0.2
    cross_spacing: float = 0.2
    model: float | None = None
    area: float = 0.0


def expected_frequency(bed: StringBed, mains: Estimate, crosses: Estimate, spread: BedSpread) -> Estimate:
    """Frequency in Hz expected of a bed at given bed tensions (N), with its uncertainty and where it comes from."""

    share, mode = bed.net_share(crosses.value / mains.value), bed.mode(crosses.value / mains.value)

    def model(mains: float, crosses: float, model: float, outline: float = 1.0, **sizes: float) -> float:
        return replace(bed, **sizes).smooth_frequency(mains, crosses, mode) * share * model / math.sqrt(outline)  # type: ignore[arg-type]

    return propagate(model, {"mains": mains, "crosses": crosses, **_inputs(bed, spread)})


def bed_tension(bed: StringBed, hz: Estimate, crosses_to_mains: Estimate, spread: BedSpread) -> Estimate:
    """Bed tension of the mains in N from a frequency, with its uncertainty and where it comes from."""

    share, mode = bed.net_share(crosses_to_mains.value), bed.mode(crosses_to_mains.value)

    def model(hz: float, crosses_to_mains: float, model: float, outline: float = 1.0, **sizes: float) -> float:
        one = replace(bed, **sizes).smooth_frequency(1.0, crosses_to_mains, mode) * share  # type: ignore[arg-type]
        return (hz / one / model) ** 2 * outline

    return propagate(model, {"hz": hz, "crosses_to_mains": crosses_to_mains, **_inputs(bed, spread)})


def expected_bed_tension(pull: float) -> Estimate:
    """Forecast of the bed tension right after stringing, N, from a pull tension in N; see the share of the pull."""
    return Estimate(pull * BED_SHARE_OF_PULL.value, pull * BED_SHARE_OF_PULL.u)


def tension_ratio(first_hz: float, second_hz: float) -> float:
    """Bed tension at the second frequency over that at the first, for one unchanged bed: (f₂/f₁)²."""
    return (second_hz / first_hz) ** 2


def _inputs(bed: StringBed, spread: BedSpread) -> dict[str, Estimate]:
    return {
        "length": Estimate(bed.length, spread.length),
        "width": Estimate(bed.width, spread.width),
        "main_density": Estimate(bed.main_density, spread.main_density),
        "cross_density": Estimate(bed.cross_density, spread.cross_density),
        "main_spacing": Estimate(bed.main_spacing, spread.main_spacing),
        "cross_spacing": Estimate(bed.cross_spacing, spread.cross_spacing),
        "model": Estimate(1.0, bed.model_u if spread.model is None else spread.model),
        **({"outline": Estimate(1.0, spread.area)} if spread.area else {}),
    }
