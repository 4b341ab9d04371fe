"""A swingweight that nobody took, from mass and balance: how far from its balance point a bare frame's mass lies.

The radius of gyration k about the balance point, as a share of the length L, hardly differs within a sport and less
within a model, so that I = M·(k·L)² + M·(B − A)² about the swing axis A (the parallel axis theorem). It is stated of the
bare frame with nothing on it that a record names; strings and parts are added from their masses and places.

What is known of k: the sport's usual value (`USUAL`), then how the model's own frames at this workshop swing. A model's
k is one input of all that is estimated on its frames, so that what a lost frame and its blank are off alike cancels.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from passport.physics.body import Body
from passport.physics.moments import SWING_AXIS_MM, Moments
from passport.physics.uncertainty import Estimate, combined, from_half_width
from passport.records.language.worded import numbered, worded
from passport.records.schema.catalogue import Sport
from passport.records.schema.typical import Typical
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.instruments import Values
from passport.workshop.measuring.measured import Figure
from passport.workshop.measuring.states import State, Taken

USUAL: Final[dict[Sport, Typical]] = {
    "tennis": Typical(0.318, 0.018),
    "squash": Typical(0.262, 0.035),
    "badminton": Typical(0.358, 0.020),
    "racketball": Typical(0.295, 0.030),
}
"""The usual radius of gyration of a bare frame as a share of its length, and half of the span of models (common
practice, no source: the middle of what frames on the market come to, see `passport.physics.plausible`)."""

WITHIN: Final = 0.004
"""Standard deviation from frame to frame of one model, as a share of the length (common practice, no source): 2.5 % of
the inertia about the balance point."""

_STATED: Final = 6.0
"""With so many frames' weight `WITHIN` stands against the scatter of a model's own frames."""

PREFIX: Final = "gyration of "
"""What the inputs of an estimated swingweight begin with."""


@dataclass(frozen=True, slots=True)
class Gyration:
    """What is believed of a model: its radius of gyration ``k`` as a share of the length, and the scatter ``within`` it.

    ``frames`` of this workshop told it; with none it is the sport's usual one.
    """

    model: str
    k: Estimate
    within: float
    frames: int = 0

    @property
    def of_one(self) -> float:
        """Standard uncertainty of the k of one frame of the model that nobody swung."""
        return combined(self.k.u, self.within)

    @property
    def source(self) -> str:
        """Where it comes from, for a person."""
        if not self.frames:
            return worded("from how frames of its sport usually swing")
        return numbered(
            self.frames,
            "from how one frame of its model swing here",
            "from how {count} frames of its model swing here",
        )

    def taken(self, owner: str, length: float, day: date) -> Taken:
        """The swingweight of a bare frame of the model, ``length`` mm long, as a figure among others."""
        name, own = f"{PREFIX}the {self.model}", f"{PREFIX}{owner}"
        inputs = {name: self.k, own: Estimate(0.0, self.within)}

        def read(values: Values, mass: float, balance: float) -> float:
            radius = (values[name] + values[own]) * length
            return mass * (radius**2 + (balance - SWING_AXIS_MM) ** 2) / 1e5

        return Taken(Figure("swingweight", day, inputs, read), State())


def stated(quantity: QuantityName, day: date, value: float) -> Figure:
    """A figure that is taken as it stands: what a setup asks for."""
    return Figure(quantity, day, {}, lambda values, mass, balance: value)


def told_by(body: Body, length: float) -> Estimate | None:
    """The k of a bare frame of which the swingweight is known; None where its figures belong to no frame."""
    k = _k(body.moments, length)
    if k is None:
        return None
    moved = [
        ((_k(body.moments + s, length) or k) - (_k(body.moments - s, length) or k)) / 2 for s in body.shifts.values()
    ]
    return Estimate(k, combined(*moved))


def _k(moments: Moments, length: float) -> float | None:
    inertia = moments.i_cm
    return math.sqrt(inertia * 1e5 / moments.mass) / length if inertia > 0 and moments.mass > 0 else None


def believed(model: str, sport: Sport, told: Iterable[Estimate]) -> Gyration:
    """What is believed of a model when the usual span of its sport and the k of its own frames are put together.

    The normal mean with a normal prior: weights go with 1/u². The scatter within the model is that of its frames, against
    which the stated one counts as `_STATED` frames (a scaled inverse χ², from memory). A check that the frames' readings
    share is counted once, as large as the mean of what they are off.
    """
    usual, found = USUAL[sport], list(told)
    prior = Estimate(usual.value, from_half_width(usual.half))
    if not found:
        return Gyration(model, prior, WITHIN)
    within = _scatter(found)
    weights = [1 / prior.u**2, *(1 / (each.u**2 + within**2) for each in found)]
    whole = sum(weights)
    k = sum(w * v for w, v in zip(weights, [prior.value, *(each.value for each in found)], strict=True)) / whole
    # Errors of readings are taken as common to all frames: one machine and one scale read them.
    common = sum(w * each.u for w, each in zip(weights[1:], found, strict=True)) / whole
    own = combined(weights[0] * prior.u, *(w * within for w in weights[1:])) / whole
    return Gyration(model, Estimate(k, combined(common, own)), within, len(found))


def _scatter(found: Sequence[Estimate]) -> float:
    mean = sum(each.value for each in found) / len(found)
    spread = sum((each.value - mean) ** 2 for each in found)
    return math.sqrt((_STATED * WITHIN**2 + spread) / (_STATED + len(found) - 1))
