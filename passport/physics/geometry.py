"""The shape of a racquet and the places on it.

Coordinates of a racquet lying flat: ``x`` in mm from the butt end along the handle's long axis, ``y`` in mm to the
right of that axis seen from the front with the tip up. The strung area inside the head has an `HeadOutline`; most are
ellipses. The middle of the hoop lies half of the hoop's thickness further out: for an ellipse it is taken as the ellipse
with axes so much longer, which is out by less than 0.3 mm; for others it is the parallel curve.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from passport.physics.head.outline import ELLIPSE, HeadOutline
from passport.physics.quadrature import integrate

Throat = Literal["open", "shaft"]


@dataclass(frozen=True, slots=True)
class RacquetShape:
    """The dimensions of one frame model, all in mm.

    ``head_length`` and ``head_width`` are those of the strung area, inside the hoop, and ``outline`` its form, whose area
    has the relative standard uncertainty ``outline_u``; ``rim`` is the hoop's thickness in the head plane; ``handle`` is
    the length of the grip from the butt end; ``handle_width`` is the handle's width seen from the front. ``throat`` is
    ``open`` for two arms and ``shaft`` for one tube; with ``joined`` the hoop's two sides run together at the foot of the
    head and no bridge closes it.
    Spacings of 0 mean "not measured": they are then estimated from the counts and the head. Mains that fan out are spaced
    ``main_spacing`` at the middle of the head, a share ``fan`` of it more at the tip's end and less at the throat's.
    ``first_cross`` is the distance of the first cross from the tip's end of the strung area; 0 centres the crosses.
    ``into_throat`` is the length and width of a strung piece beyond the throat's end of it, which the mains within it take.
    ``assumed`` names the dimensions that nobody recorded and that are taken as usual, each with its standard
    uncertainty (mm or a count; ``aspect`` is the head's width over its length, its area known).
    """

    length: float
    head_length: float
    head_width: float
    rim: float
    handle: float
    handle_width: float
    throat: Throat
    mains: int
    crosses: int
    main_spacing: float = 0.0
    cross_spacing: float = 0.0
    outline: HeadOutline = ELLIPSE
    outline_u: float = 0.0
    joined: bool = False
    fan: float = 0.0
    first_cross: float = 0.0
    into_throat: tuple[float, float] = (0.0, 0.0)
    assumed: tuple[tuple[str, float], ...] = ()

    @property
    def unsure(self) -> tuple[tuple[str, float], ...]:
        """The ``assumed`` dimensions, and the outline where it was named but not measured."""
        return self.assumed + ((("outline", self.outline_u),) if self.outline_u else ())

    def is_assumed(self, *names: str) -> bool:
        """Whether one of these dimensions was not recorded but taken as usual."""
        return any(name in names for name, _ in self.assumed)

    def moved(self, name: str, by: float) -> "RacquetShape":
        """The same racquet with one dimension ``by`` larger; ``aspect`` keeps the head's area, ``outline`` its length and
        width while its area grows by the share ``by``.

        A count of strings moves their spacing, since half a string cannot be drawn.
        """
        if name == "aspect":
            aspect = self.head_width / self.head_length
            longer = math.sqrt(aspect / (aspect + by))
            return replace(self, head_length=self.head_length * longer, head_width=self.head_width / longer)
        if name == "outline":
            return replace(self, outline=self.outline.fuller(by))
        if name in ("mains", "crosses"):
            return replace(self, **{name: max(1, getattr(self, name) + round(by))})
        return replace(self, **{name: getattr(self, name) + by})

    @property
    def head_centre(self) -> float:
        """Distance of the middle of the strung length from the butt, mm."""
        return self.length - self.rim - self.head_length / 2

    @property
    def head_area(self) -> float:
        """Strung area of the head, mm²; a piece in the throat is not in it."""
        return math.pi * self.head_length * self.head_width / 4 * self.outline.fullness

    @property
    def spacing(self) -> tuple[float, float]:
        """Spacing of the mains (at the middle of the head) and of the crosses, mm: as measured, else head size over the
        count plus three.

        The estimate leaves one and a half spacings free on each side (common practice, no source).
        """
        return (
            self.main_spacing or self.head_width / (self.mains + 3),
            self.cross_spacing or self.head_length / (self.crosses + 3),
        )

    @property
    def hoop_axes(self) -> tuple[float, float]:
        """Half the length and half the width of the middle of the hoop, mm: along the handle and across it."""
        return (self.head_length + self.rim) / 2, (self.head_width + self.rim) / 2

    @property
    def hoop_perimeter(self) -> float:
        """Length once around the middle of the hoop, mm."""
        return self.hoop_run(0.0, 2 * math.pi)

    def on_hoop(self, hour: float) -> tuple[float, float]:
        """The point (x, y) on the middle of the hoop that a clock's hand at ``hour`` points to, 12 at the tip."""
        return self.at_angle(math.radians(30 * hour))

    def at_angle(self, angle: float) -> tuple[float, float]:
        """The point (x, y) on the middle of the hoop ``angle`` radians clockwise from the tip."""
        if self.outline.profile:
            return self.hoop_point(self.hoop_turn(angle))
        a, b = self.hoop_axes
        radius = a * b / math.hypot(b * math.cos(angle), a * math.sin(angle))
        return self.head_centre + radius * math.cos(angle), radius * math.sin(angle)

    def hoop_turn(self, angle: float) -> float:
        """Eccentric angle of the hoop's point that lies ``angle`` radians clockwise from the tip, seen from the centre."""
        a, b = self.hoop_axes
        if not self.outline.profile:
            return math.atan2(a * math.sin(angle), b * math.cos(angle))
        whole = math.floor((angle + math.pi) / (2 * math.pi)) * 2 * math.pi
        return whole + math.copysign(_hoop_turn(self, abs(angle - whole)), angle - whole)

    def hoop_turn_at(self, x: float) -> float:
        """Eccentric angle, from 0 to π, of the hoop's point on the right ``x`` mm from the butt; an end beyond the ends."""
        if not self.outline.profile:
            return math.acos(max(-1.0, min(1.0, (x - self.head_centre) / self.hoop_axes[0])))
        return _crossing(lambda t: x - self.hoop_point(t)[0], 0.0, math.pi)

    def hoop_half_width(self, x: float) -> float:
        """Distance of the hoop's middle from the long axis ``x`` mm from the butt, mm; 0 beyond the head."""
        a, b = self.hoop_axes
        if abs(x - self.head_centre) >= a:
            return 0.0
        if not self.outline.profile:
            return b * math.sqrt(1 - ((x - self.head_centre) / a) ** 2)
        return self.hoop_point(self.hoop_turn_at(x))[1]

    def hoop_point(self, t: float) -> tuple[float, float]:
        """The point (x, y) on the middle of the hoop at eccentric angle ``t``, radians clockwise from the tip."""
        if self.outline.profile:
            return self.off_outline(t, self.rim / 2)
        a, b = self.hoop_axes
        return self.head_centre + a * math.cos(t), b * math.sin(t)

    def hoop_normal(self, t: float) -> tuple[float, float]:
        """The unit vector (x, y) that stands outwards on the middle of the hoop at eccentric angle ``t``."""
        if self.outline.profile:
            return self.outward(t)
        a, b = self.hoop_axes
        nx, ny = b * math.cos(t), a * math.sin(t)
        return nx / math.hypot(nx, ny), ny / math.hypot(nx, ny)

    def hoop_speed(self, t: float) -> float:
        """Length of hoop a radian of eccentric angle covers at ``t``, mm."""
        a, b = self.hoop_axes
        if not self.outline.profile:
            return math.hypot(a * math.sin(t), b * math.cos(t))
        a, b = self.head_length / 2, self.head_width / 2
        (dx, dy), (bx, by) = self.outline.tangent(t), self.outline.bend(t)
        speed = math.hypot(a * dx, b * dy)
        # A parallel curve is longer by the turning of its normal times the distance; clockwise turning counts as positive.
        return speed + self.rim / 2 * a * b * (dx * by - dy * bx) / speed**2

    def outline_point(self, t: float) -> tuple[float, float]:
        """The point (x, y) on the edge of the strung area at eccentric angle ``t``, mm."""
        xi, eta = self.outline.point(t)
        return self.head_centre + self.head_length / 2 * xi, self.head_width / 2 * eta

    def outline_turn(self, x: float, y: float) -> float:
        """Eccentric angle, −π to π, of a point (x, y) on the edge of the strung area, mm."""
        xi = 2 * (x - self.head_centre) / self.head_length
        return math.atan2(2 * y / self.head_width / self.outline.p(max(-1.0, min(1.0, xi))), xi)

    def outward(self, t: float) -> tuple[float, float]:
        """The unit vector (x, y) that stands outwards on the edge of the strung area at eccentric angle ``t``."""
        dx, dy = self.outline.tangent(t)
        nx, ny = self.head_width * dy, -self.head_length * dx
        size = math.hypot(nx, ny)
        return nx / size, ny / size

    def off_outline(self, t: float, far: float) -> tuple[float, float]:
        """The point (x, y) that lies ``far`` mm outside the edge of the strung area at eccentric angle ``t``, mm."""
        (x, y), (nx, ny) = self.outline_point(t), self.outward(t)
        return x + far * nx, y + far * ny

    def hoop_span(self, hour: float, length: float) -> tuple[float, float]:
        """Eccentric angles of the two ends of a strip ``length`` mm long, centred at a clock's ``hour`` on the hoop.

        Half of the strip, measured along the hoop, lies on each side of the hour. Raises ``ValueError`` when the
        strip is longer than the hoop or its length is negative.
        """
        if not 0 <= length <= self.hoop_perimeter:
            raise ValueError(f"a strip of {length:g} mm does not fit a hoop of {self.hoop_perimeter:.0f} mm around")
        # A clock's hand points at an angle from the centre; the hoop is walked in eccentric angles, which differ.
        centre = self.hoop_turn(math.radians(30 * hour))
        return self.along_hoop(centre, -length / 2), self.along_hoop(centre, length / 2)

    def hoop_path(self, hour: float, length: float, pieces: int = 16) -> tuple[tuple[float, float], ...]:
        """Points (x, y) along a strip on the hoop, end to end, mm: ``pieces`` + 1 of them, for drawing it."""
        start, end = self.hoop_span(hour, length)
        return tuple(self.hoop_point(start + (end - start) * i / pieces) for i in range(pieces + 1))

    def hoop_run(self, start: float, end: float) -> float:
        """Length along the hoop between two eccentric angles, mm."""
        return integrate(self.hoop_speed, start, end, panels=16)

    def along_hoop(self, start: float, run: float) -> float:
        """The eccentric angle that lies ``run`` mm clockwise of ``start`` along the hoop, by Newton's method."""
        return _walked(self, start, run)

    def main_positions(self) -> tuple[float, ...]:
        """The y of each main string at the middle of the head, mm, from left to right, centred on the long axis."""
        step = self.spacing[0]
        return tuple((i - (self.mains - 1) / 2) * step for i in range(self.mains))

    def cross_positions(self) -> tuple[float, ...]:
        """The x of each cross string, mm from the butt, from throat to tip."""
        step = self.spacing[1]
        last = self.head_centre + (self.crosses - 1) / 2 * step
        if self.first_cross:
            last = self.head_centre + self.head_length / 2 - self.first_cross
        return tuple(last - (self.crosses - 1 - i) * step for i in range(self.crosses))

    def main_at(self, y: float, x: float) -> float:
        """The y that a main string has ``x`` mm from the butt which lies at ``y`` at the middle of the head."""
        return y * (1 + self.fan * 2 * (x - self.head_centre) / self.head_length) if self.fan else y

    def main_ends(self, y: float) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """Where a main string that lies at ``y`` at the middle of the head meets the strung area's edge, (x, y) in mm at
        the throat and at the head; None outside it."""
        xi = math.sqrt(max(0.0, 1 - (2 * y / self.head_width) ** 2))
        found = (-xi, xi) if xi else None
        if self.outline.profile or self.fan:
            found = self.outline.span(abs(2 * y / self.head_width), self.fan)
        if found is None:
            return None
        low, high = (self.head_centre + self.head_length / 2 * each for each in found)
        beyond, width = self.into_throat
        if beyond and abs(y) <= width / 2:
            low = self.head_centre - self.head_length / 2 - beyond
        return (low, self.main_at(y, low)), (high, self.main_at(y, high))

    def main_length(self, y: float) -> float:
        """Length of a main string at ``y`` (at the middle of the head) inside the head, mm; 0 outside it."""
        if self.outline.profile or self.fan or self.into_throat[0]:
            ends = self.main_ends(y)
            return math.dist(*ends) if ends else 0.0
        return self.head_length * math.sqrt(max(0.0, 1 - (2 * y / self.head_width) ** 2))

    def cross_length(self, x: float) -> float:
        """Length of a cross string at ``x`` inside the head, mm; 0 outside it."""
        xi = 2 * (x - self.head_centre) / self.head_length
        return self.head_width * math.sqrt(max(0.0, 1 - xi**2)) * (self.outline.p(xi) if self.outline.profile else 1.0)


@lru_cache(maxsize=4096)
def _hoop_turn(shape: RacquetShape, angle: float) -> float:
    """`RacquetShape.hoop_turn` of an angle from 0 to π on a hoop that is no ellipse."""

    def beyond(t: float) -> float:
        x, y = shape.hoop_point(t)
        return math.atan2(y, x - shape.head_centre) - angle

    return _crossing(beyond, 0.0, math.pi)


def _crossing(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function that rises from below 0 to above it passes 0, by bisection; an end where it does not."""
    for _ in range(52):
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < 0 else (low, middle)
    return (low + high) / 2


@lru_cache(maxsize=4096)
def _walked(shape: RacquetShape, start: float, run: float) -> float:
    """See `RacquetShape.along_hoop`; remembered, since a search lays the same strips again and again."""
    t = start + run / shape.hoop_speed(start)
    # Newton's method converges in three or four rounds; the limit only ends a loop that rounding keeps going.
    for _ in range(50):
        miss = shape.hoop_run(start, t) - run
        t -= miss / shape.hoop_speed(t)
        if abs(miss) < 1e-10:
            break
    return t
