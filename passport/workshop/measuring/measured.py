"""Readings as figures with their uncertainty: weighed, balanced, swung on the machine or timed without one."""

import math
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Final

from passport.physics.moments import SWING_AXIS_MM, Moments
from passport.physics.pendulum import amplitude_factor, bifilar_inertia, bifilar_swingweight, pendulum_swingweight
from passport.physics.uncertainty import Estimate, combined, from_half_width
from passport.physics.units import STANDARD_GRAVITY
from passport.records import timed
from passport.records.schema.frame import Bifilar, Pendulum, Reading
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.instruments import Instruments, Shown, Values, digits_u, last_digit, through

BY_HAND_S: Final = 0.05
"""Standard uncertainty of starting and stopping a watch, s (common practice, no source)."""

BY_GATE_S: Final = 0.001
"""Standard uncertainty of a period given as such, s: from a light gate or a film (common practice, no source)."""

PLACED_MM: Final = 0.5
"""Standard uncertainty of where a pin or a wire sits, mm (common practice, no source)."""

SWING_U: Final = 0.2
"""Standard uncertainty of an amplitude judged by eye, as a share of it (common practice, no source)."""

UNSEEN: Final = math.radians(10.0)
"""How far a frame is taken to swing or turn at most where nobody wrote it down, rad (common practice, no source)."""

GRAVITY: Final = Estimate(STANDARD_GRAVITY, from_half_width(0.0027 * STANDARD_GRAVITY))
"""Gravity at the bench, m/s²: standard, and within 0.27 % of it anywhere at sea level (from memory)."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One quantity as measured on ``day``, corrected: ``read(values, mass, balance)`` from the values of ``inputs``.

    Mass in g, balance in mm, inertia in kg·cm², a swingweight about the usual axis. Mass and balance of the frame in
    the state of the reading matter to a swingweight that was timed, or read about another axis.
    """

    quantity: QuantityName
    day: date
    inputs: Mapping[str, Estimate]
    read: Callable[[Values, float, float], float]


def figures(
    reading: Reading,
    day: date,
    length: float,
    instruments: Instruments,
    name: str,
    assumed: Mapping[str, Estimate] = MappingProxyType({}),
) -> dict[QuantityName, Figure]:
    """Everything that a reading of a frame ``length`` mm long says of the four quantities.

    ``name`` tells the reading apart from others, so that each of its errors is an input of its own. ``assumed`` is the
    length by the name of its input where nobody recorded it: a balance in points moves by half of what it is off.
    """
    found: dict[QuantityName, Figure] = {}
    if reading.mass:
        found["mass"] = _plain("mass", day, instruments.mass(reading.mass.value, day, f"mass, {name}"))
    if reading.balance:
        shown = instruments.balance(reading.balance.mm(length), day, f"balance, {name}")
        found["balance"] = _balance(day, shown, {} if reading.balance.mm_value is not None else assumed)
    swing = _swing(reading, day, instruments, name)
    twist = _twist(reading, day, instruments, name)
    return found | ({"swingweight": swing} if swing else {}) | ({"twistweight": twist} if twist else {})


def estimates(
    reading: Reading,
    day: date,
    length: float,
    instruments: Instruments,
    assumed: Mapping[str, Estimate] = MappingProxyType({}),
) -> dict[QuantityName, Estimate]:
    """The quantities of one reading by itself, corrected, with their standard uncertainties.

    A swingweight about another axis than the usual one is left out where the reading lacks mass or balance, and one
    that was timed where the frame cannot have swung so.
    """
    found = figures(reading, day, length, instruments, "reading", assumed)
    # Bringing a swingweight to another axis needs both; without them it would be a figure about an unknown axis.
    lone = not ("mass" in found and "balance" in found)
    if lone and reading.axis and reading.axis.value != SWING_AXIS_MM:
        found.pop("swingweight", None)
    inputs = {name: e for figure in found.values() for name, e in figure.inputs.items()}

    def of(figure: Figure) -> Callable[[Values], float]:
        def model(values: Values) -> float:
            mass, balance = (found[q].read(values, 0.0, 0.0) if q in found else 0.0 for q in ("mass", "balance"))
            return figure.read(values, mass, balance)

        return model

    done: dict[QuantityName, Estimate] = {}
    for quantity, figure in found.items():
        # A frame that cannot have swung so is the checks' to report; here the other figures still count.
        with suppress(ValueError):
            done[quantity] = through(of(figure), inputs)
    return done


def _plain(quantity: QuantityName, day: date, shown: Shown) -> Figure:
    return Figure(quantity, day, shown.inputs, lambda values, mass, balance: shown.corrected(values))


