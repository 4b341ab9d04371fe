"""What is usual of a strung racquet in each sport, for asking back when a value is far from it.

Common practice, no source, for every span, reached by taking what frames, strings and pulls on the market have and going
a good way beyond it on both sides; the hard limits of the sports' rules are in `passport.records.schema.sportrules`.
Outside a span a value is not wrong, it is asked about.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from passport.physics.units import N_PER_LBF


@dataclass(frozen=True, slots=True)
class Span:
    """From ``low`` to ``high``, both usual."""

    low: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether a value is usual."""
        return self.low <= value <= self.high


def _pounds(low: float, high: float) -> Span:
    return Span(low * N_PER_LBF, high * N_PER_LBF)


@dataclass(frozen=True, slots=True)
class UsualValues:
    """The spans of one sport: pull in N, mass in g strung or bare, balance as a share of the length, inertia in kg·cm²,
    a string bed's frequency in Hz, a string's thickness in mm."""

    pull: Span
    mass: Span
    balance: Span
    swingweight: Span
    twistweight: Span
    hertz: Span
    gauge: Span


USUAL_VALUES: Final[Mapping[str, UsualValues]] = {
    "tennis": UsualValues(
        _pounds(30, 70), Span(210, 400), Span(0.40, 0.58), Span(210, 430), Span(8, 22), Span(350, 850), Span(1.0, 1.5)
    ),
    "squash": UsualValues(
        _pounds(15, 36), Span(100, 262), Span(0.42, 0.62), Span(100, 240), Span(2.5, 10), Span(350, 950), Span(1.0, 1.4)
    ),
    "badminton": UsualValues(
        _pounds(15, 38),
        Span(62, 120),
        Span(0.36, 0.54),
        Span(55, 130),
        Span(0.6, 3.5),
        Span(600, 1600),
        Span(0.55, 0.8),
    ),
    "racketball": UsualValues(
        _pounds(15, 42), Span(135, 280), Span(0.40, 0.62), Span(70, 200), Span(4, 16), Span(300, 900), Span(1.0, 1.5)
    ),
}
BELOW_MAKERS: Final = 0.88
"""How far below the maker's lowest pull strings are still put in without a question, as a share of it: soft strings are
strung a few pounds under the range (common practice, no source)."""
READ_OF_PULL: Final = Span(0.3, 1.15)
"""A reader's tension as a share of the pull: a bed holds less than it was pulled with (Cross & Bower 2001, about 0.7),
and readers show it on scales of their own."""
CROSSES_OF_MAINS: Final = Span(0.84, 1.19)
"""The pull of the crosses as a share of that of the mains (common practice, no source)."""
