"""Swingweight without a machine: the racquet as a pendulum, or hung level on two wires.

Pendulum: the racquet swings freely about a pin or knife edge that lies in the string plane at right angles to the
handle, face first. Swinging edge first measures another inertia, larger by about the twistweight. Not modelled: drag
and air carried along, friction at the pivot, the mass of a clamp that swings along.

Two wires (bifilar): the racquet hangs level with its face upright, the wires parallel and equally far from the centre
of mass, and turns to and fro about the vertical through it. It rises a little as it turns, so that a wide turn takes
longer: 10° to each side make a moment of inertia 0.4 % too large, 15° 0.9 %, where nobody corrects for it.

The formulas stand in any mechanics text; the elliptic integral by the arithmetic-geometric mean is DLMF §19.8(i).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Final

from passport.physics.moments import SWING_AXIS_MM, Moments
from passport.physics.quadrature import integrate
from passport.physics.uncertainty import Estimate, propagate
from passport.physics.units import GMM2_PER_KGCM2, STANDARD_GRAVITY

LEAST_ARM_MM: Final = 1.0
"""Distance between pivot and centre of mass, mm, below which a body does not swing as a pendulum in any useful way."""

_ROUNDS: Final = 3
"""How often the inertia that the rise of a body on two wires hangs on is put in again; the first changes 1e-4 of it."""

_GRAVITY = Estimate(STANDARD_GRAVITY, 0.0)
_STILL = Estimate(0.0, 0.0)


def amplitude_factor(amplitude: float) -> float:
    """Period of a pendulum that swings ``amplitude`` radians to each side, over that of a very small swing.

    T/T₀ = (2/π)·K(sin θ₀/2) = 1/agm(1, cos θ₀/2). Raises ``ValueError`` for half a turn or more.
    """
    if not abs(amplitude) < math.pi:
        raise ValueError(f"a pendulum swings less than half a turn to each side, not {math.degrees(amplitude):.0f}°")
    a, b = 1.0, math.cos(amplitude / 2)
    # Each round doubles the number of right digits, so a handful is enough.
    while abs(a - b) > 1e-15 * a:
        a, b = (a + b) / 2, math.sqrt(a * b)
    return 1 / a


def pendulum_inertia(
    mass: float,
    balance: float,
    pivot: float,
    period: float,
    *,
    amplitude: float = 0.0,
    gravity: float = STANDARD_GRAVITY,
) -> float:
    """Moment of inertia about the pivot, kg·cm²: I = M·g·d·T₀²/4π² with d from pivot to centre of mass.

    ``mass`` g; ``balance`` and ``pivot`` mm from the butt; ``period`` s of one full swing to and fro; ``amplitude``
    rad to each side; ``gravity`` m/s². Raises ``ValueError`` for a mass or a period that is not above 0, and where the
    pivot is at the balance point.
    """
    arm = abs(balance - pivot)
    if not (mass > 0 and period > 0):
        raise ValueError("a pendulum needs a mass and a period above 0")
    if arm < LEAST_ARM_MM:
        raise ValueError(f"hung at its balance point ({balance:g} mm) a racquet does not swing: move the pivot")
    # Wide swings take longer: without this, 20° to each side make the inertia 1.5 % too large.
    small = period / amplitude_factor(amplitude)
    return mass * gravity * 1000 * arm * small**2 / (4 * math.pi**2) / GMM2_PER_KGCM2


def pendulum_swingweight(
    mass: float,
    balance: float,
    pivot: float,
    period: float,
    *,
    amplitude: float = 0.0,
    gravity: float = STANDARD_GRAVITY,
    axis: float = SWING_AXIS_MM,
) -> float:
    """Swingweight about ``axis`` mm from the butt, kg·cm²: I_pivot − M·d² + M·(B − A)²; units as in the inertia."""
    about_pivot = pendulum_inertia(mass, balance, pivot, period, amplitude=amplitude, gravity=gravity)
    # The reading about the pivot is a swingweight about another axis: one shift, through moments about the butt.
    return Moments.from_measured(mass, balance, about_pivot, axis=pivot).swingweight(axis)


def pendulum_period(body: Moments, pivot: float, amplitude: float = 0.0, gravity: float = STANDARD_GRAVITY) -> float:
    """Period in s of one full swing of ``body`` about ``pivot`` mm from the butt: T₀ = 2π·√(I/(M·g·d)), corrected.

    Raises ``ValueError`` where the pivot is at the balance point.
    """
    arm = abs(body.balance - pivot)
    if arm < LEAST_ARM_MM:
        raise ValueError(f"hung at its balance point ({body.balance:g} mm) a body does not swing")
    inertia = body.swingweight(pivot) * GMM2_PER_KGCM2
    return 2 * math.pi * math.sqrt(inertia / (body.mass * gravity * 1000 * arm)) * amplitude_factor(amplitude)


def bifilar_inertia(
    mass: float,
    spacing: float,
    wire: float,
    period: float,
    gravity: float = STANDARD_GRAVITY,
    *,
    amplitude: float = 0.0,
) -> float:
    """Moment of inertia about the vertical through the centre of mass, kg·cm²: I = M·g·D²·T₀²/(16π²·h).

    ``mass`` g; ``spacing`` D of the wires and their length ``wire`` h in mm; ``period`` s of one full turn to and fro;
    ``amplitude`` rad to each side, from which T₀ of a very small turn follows (:func:`bifilar_factor`).
    With the racquet level and its face upright this is I_cm; hung by the handle, tip down, it is the twistweight.
    Raises ``ValueError`` unless all of them are above 0, or where the wires are too short for so wide a turn.
    """
    if not (mass > 0 and spacing > 0 and wire > 0 and period > 0):
        raise ValueError("a body on two wires needs mass, spacing, wire length and period above 0")
    plain = mass * gravity * 1000 * spacing**2 * period**2 / (16 * math.pi**2 * wire)
    found = plain
    for _ in range(_ROUNDS if amplitude else 0):  # how far it rises counts by its own inertia, hardly at all
        found = plain / bifilar_factor(amplitude, spacing, wire, found / mass) ** 2
    return found / GMM2_PER_KGCM2


def bifilar_factor(amplitude: float, spacing: float, wire: float, gyration2: float) -> float:
    """Period of a body that turns ``amplitude`` radians to each side on two wires, over that of a very small turn.

    Turned by θ it hangs z = h − √(h² − D²·sin²(θ/2)) higher, so that from the energy ½(I + M·z′²)·θ̇² + M·g·z the
    period is 4·∫√((k² + z′²)/(2g(z₀ − z)))dθ from 0 to θ₀ with k² = I/M (``gyration2``, mm²; any mechanics text). For
    long wires it is that of a pendulum, ≈ 1 + θ₀²/16. Raises ``ValueError`` where the wires cannot turn so far.
    """
    top = abs(amplitude)
    if not 0 < top < math.pi or spacing * math.sin(top / 2) >= wire:
        raise ValueError(f"on these wires a body does not turn {math.degrees(amplitude):.0f}° to each side")

    def height(turn: float) -> float:
        return wire - math.sqrt(wire**2 - (spacing * math.sin(turn / 2)) ** 2)

    def slowness(phase: float) -> float:
        turn = top * math.sin(phase)
        slope = spacing**2 * math.sin(turn) / 4 / (wire - height(turn))
        return math.sqrt((gyration2 + slope**2) / (2 * (height(top) - height(turn)))) * top * math.cos(phase)

    quarter = integrate(slowness, 0.0, math.pi / 2, panels=12)
    return 4 * quarter / (4 * math.pi * math.sqrt(gyration2 * wire) / spacing)


def bifilar_swingweight(
    mass: float,
    balance: float,
    spacing: float,
    wire: float,
    period: float,
    *,
    amplitude: float = 0.0,
    gravity: float = STANDARD_GRAVITY,
    axis: float = SWING_AXIS_MM,
) -> float:
    """Swingweight about ``axis`` mm from the butt, kg·cm²: I_cm + M·(B − A)²; units as in the inertia."""
    i_cm = bifilar_inertia(mass, spacing, wire, period, gravity, amplitude=amplitude)
    return Moments.from_measured(mass, balance, i_cm, axis=balance).swingweight(axis)


def _timed(model: Callable[..., float], time: Estimate, swings: int, **inputs: Estimate) -> Estimate:
    """Propagate through ``model``, whose period is ``time`` over ``swings``."""
    if swings < 1:
        raise ValueError("a timing counts at least one full swing")

    def of_time(time: float, **rest: float) -> float:
        return model(period=time / swings, **rest)

    return propagate(of_time, {"time": time, **inputs})


@dataclass(frozen=True, slots=True)
class PendulumReading:
    """One timing of a racquet as a pendulum: each figure with its standard uncertainty.

    ``mass`` g; ``balance`` and ``pivot`` mm from the butt; ``time`` s of ``swings`` full swings to and fro;
    ``amplitude`` rad to each side, the mean over the timing; ``gravity`` m/s² where it is known better than standard
    (it differs by up to 0.3 % between equator and poles).
    """

    mass: Estimate
    balance: Estimate
    pivot: Estimate
    time: Estimate
    swings: int = 1
    amplitude: Estimate = _STILL
    gravity: Estimate = _GRAVITY

    def inertia(self) -> Estimate:
        """Moment of inertia about the pivot, kg·cm², with its uncertainty."""
        return self._through(pendulum_inertia)

    def swingweight(self, axis: float = SWING_AXIS_MM) -> Estimate:
        """Swingweight about ``axis`` mm from the butt, kg·cm², with its uncertainty.

        Balance and pivot enter both the pendulum's formula and the shift to the axis: each is one input of the whole.
        """
        return self._through(partial(pendulum_swingweight, axis=axis))

    def _through(self, model: Callable[..., float]) -> Estimate:
        return _timed(
            model,
            self.time,
            self.swings,
            mass=self.mass,
            balance=self.balance,
            pivot=self.pivot,
            amplitude=self.amplitude,
            gravity=self.gravity,
        )


@dataclass(frozen=True, slots=True)
class BifilarReading:
    """One timing of a racquet hung level on two wires: each figure with its standard uncertainty.

    ``mass`` g; ``balance`` mm from the butt; ``spacing`` between the wires and their length ``wire`` mm; ``time`` s of
    ``swings`` full turns to and fro; ``amplitude`` rad to each side; ``gravity`` m/s².
    """

    mass: Estimate
    balance: Estimate
    spacing: Estimate
    wire: Estimate
    time: Estimate
    swings: int = 1
    amplitude: Estimate = _STILL
    gravity: Estimate = _GRAVITY

    def swingweight(self, axis: float = SWING_AXIS_MM) -> Estimate:
        """Swingweight about ``axis`` mm from the butt, kg·cm², with its uncertainty."""
        model = partial(bifilar_swingweight, axis=axis)
        return _timed(model, self.time, self.swings, balance=self.balance, **self._rest())

    def inertia(self) -> Estimate:
        """Moment of inertia about the vertical through the centre of mass, kg·cm², with its uncertainty."""
        return _timed(bifilar_inertia, self.time, self.swings, **self._rest())

    def _rest(self) -> dict[str, Estimate]:
        rest = {"mass": self.mass, "spacing": self.spacing, "wire": self.wire}
        return rest | {"amplitude": self.amplitude, "gravity": self.gravity}
