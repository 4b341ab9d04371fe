"""What is usual of a strung racquet in each sport, for asking back when a value is far from it.

Common practice, no source, for every span, reached by taking what frames, strings and pulls on the market have and going
a good way beyond it on both sides; the hard limits of the sports' rules are in `passport.records.sportrules`.
Outside a span a value is not wrong, it is asked about.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from passport.physics.units import N_PER_LBF


@dataclass(frozen=True, slots=True)
class UsualRange:
    """From ``low`` to ``high``, both usual."""

    low: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether a value is usual."""
        return self.low <= value <= self.high


def _pounds(low: float, high: float) -> UsualRange:
    return UsualRange(low * N_PER_LBF, high * N_PER_LBF)


@dataclass(frozen=True, slots=True)
class UsualValues:
    """The spans of one sport: pull in N, mass in g strung or bare, balance as a share of the length, inertia in kg·cm²,
    a string bed's frequency in Hz, a string's thickness in mm."""

    pull: UsualRange
    mass: UsualRange
    balance: UsualRange
    swingweight: UsualRange
    twistweight: UsualRange
    hertz: UsualRange
    gauge: UsualRange


USUAL_VALUES: Final[Mapping[str, UsualValues]] = {
    "tennis": UsualValues(
        _pounds(30, 70),
        UsualRange(210, 400),
        UsualRange(0.40, 0.58),
        UsualRange(210, 430),
        UsualRange(8, 22),
        UsualRange(350, 850),
        UsualRange(1.0, 1.5),
    ),
    "squash": UsualValues(
        _pounds(15, 36),
        UsualRange(100, 262),
        UsualRange(0.42, 0.62),
        UsualRange(100, 240),
        UsualRange(2.5, 10),
        UsualRange(350, 950),
        UsualRange(1.0, 1.4),
    ),
    "badminton": UsualValues(
        _pounds(15, 38),
        UsualRange(62, 120),
        UsualRange(0.36, 0.54),
        UsualRange(55, 130),
        UsualRange(0.6, 3.5),
        UsualRange(600, 1600),
        UsualRange(0.55, 0.8),
    ),
    "racketball": UsualValues(
        _pounds(15, 42),
        UsualRange(135, 280),
        UsualRange(0.40, 0.62),
        UsualRange(70, 200),
        UsualRange(4, 16),
        UsualRange(300, 900),
        UsualRange(1.0, 1.5),
    ),
}
HANDLES: Final[Mapping[str, UsualRange]] = {
    "tennis": UsualRange(95, 130),
    "squash": UsualRange(75, 115),
    "badminton": UsualRange(65, 105),
    "racketball": UsualRange(80, 120),
}
"""The way round a handle as it is played, mm."""
BELOW_MAKERS: Final = 0.88
"""How far below the maker's lowest pull strings are still put in without a question, as a share of it: soft strings are
strung a few pounds under the range (common practice, no source)."""
READ_OF_PULL: Final = UsualRange(0.3, 1.15)
"""A reader's tension as a share of the pull: a bed holds less than it was pulled with (Cross & Bower 2001, about 0.7),
and readers show it on scales of their own."""
CROSSES_OF_MAINS: Final = UsualRange(0.84, 1.19)
"""The pull of the crosses as a share of that of the mains (common practice, no source)."""
