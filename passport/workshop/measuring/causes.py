"""What makes a figure unsure, by cause: how its uncertainty is made up, and what would settle an undecided verdict.

Every input of a figure has a name; here the names are put together to causes that a person can do something about.
"""

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from passport.physics.uncertainty import Conformity, Estimate, Share, combined, conformity, from_resolution
from passport.records.language.worded import unsaid
from passport.workshop.facts.decided import Decided
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.dimensions import PREFIX, dimension_of
from passport.workshop.measuring.instruments import USUAL

Cause = Literal["readings", "checks", "dimensions", "parts", "places", "string", "target"]

CAUSES: Final[tuple[Cause, ...]] = ("readings", "checks", "dimensions", "parts", "places", "string", "target")
"""The causes in the order in which they are shown: scatter and last digit of readings; what instruments were held
against; dimensions of the model taken as usual; masses of parts; where they lie; the string's mass; the target."""

_BEGINS: Final[tuple[tuple[str, Cause], ...]] = (
    ("mass of ", "parts"),
    ("place of ", "places"),
    ("string ", "string"),
    ("target, ", "target"),
    ("gravity", "checks"),
    (PREFIX, "dimensions"),
)
_CHECK: Final = re.compile(r"(?P<instrument>.+), (?P<how>unchecked|check of .+)")

_STAYS: Final[Mapping[str, float]] = {
    kind: (combined(from_resolution(usual.resolution), usual.repeatability) / usual.unchecked / scale) ** 2
    for kind, usual, scale in ((k, USUAL[k], {"scale": 200.0, "swing machine": 285.0}.get(k, 1.0)) for k in USUAL)
}
"""Which part of the variance of an unchecked instrument a first check leaves: that of one look at a check piece of 200 g
or 285 kg·cm², as usual instruments show and scatter."""


def cause_of(name: str) -> Cause:
    """The cause that an input belongs to, by its name."""
    found = next((cause for begin, cause in _BEGINS if name.startswith(begin)), None)
    return found or ("checks" if _CHECK.fullmatch(name) else "readings")


@dataclass(frozen=True, slots=True)
class CauseShare:
    """One cause's part of a figure's variance, 0 … 1."""

    cause: Cause
    share: float


def made_up(shares: Iterable[Share]) -> tuple[CauseShare, ...]:
    """How an uncertainty is made up: every cause with its part of the variance, those without any left out."""
    sums: dict[Cause, float] = {}
    for share in shares:
        cause = cause_of(share.name)
        sums[cause] = sums.get(cause, 0.0) + share.amount**2
    whole = sum(sums.values())
    return tuple(CauseShare(cause, sums[cause] / whole) for cause in CAUSES if whole and sums.get(cause))


def settled(figure: Estimate, low: float, high: float) -> Decided | None:
    """What would settle a figure against its limits; None where it is decided as it is.

    A remedy settles it where the figure, as it reads now, would be inside or outside by guarded acceptance (JCGM 106, 8.3)
    without what the remedy takes away. The one that takes away most of the uncertainty is named.
    """
    judged = conformity(figure.value, figure.u, low, high)
    if judged.verdict != "undecided" or not figure.shares:
        return None
    # By remedy, not by input: a look at one check takes the doubt out of all the figures that it corrects.
    kinds = sorted(_remedies(figure.shares).values(), key=lambda r: -r.variance)
    largest = kinds[0]
    by = next((r for r in kinds if _decides(figure, r, low, high)), None)
    do, done_to = (by.what, by.thing) if by else ("", "")
    return Decided(judged.decidable, do, done_to, largest.named, largest.thing, largest.variance / figure.u**2)


@dataclass(slots=True)
class _Measure:
    what: str
    named: str
    thing: str
    variance: float = 0.0
    leaves: float = 0.0


def _remedies(shares: Iterable[Share]) -> Mapping[tuple[str, str], _Measure]:
    """What can be done about each input, inputs with one remedy together; ``leaves`` is the variance that stays."""
    found: dict[tuple[str, str], _Measure] = {}
    for share in shares:
        what, named, thing, stays = _remedy(share.name)
        remedy = found.setdefault((what, thing), _Measure(what, named, thing))
        remedy.variance += share.amount**2
        remedy.leaves += stays * share.amount**2
    return found


