"""What the readings of a rebuild say: every prediction corrected by all of them, and what contradicts the others.

The least squares with the known covariance are those of `passport.physics.conditioning`; what is wrong is found as in
`passport.workshop.resume.agreement`, one suspect at a time: a reading is left out, and an input that was taken to be known (the
mass of a part, the string's, a reading of the blank's record) is taken to be unknown.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final, Literal

from passport.physics.body import Body
from passport.physics.conditioning import OUTLIER, Constraint, Learned
from passport.physics.uncertainty import Estimate, Share, combined
from passport.workshop.rebuild.plan import Aim
from passport.workshop.resume.agreement import ALARM, Agreement, agreement
from passport.workshop.resume.readings import BenchLook

UNKNOWN: Final = 30.0
"""So many times its uncertainty an input has that turned out to be otherwise: the readings alone then say what it is."""

_TIE: Final = 1e-6

Culprit = Literal["reading", "part", "string", "record"]


@dataclass(frozen=True, slots=True)
class Contradiction:
    """What does not go with the rest: a ``reading`` (its ``look``), a ``part``, the ``string`` or a reading of the blank's
    ``record``; ``name`` is that of the input.

    ``stray`` is by how many standard uncertainties, ``probability`` how often right figures together lie so far apart.
    """

    kind: Culprit
    name: str
    stray: float
    probability: float
    look: BenchLook | None = None

    def data(self) -> dict[str, object]:
        """The contradiction as data."""
        return {
            "what": self.kind,
            "name": self.name,
            "step": self.look.step if self.look else None,
            "standard_uncertainties": round(self.stray, 2),
            "probability": float(f"{self.probability:.3g}"),
        }


@dataclass(frozen=True)
class Knowledge:
    """What is known of a blank under work by the readings that agree: those ``kept``, without those set ``aside``.

    ``wide`` are inputs that turned out to be otherwise than they were taken to be; ``found`` are all contradictions.
    """

    kept: tuple[BenchLook, ...] = ()
    aside: tuple[BenchLook, ...] = ()
    wide: frozenset[str] = frozenset()
    found: tuple[Contradiction, ...] = ()

    @classmethod
    def of(cls, looks: Sequence[BenchLook], suspects: Mapping[str, Culprit]) -> "Knowledge":
        """From all that was read; ``suspects`` are inputs that may be otherwise, by name."""
        known = cls(tuple(looks))
        while known.kept:
            tested = known.tested([name for name in suspects if name not in known.wide])
            worst = max(tested.strays.values())
            if worst <= OUTLIER and tested.probability >= ALARM:
                break
            # Where only one reading follows a part, either may be wrong and both stray alike: it is read again first.
            name = next(name for name, stray in tested.strays.items() if stray >= worst * (1 - _TIE))
            known = known._without(name, suspects.get(name), worst, tested.probability)
        return known

    def tested(self, suspects: Sequence[str]) -> Agreement:
        """How well the readings kept agree, and how far each of them and each suspect strays."""
        directions = {look.own: [float(look is other) for other in self.kept] for look in self.kept}
        directions |= {name: [one.shifts.get(name, 0.0) for one in self._seen] for name in suspects}
        return agreement(self._seen, directions)

    def _without(self, name: str, kind: Culprit | None, stray: float, chance: float) -> "Knowledge":
        look = next((look for look in self.kept if look.own == name), None)
        found = (*self.found, Contradiction(kind if look is None and kind else "reading", name, stray, chance, look))
        if look is None:
            return replace(self, wide=self.wide | {name}, found=found)
        kept = tuple(one for one in self.kept if one is not look)
        return replace(self, kept=kept, aside=(*self.aside, look), found=found)

    @cached_property
    def _seen(self) -> tuple[Constraint, ...]:
        return tuple(self._widened(look.equation) for look in self.kept)

    def _widened(self, one: Constraint) -> Constraint:
        if not self.wide.intersection(one.shifts):
            return one
        shifts = {name: c * (UNKNOWN if name in self.wide else 1.0) for name, c in one.shifts.items()}
        return Constraint(one.miss, shifts)

    @cached_property
    def _learned(self) -> Learned:
        return Learned(self._seen)

    def body(self, predicted: Body) -> Body:
        """A prediction corrected by the readings."""
        shifts = {name: s.scaled(UNKNOWN) if name in self.wide else s for name, s in predicted.shifts.items()}
        return self._learned(Body(predicted.moments, shifts))

    def figure(self, predicted: Constraint) -> Constraint:
        """A single figure corrected by the readings: its value as ``miss``, and what it hangs on."""
        return self._learned.figure(self._widened(predicted))

    def aim(self, aim: Aim) -> Aim:
        """A target that was read off a frame, with what the readings tell of the instruments it was read with."""
        if not aim.shares:
            return aim
        now = self.figure(Constraint(aim.target, {share.name: share.sensitivity for share in aim.shares}))
        shares = tuple(Share(name, c, abs(c)) for name, c in now.shifts.items())
        return replace(aim, target=now.miss, u=combined(*now.shifts.values()), shares=shares)

    def expected(self, look: BenchLook) -> Estimate:
        """What a reading should have shown by all that is known without it, in the unit of the quantity."""
        others = replace(self, kept=tuple(one for one in self.kept if one is not look))
        equation = others.figure(look.equation)
        return Estimate(look.value - equation.miss, combined(*equation.shifts.values()))


NOTHING_READ: Final = Knowledge()
"""What is known before anything was read."""
