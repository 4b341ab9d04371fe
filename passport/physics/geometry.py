"""The shape of a racquet and the places on it.

Coordinates of a racquet lying flat: ``x`` in mm from the butt end along the handle's long axis, ``y`` in mm to the
right of that axis seen from the front with the tip up. The string plane inside the head is an ellipse.
"""

import math
from dataclasses import dataclass, replace
from typing import Literal

from passport.physics.quadrature import integrate

Throat = Literal["open", "shaft"]


@dataclass(frozen=True, slots=True)
class RacquetShape:
    """The dimensions of one frame model, all in mm.

    ``head_length`` and ``head_width`` are those of the strung ellipse, inside the hoop; ``rim`` is the hoop's
    thickness in the head plane; ``handle`` is the length of the grip from the butt end; ``handle_width`` is the
    handle's width seen from the front. ``throat`` is ``open`` for two arms and ``shaft`` for one tube.
    Spacings of 0 mean "not measured": they are then estimated from the counts and the head.
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
    assumed: tuple[tuple[str, float], ...] = ()

    def is_assumed(self, *names: str) -> bool:
        """Whether one of these dimensions was not recorded but taken as usual."""
        return any(name in names for name, _ in self.assumed)

    def moved(self, name: str, by: float) -> "RacquetShape":
        """The same racquet with one dimension ``by`` larger; ``aspect`` keeps the head's area.

        A count of strings moves their spacing, since half a string cannot be drawn.
        """
        if name == "aspect":
            aspect = self.head_width / self.head_length
            longer = math.sqrt(aspect / (aspect + by))
            return replace(self, head_length=self.head_length * longer, head_width=self.head_width / longer)
        if name in ("mains", "crosses"):
            return replace(self, **{name: max(1, getattr(self, name) + round(by))})
        return replace(self, **{name: getattr(self, name) + by})

    @property
    def head_centre(self) -> float:
        """Distance of the centre of the string ellipse from the butt, mm."""
        return self.length - self.rim - self.head_length / 2

    @property
    def head_area(self) -> float:
        """Area of the string ellipse, mm²."""
        return math.pi * self.head_length * self.head_width / 4

    @property
    def spacing(self) -> tuple[float, float]:
        """Spacing of the mains and of the crosses, mm: as measured, else head size over the count plus three.

        The estimate leaves one and a half spacings free on each side (common practice, no source).
        """
        return (
            self.main_spacing or self.head_width / (self.mains + 3),
            self.cross_spacing or self.head_length / (self.crosses + 3),
        )

    @property
    def hoop_axes(self) -> tuple[float, float]:
        """Semi-axes of the ellipse along the middle of the hoop, mm: along the handle and across it."""
        return (self.head_length + self.rim) / 2, (self.head_width + self.rim) / 2

    @property
    def hoop_perimeter(self) -> float:
        """Length once around the middle of the hoop, mm."""
        return self._hoop_run(0.0, 2 * math.pi)

    def on_hoop(self, hour: float) -> tuple[float, float]:
        """The point (x, y) on the middle of the hoop that a clock's hand at ``hour`` points to, 12 at the tip."""
        return self.at_angle(math.radians(30 * hour))

    def at_angle(self, angle: float) -> tuple[float, float]:
        """The point (x, y) on the middle of the hoop ``angle`` radians clockwise from the tip."""
        a, b = self.hoop_axes
        radius = a * b / math.hypot(b * math.cos(angle), a * math.sin(angle))
        return self.head_centre + radius * math.cos(angle), radius * math.sin(angle)

    def hoop_point(self, t: float) -> tuple[float, float]:
        """The point (x, y) on the middle of the hoop at eccentric angle ``t``, radians clockwise from the tip."""
        a, b = self.hoop_axes
        return self.head_centre + a * math.cos(t), b * math.sin(t)

    def hoop_speed(self, t: float) -> float:
        """Length of hoop a radian of eccentric angle covers at ``t``, mm."""
        a, b = self.hoop_axes
        return math.hypot(a * math.sin(t), b * math.cos(t))

    def hoop_span(self, hour: float, length: float) -> tuple[float, float]:
        """Eccentric angles of the two ends of a strip ``length`` mm long, centred at a clock's ``hour`` on the hoop.

        Half of the strip, measured along the ellipse, lies on each side of the hour. Raises ``ValueError`` when the
        strip is longer than the hoop or its length is negative.
        """
        if not 0 <= length <= self.hoop_perimeter:
            raise ValueError(f"a strip of {length:g} mm does not fit a hoop of {self.hoop_perimeter:.0f} mm around")
        a, b = self.hoop_axes
        angle = math.radians(30 * hour)
        # A clock's hand points at an angle from the centre; the ellipse is walked in eccentric angles, which differ.
        centre = math.atan2(a * math.sin(angle), b * math.cos(angle))
        return self._along_hoop(centre, -length / 2), self._along_hoop(centre, length / 2)

    def hoop_path(self, hour: float, length: float, pieces: int = 16) -> tuple[tuple[float, float], ...]:
        """Points (x, y) along a strip on the hoop, end to end, mm: ``pieces`` + 1 of them, for drawing it."""
        start, end = self.hoop_span(hour, length)
        return tuple(self.hoop_point(start + (end - start) * i / pieces) for i in range(pieces + 1))

    def _hoop_run(self, start: float, end: float) -> float:
        """Length along the hoop between two eccentric angles, mm."""
        return integrate(self.hoop_speed, start, end, panels=16)

    def _along_hoop(self, start: float, run: float) -> float:
        """The eccentric angle that lies ``run`` mm clockwise of ``start`` along the hoop, by Newton's method."""
        t = start + run / self.hoop_speed(start)
        # Newton's method converges in three or four rounds; the limit only ends a loop that rounding keeps going.
        for _ in range(50):
            miss = self._hoop_run(start, t) - run
            t -= miss / self.hoop_speed(t)
            if abs(miss) < 1e-10:
                break
        return t

    def main_positions(self) -> tuple[float, ...]:
        """The y of each main string, mm, from left to right, centred on the long axis."""
        step = self.spacing[0]
        return tuple((i - (self.mains - 1) / 2) * step for i in range(self.mains))

    def cross_positions(self) -> tuple[float, ...]:
        """The x of each cross string, mm from the butt, from throat to tip, centred on the head."""
        step = self.spacing[1]
        return tuple(self.head_centre + (i - (self.crosses - 1) / 2) * step for i in range(self.crosses))

    def main_length(self, y: float) -> float:
        """Length of a main string at ``y`` inside the head, mm; 0 outside it."""
        return self.head_length * math.sqrt(max(0.0, 1 - (2 * y / self.head_width) ** 2))

    def cross_length(self, x: float) -> float:
        """Length of a cross string at ``x`` inside the head, mm; 0 outside it."""
        return self.head_width * math.sqrt(max(0.0, 1 - (2 * (x - self.head_centre) / self.head_length) ** 2))