def _balance(day: date, shown: Shown, lengths: Mapping[str, Estimate]) -> Figure:
    """A balance from the butt; one in points with the ``lengths`` that it was counted from half of."""

    def read(values: Values, mass: float, balance: float) -> float:
        return shown.corrected(values) + sum((values[name] - length.value) / 2 for name, length in lengths.items())

    return Figure("balance", day, {**shown.inputs, **lengths}, read)


def _swing(reading: Reading, day: date, instruments: Instruments, name: str) -> Figure | None:
    if reading.swingweight:
        shown = instruments.swingweight(reading.swingweight.value, day, f"swingweight, {name}")
        return Figure("swingweight", day, shown.inputs, _about(shown, reading.axis.value if reading.axis else None))
    if reading.pendulum:
        return _pendulum(reading.pendulum, day, name)
    return _wires(reading.bifilar, day, name) if reading.bifilar and reading.bifilar.hung == "level" else None


def _about(shown: Shown, axis: float | None) -> Callable[[Values, float, float], float]:
    """A machine's figure, brought from its own axis to the usual one by the parallel axis theorem."""

    def read(values: Values, mass: float, balance: float) -> float:
        swung = shown.corrected(values)
        if axis is None or axis == SWING_AXIS_MM:
            return swung
        return Moments.from_measured(mass, balance, swung, axis=axis).swingweight()

    return read


def _twist(reading: Reading, day: date, instruments: Instruments, name: str) -> Figure | None:
    given = reading.twistweight
    if given:
        return _plain(
            "twistweight",
            day,
            instruments.twistweight(given.value, day, f"twistweight, {name}", last_digit(given)),
        )
    wires = reading.bifilar
    if wires is None or wires.hung != "tip down":
        return None
    inputs = _hung(wires, name)
    spacing, wire, time, turn, longer, gravity = inputs

    def read(values: Values, mass: float, balance: float) -> float:
        period = values[time] / wires.swings / values[longer]
        return bifilar_inertia(mass, values[spacing], values[wire], period, values[gravity], amplitude=values[turn])

    return Figure("twistweight", day, inputs, read)


def _pendulum(pendulum: Pendulum, day: date, name: str) -> Figure:
    by_hand = pendulum.time or pendulum.period
    assert by_hand, "the record's type asks for one or the other"
    swings = pendulum.swings or 1
    time_u = combined(BY_HAND_S if pendulum.time else BY_GATE_S, digits_u(by_hand))
    pivot, time, wide, longer = (f"{what}, {name}" for what in ("pivot", "time", "amplitude", "unseen amplitude"))
    inputs = {
        pivot: Estimate(pendulum.pivot.value, PLACED_MM),
        time: Estimate(by_hand.value, time_u),
        **_wide(pendulum, name),
        "gravity": GRAVITY,
    }

    def read(values: Values, mass: float, balance: float) -> float:
        period = values[time] / swings / values[longer]
        return pendulum_swingweight(
            mass, balance, values[pivot], period, amplitude=values[wide], gravity=values["gravity"]
        )

    return Figure("swingweight", day, inputs, read)


def _wires(wires: Bifilar, day: date, name: str) -> Figure:
    given = _hung(wires, name)
    spacing, wire, time, turn, longer, gravity = given

    def read(values: Values, mass: float, balance: float) -> float:
        period = values[time] / wires.swings / values[longer]
        return bifilar_swingweight(
            mass, balance, values[spacing], values[wire], period, amplitude=values[turn], gravity=values[gravity]
        )

    return Figure("swingweight", day, given, read)


def _hung(wires: Bifilar, name: str) -> dict[str, Estimate]:
    """Spacing, length of the wires, time, amplitude, what an unseen one does to the period, and gravity, in this order."""
    return {
        # Two ends, each placed by itself.
        f"spacing, {name}": Estimate(wires.spacing.value, PLACED_MM * math.sqrt(2)),
        f"wires, {name}": Estimate(wires.wires.value, 2 * PLACED_MM),
        f"time, {name}": Estimate(wires.time.value, combined(BY_HAND_S, digits_u(wires.time))),
        **_wide(wires, name),
        "gravity": GRAVITY,
    }


def _wide(swung: Pendulum | Bifilar, name: str) -> dict[str, Estimate]:
    """The amplitude, and the factor by which a period may be longer because nobody saw how wide the swing was."""
    swing = timed.amplitude(swung)
    # One-sided in truth, since a wide swing only lengthens the period; taken as symmetric, which is the larger doubt.
    unseen = from_half_width(amplitude_factor(UNSEEN) - 1) if swung.amplitude is None else 0.0
    seen = Estimate(swing, SWING_U * swing)
    return {f"amplitude, {name}": seen, f"unseen amplitude, {name}": Estimate(1.0, unseen)}
