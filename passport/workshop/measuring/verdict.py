"""Whether a measured quantity meets its target, and how surely."""

from dataclasses import dataclass

from passport.physics.uncertainty import Estimate, conformity
from passport.records.schema.frame import Setup
from passport.workshop.facts.decided import Decided
from passport.workshop.facts.facts import QuantityName, Verdict
from passport.workshop.measuring.causes import settled

_ROUNDING = 1e-9
"""What a sum may be off by its rounding, in the unit of the quantity."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """The ``verdict``, ``open`` where a figure is missing, and the ``probability`` that the true value conforms.

    ``settled`` says what would settle one that is undecided.
    """

    verdict: Verdict
    probability: float | None = None
    settled: Decided | None = None


def judge(figure: Estimate | None, target: float | None, tolerance: float | None) -> Judgement:
    """A figure against its target by guarded acceptance (JCGM 106, 8.3): within two standard uncertainties of a limit
    nobody can say, and the verdict is ``undecided``."""
    if figure is None or target is None or tolerance is None:
        return Judgement("open")
    allowed = tolerance + _ROUNDING
    low, high = target - allowed, target + allowed
    found = conformity(figure.value, figure.u, low, high)
    return Judgement(found.verdict, found.probability, settled(figure, low, high))


def wanted(setup: Setup, quantity: QuantityName, length: float) -> tuple[float | None, float | None]:
    """A setup's target and its own tolerance, g, mm or kg·cm², each None where the setup does not say.

    ``length`` of the frame in mm turns a balance in points into one from the butt.
    """
    if quantity == "balance":
        balance = setup.balance
        return (balance.mm(length), balance.tolerance_mm) if balance else (None, None)
    band = getattr(setup, quantity)
    return (band.target.value, band.tolerance.value if band.tolerance else None) if band else (None, None)
