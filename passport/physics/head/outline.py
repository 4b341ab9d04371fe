"""Outlines of a strung area: ellipses, rounder and squarer ones, eggs, teardrops, and what was measured.

An outline is symmetric in the long axis. With ξ from −1 at the throat's end to 1 at the tip's, and the greatest half-width
as the unit across, its half-width is h(ξ) = √(1 − ξ²)·p(ξ), where p is a polynomial above 0. An ellipse has p = 1, more
in the corners makes it squarer, less at the throat an egg, and much less a teardrop. Both ends are round whatever p is, and
(ξ, η/p(ξ)) lies in the unit disc, so that areas, chords and membranes follow from those of the disc.

A point on the outline is named by its eccentric angle t in radians, clockwise from the tip: ξ = cos t, η = sin t·p(cos t).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

_LOWEST: Final = 0.05
"""No outline is narrower than this share of the ellipse's width anywhere: it would have a waist like a needle."""


@dataclass(frozen=True, slots=True)
class HeadOutline:
    """The outline with p(ξ) = Σ ``profile``[k]·ξᵏ; no profile is the ellipse."""

    profile: tuple[float, ...] = ()

    def p(self, xi: float) -> float:
        """p(ξ): the half-width as a multiple of the ellipse's."""
        value = 0.0
        for coefficient in reversed(self.profile):
            value = value * xi + coefficient
        return value if self.profile else 1.0

    def slope(self, xi: float) -> float:
        """p′(ξ)."""
        value = 0.0
        for k in range(len(self.profile) - 1, 0, -1):
            value = value * xi + k * self.profile[k]
        return value

    def half_width(self, xi: float) -> float:
        """h(ξ), 0 beyond the ends."""
        return math.sqrt(max(0.0, 1 - xi * xi)) * self.p(xi)

    def point(self, t: float) -> tuple[float, float]:
        """(ξ, η) at the eccentric angle ``t``."""
        xi = math.cos(t)
        return xi, math.sin(t) * self.p(xi)

    def tangent(self, t: float) -> tuple[float, float]:
        """d(ξ, η)/dt at ``t``."""
        sine, xi = math.sin(t), math.cos(t)
        return -sine, xi * self.p(xi) - sine * sine * self.slope(xi)

    def bend(self, t: float) -> tuple[float, float]:
        """d²(ξ, η)/dt² at ``t``."""
        sine, xi = math.sin(t), math.cos(t)
        curve = sum(k * (k - 1) * c * xi ** (k - 2) for k, c in enumerate(self.profile) if k > 1)
        return -xi, -sine * self.p(xi) - 3 * sine * xi * self.slope(xi) + sine**3 * curve

    def span(self, eta: float, fan: float = 0.0) -> tuple[float, float] | None:
        """ξ of the two ends of a line along the head at ``eta`` half-widths at its middle, which is η(1 + ``fan``·ξ); None
        for one that is not inside there. Where flanks are hollow it ends at the first edge that it meets."""
        return _span(self, eta, fan)

    @property
    def fullness(self) -> float:
        """Area over that of the ellipse: (2/π)∫√(1 − ξ²)·p(ξ)dξ, of which only even powers count."""
        total, share = 0.0, 1.0  # ∫ξ²ᵏ√(1 − ξ²)dξ over π/2 is (2k − 1)/(2k + 2) of the one before
        for k in range(0, len(self.profile), 2):
            total += self.profile[k] * share
            share *= (k + 1) / (k + 4)
        return total if self.profile else 1.0

    @property
    def is_head(self) -> bool:
        """Whether it widens steadily from the throat to its widest place, and narrows from there to the tip."""
        if any(self.p(-1 + i / 50) < _LOWEST for i in range(101)):
            return False
        at = self.widest[0]
        widths = [(xi, self.half_width(xi)) for xi in (-1 + i / 50 for i in range(101))]
        return all((b - a) * (at - xi) > -1e-3 for (xi, a), (_, b) in pairwise(widths))

    @property
    def widest(self) -> tuple[float, float]:
        """ξ of the widest place, and the half-width there, which is 1 but for rounding in an outline that fits its name."""
        return _widest(self.profile)

    def fitted(self) -> "HeadOutline":
        """The same outline with its greatest half-width 1. Raises ``ValueError`` where it has a waist, or no width."""
        if any(self.p(-1 + i / 50) < _LOWEST for i in range(101)):
            raise ValueError("an outline is wider than that everywhere")
        most = self.widest[1]
        return HeadOutline(tuple(c / most for c in self.profile))

    def squarer(self, by: float) -> "HeadOutline":
        """The outline with its corners ``by`` fuller: p·(1 + by·ξ²), as wide as before."""
        base = self.profile or (1.0,)
        more = [0.0] * (len(base) + 2)
        for k, c in enumerate(base):
            more[k] += c
            more[k + 2] += c * by
        return HeadOutline(tuple(more)).fitted()

    def fuller(self, by: float) -> "HeadOutline":
        """The outline with the share ``by`` more area, the more the further from its widest place, which stays as it is."""
        at, base = self.widest[0], self.profile or (1.0,)
        more = _product(base, (at * at, -2 * at, 1.0))
        corners = by * self.fullness / HeadOutline(more).fullness
        return HeadOutline(tuple(a + corners * b for a, b in zip((*base, 0.0, 0.0), more, strict=True)))

    def through(self, points: Sequence[tuple[float, float]]) -> "HeadOutline":
        """The outline that has the half-width η at each ξ of ``points``, and this one's shape between them.

        p is multiplied by the polynomial through the ratios at the points and, unless one of them is as good as the widest
        place, through 1 at this outline's widest (Lagrange). Raises ``ValueError`` for points too near the ends, or where no
        racquet's head runs through them.
        """
        return _through(self, tuple(points))


