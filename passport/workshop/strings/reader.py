"""The reader of string beds as an instrument: its checks correct its readings, and its repeatability is one figure.

A fork of known pitch or a bed kept as a reference tells by which factor the reader is off. A check in Hz corrects
readings in Hz, one in lb, kg or N those that the reader shows in such units, one in kg/cm or lb/in those of a bed's
stiffness; nothing is carried from one to the other, since how a reader turns Hz into lb is its own affair. What a check leaves open is made of the digits on both sides and
of the reader's repeatability on the day of the check (JCGM 100, 4.3 and F.2.4.5).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from passport.physics.ageing import READING_U
from passport.physics.uncertainty import from_resolution
from passport.records.schema.quantities import RING, Quantity, RingScale, is_of, parse, ring_scale
from passport.records.schema.workshop import Instrument, InstrumentCheck, Workshop
from passport.workshop.measuring.instruments import check_in_force, digits_u, known

UNCHECKED_U: Final = 0.01
"""Standard uncertainty of the factor of a reader that was never held against anything, as a share of the tension
(common practice, no source)."""

_SHOWN: Final = replace(RING, low=0.0)  # a step or a repeatability is smaller than any reading
_SCALES: Final[tuple[RingScale, ...]] = ("Hz", "tension", "stiffness")


@dataclass(frozen=True, slots=True)
class ReaderCorrection:
    """What is known of the reader when something was read: the shown figure is multiplied by ``factor``.

    All uncertainties are shares of the tension, so that those of a frequency count twice. ``digits`` is what the shown
    digits leave, ``repeatability`` the scatter of repeated readings of one bed. ``u`` is that of the factor, shared by
    all readings with the same ``check`` (its day and what it was held against); None is a reader never checked.
    """

    factor: float = 1.0
    u: float = UNCHECKED_U
    digits: float = 0.0
    repeatability: float = READING_U
    check: tuple[date, str] | None = None

    def apart(self, other: "ReaderCorrection") -> float:
        """What the two corrections leave open between two readings: nothing where one check corrects both."""
        return 0.0 if self.check == other.check else math.hypot(self.u, other.u)


UNKNOWN_READER: Final = ReaderCorrection()
"""A reader of which nothing is known."""


class BedReader:
    """The reader of string beds of a workshop; without one in the record the usual figures hold."""

    def __init__(self, instrument: Instrument | None = None) -> None:
        """Keep the checks of an instrument apart by what they can correct."""
        self._name = instrument.name if instrument else ""
        self._step = _as_shown(instrument.resolution) if instrument else None
        self._stated = _as_shown(instrument.repeatability) if instrument and instrument.repeatability else None
        checks = [_check_as_shown(check) for check in instrument.checks] if instrument else []
        self._checks = {scale: [c for c in checks if c.known and ring_scale(c.known) == scale] for scale in _SCALES}
        self._others: Mapping[str, BedReader] = {}

    @classmethod
    def of(cls, workshop: Workshop | None) -> "BedReader":
        """The first reader that a workshop lists: the one that readings were taken with that name no other."""
        listed = [one for one in (workshop.instruments if workshop else ()) if one.kind == "ring reader"]
        first = cls(listed[0] if listed else None)
        first._others = {one.name: cls(one) for one in listed[1:]}
        return first

    def named(self, name: str) -> "BedReader":
        """The reader of a name; this one for none, or for one that is not listed."""
        return self._others.get(name, self)

    def states(self, shown: Quantity) -> bool:
        """Whether the workshop states how far figures like this one scatter."""
        return self._stated is not None and ring_scale(self._stated) == ring_scale(shown)

    @property
    def only_name(self) -> str:
        """The name of the only reader that a workshop lists; empty where it lists several, or none."""
        return "" if self._others else self._name

    def correction(self, shown: Quantity, day: date) -> ReaderCorrection:
        """What is known of the reader when it showed a figure on a day, by the check in force."""
        scale = ring_scale(shown)
        digits, repeatability = self._digits(shown), self._repeatability(shown)
        # Hz by a check in Hz only: the reader's own formula to lb has an error that no fork can show.
        check = check_in_force(self._checks[scale], day, "ring reader", shown.value)
        if check is None:
            return ReaderCorrection(digits=digits, repeatability=repeatability)
        true = known(check, "ring reader")
        own = math.hypot(self._digits(check.reads), self._repeatability(check.reads))
        u = math.hypot(true.u / true.value * _power(scale), own)
        return ReaderCorrection(
            true.value / check.reads.value, u, digits, repeatability, (check.date, f"{true.value:g}")
        )

    def _digits(self, shown: Quantity) -> float:
        """What the shown digits leave open, or the step of the display where that is coarser."""
        step = self._step if self._step and ring_scale(self._step) == ring_scale(shown) else None
        coarse = from_resolution(step.value) if step else 0.0
        return _power(ring_scale(shown)) * max(digits_u(shown), coarse) / shown.value

    def _repeatability(self, shown: Quantity) -> float:
        """The workshop's figure where it states one in such a unit, else the usual one."""
        if self._stated is None or not self.states(shown):
            return READING_U
        return _power(ring_scale(shown)) * self._stated.value / shown.value


def _power(scale: RingScale) -> int:
    """How often the share of a reading counts in that of the tension, which goes with the square of the frequency."""
    return 2 if scale == "Hz" else 1


def _as_shown(quantity: Quantity) -> Quantity:
    """A figure of the reader in Hz or N: an instrument's record takes a kilogramme for a mass."""
    return parse(quantity.text, _SHOWN) if is_of(quantity, _SHOWN) else quantity


def _check_as_shown(check: InstrumentCheck) -> InstrumentCheck:
    figures = {"known": _as_shown(check.known) if check.known else None, "reads": _as_shown(check.reads)}
    return check.model_copy(update=figures)
