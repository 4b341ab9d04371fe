"""Moments of inertia that a reading gives as a timing: its pendulum or its two wires, worked out."""

import math

from passport.physics.moments import SWING_AXIS_MM
from passport.physics.pendulum import bifilar_inertia, bifilar_swingweight, pendulum_swingweight
from passport.records.schema.frame import Pendulum, Reading


def one_swing(pendulum: Pendulum) -> float:
    """Period of one full swing to and fro, s."""
    if pendulum.period:
        return pendulum.period.value
    assert pendulum.time and pendulum.swings, "the record's type asks for one or the other"
    return pendulum.time.value / pendulum.swings


def amplitude(pendulum: Pendulum) -> float:
    """How far it swung to each side, rad; 0 where nobody looked."""
    return math.radians(pendulum.amplitude.value) if pendulum.amplitude else 0.0


def swingweight(reading: Reading, length: float, axis: float = SWING_AXIS_MM) -> float | None:
    """Swingweight in kg·cm² about ``axis`` from a reading's timing on a frame of ``length`` mm; None without one.

    Raises ``ValueError`` for a frame hung at its balance point, which does not swing.
    """
    if not (reading.mass and reading.balance):
        return None
    mass, balance = reading.mass.value, reading.balance.mm(length)
    if reading.pendulum:
        p = reading.pendulum
        period, swing = one_swing(p), amplitude(p)
        return pendulum_swingweight(mass, balance, p.pivot.value, period, amplitude=swing, axis=axis)
    if reading.bifilar and reading.bifilar.hung == "level":
        b = reading.bifilar
        return bifilar_swingweight(mass, balance, b.spacing.value, b.wires.value, b.time.value / b.swings, axis=axis)
    return None


def twistweight(reading: Reading) -> float | None:
    """Twistweight in kg·cm² of a frame hung by its handle on two wires; None where the reading is not such a one."""
    b = reading.bifilar
    if b is None or b.hung != "tip down" or reading.mass is None:
        return None
    return bifilar_inertia(reading.mass.value, b.spacing.value, b.wires.value, b.time.value / b.swings)