@lru_cache(maxsize=1024)
def _through(outline: HeadOutline, points: tuple[tuple[float, float], ...]) -> HeadOutline:
    """`HeadOutline.through`: a model's shape is made anew for each of its frames."""
    places = sorted(xi for xi, _ in points)
    if places[0] < -0.97 or places[-1] > 0.97:
        raise ValueError("a width so near to the end of the head says little of its outline")
    if any(after - before < 0.02 for before, after in pairwise(places)):
        raise ValueError("two widths stand at about the same height")
    ratios = [(xi, eta / outline.half_width(xi)) for xi, eta in points]
    at = outline.widest[0]
    if all(eta < 0.995 and abs(xi - at) > 0.05 for xi, eta in points):
        ratios.append((at, 1.0))
    found = HeadOutline(_product(outline.profile or (1.0,), _lagrange(ratios)))
    if not found.is_head or not 0.97 <= found.widest[1] <= 1.03:
        raise ValueError("no head's outline runs through these widths")
    return found


@lru_cache(maxsize=256)
def _widest(profile: tuple[float, ...]) -> tuple[float, float]:
    """By golden sections round the widest of 41 places."""
    outline = HeadOutline(profile)
    at = max((-1 + i / 20 for i in range(41)), key=outline.half_width)
    low, high = max(-1.0, at - 0.05), min(1.0, at + 0.05)
    ratio = (math.sqrt(5) - 1) / 2
    for _ in range(60):
        left, right = high - ratio * (high - low), low + ratio * (high - low)
        low, high = (low, right) if outline.half_width(left) > outline.half_width(right) else (left, high)
    return (low + high) / 2, outline.half_width((low + high) / 2)


@lru_cache(maxsize=4096)
def _span(outline: HeadOutline, eta: float, fan: float) -> tuple[float, float] | None:
    """Walked from the middle of the head outwards."""

    def outside(xi: float) -> float:
        return eta * (1 + fan * xi) - outline.half_width(xi)

    inside = next((xi for xi in (0.0, 0.2, 0.4) if outside(xi) < 0), None)
    if inside is None:
        return None
    ends = []
    for way in (-1, 1):
        steps = [max(-1.0, min(1.0, inside + way * k / 20)) for k in range(1, 29)]
        far = next(xi for xi in steps if abs(xi) == 1 or outside(xi) >= 0)
        near = far - way / 20
        for _ in range(52):
            middle = (near + far) / 2
            near, far = (middle, far) if outside(middle) < 0 else (near, middle)
        ends.append((near + far) / 2)
    return ends[0], ends[1]


def _product(one: Sequence[float], other: Sequence[float]) -> tuple[float, ...]:
    """Coefficients of the product of two polynomials."""
    found = [0.0] * (len(one) + len(other) - 1)
    for i, a in enumerate(one):
        for k, b in enumerate(other):
            found[i + k] += a * b
    return tuple(found)


def _lagrange(points: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """Coefficients of the polynomial through points."""
    total = [0.0] * len(points)
    for i, (xi, value) in enumerate(points):
        basis: tuple[float, ...] = (value,)
        for k, (other, _) in enumerate(points):
            if k != i:
                basis = _product(basis, (-other / (xi - other), 1 / (xi - other)))
        total = [a + b for a, b in zip(total, basis, strict=True)]
    return tuple(total)


ELLIPSE: Final = HeadOutline()
ROUNDER: Final = ELLIPSE.squarer(-0.12)
"""Shoulders that fall away: 3 % less area than the ellipse (common practice, no source)."""
SQUARER: Final = ELLIPSE.squarer(0.2)
"""Full shoulders, as most badminton heads have: 5 % more area than the ellipse (common practice, no source)."""
EGG: Final = HeadOutline((1.0, 0.14)).fitted()
"""Wider towards the tip than towards the throat, as many tennis and racketball heads are (common practice, no source)."""
TEARDROP: Final = HeadOutline((0.86, 0.4, -0.04)).fitted()
"""Straight flanks that run together at the throat, without a bridge, as squash frames with an open throat have (common
practice, no source)."""