def _remedy(name: str) -> tuple[str, str, str, float]:
    """What to do about one input, what to call it, what both are of, and which part of its variance stays."""
    check = _CHECK.fullmatch(name)
    if check:
        tool, never = check["instrument"], check["how"] == "unchecked"
        if never:
            return (
                unsaid("check the {thing} against something known and read again"),
                unsaid("that the {thing} was never checked"),
                tool,
                _STAYS.get(tool, 0.3),
            )
        return unsaid("look at the {thing} again"), unsaid("one look at the check of the {thing}"), tool, 1.0
    cause = cause_of(name)
    thing = name.partition(" of ")[2].rpartition(",")[0] if cause in ("parts", "places") else name.partition(",")[0]
    thing = dimension_of(name) if cause == "dimensions" else thing
    what, named, stays = _ABOUT[cause]
    return what, named, thing if "{thing}" in what + named else "", stays


_ABOUT: Final[Mapping[Cause, tuple[str, str, float]]] = {
    "readings": (unsaid("look again ({thing})"), unsaid("the last digit and the scatter of one look ({thing})"), 1.0),
    "checks": (unsaid("look up gravity where the bench stands"), unsaid("gravity at the bench"), 0.0),
    "dimensions": (
        unsaid("measure {thing} and write it into the catalogue"),
        unsaid("that {thing} is taken as usual"),
        0.02,
    ),
    "parts": (unsaid("weigh the part ({thing}) before it is fitted"), unsaid("the mass of one part ({thing})"), 0.05),
    "places": (unsaid("measure where it lies ({thing})"), unsaid("where one part lies ({thing})"), 0.1),
    "string": (unsaid("read it again when it is strung"), unsaid("the string's mass"), 0.0),
    "target": (unsaid("read the old frame again"), unsaid("the target"), 1.0),
}
"""For each cause what to do, what to call it, and which part of the variance stays then (1: nothing is gained)."""


def _decides(figure: Estimate, remedy: _Measure, low: float, high: float) -> bool:
    # At least 0: rounding could make the difference of equal variances negative.
    left = max(0.0, figure.u**2 - remedy.variance + remedy.leaves) ** 0.5
    found: Conformity = conformity(figure.value, left, low, high)
    return found.verdict != "undecided"


def difference(one: Estimate, other: Estimate) -> Estimate:
    """One figure less another, each the estimate of a reading by itself: what both hang on in common, the check of an
    instrument or a dimension taken as usual, cancels (JCGM 100, 5.2.2); the looks themselves are two."""
    changes: dict[str, float] = {}
    for sign, which, figure in ((1.0, "one", one), (-1.0, "other", other)):
        for share in figure.shares:
            common = cause_of(share.name) in ("checks", "dimensions")
            name = share.name if common else f"{share.name}, {which}"
            changes[name] = changes.get(name, 0.0) + sign * math.copysign(share.amount, share.sensitivity)
    shares = tuple(Share(name, change, abs(change)) for name, change in changes.items())
    return Estimate(one.value - other.value, combined(*changes.values()), shares)


def instruments_in(shares: Iterable[Share]) -> Iterator[tuple[str, float]]:
    """The instruments whose check a figure hangs on, each with its part of the figure's variance."""
    sums: dict[str, float] = {}
    whole = 0.0
    for share in shares:
        whole += share.amount**2
        check = _CHECK.fullmatch(share.name)
        if check:
            sums[check["instrument"]] = sums.get(check["instrument"], 0.0) + share.amount**2
    for tool, variance in sums.items():
        yield tool, variance / whole if whole else 0.0


INSTRUMENT_OF: Final[Mapping[QuantityName, str]] = {
    "mass": "scale",
    "balance": "balance board",
    "swingweight": "swing machine",
    "twistweight": "swing machine",
}
"""What each quantity is read off."""
