"""What is known better after something was seen: bodies given that certain sums of their inputs came out so.

Each input of a :class:`Body` is taken as x ~ N(0, 1) in units of its standard uncertainty. A reading that must agree
with a prediction says that r₀ + Σ cₙxₙ = 0, where the sum holds the readings' own errors too. Given such equations, x is
normal again, with mean −K·r₀ and with x − K·C·x in place of x, K = Cᵀ(C·Cᵀ)⁻¹ (conditioning a normal distribution, any
text on Kalman filters or kriging). Bodies stay sums of the same independent inputs, so that what two of them have in
common still cancels: the scale's error in what was learned and in what it is compared with is one and the same.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Self

from passport.physics.body import NOTHING, Body
from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate

OUTLIER: Final = 3.5
"""Standard uncertainties by which an equation may stray from all others before it is left out as a wrong reading (common
practice, no source)."""


@dataclass(frozen=True, slots=True)
class Constraint:
    """An equation of inputs: ``miss`` + Σ ``shifts``·x = 0, each shift for one standard uncertainty of its input."""

    miss: float
    shifts: Mapping[str, float]

    @classmethod
    def of(cls, model: Callable[[Mapping[str, float]], float], inputs: Mapping[str, Estimate]) -> Self:
        """``model`` says by how much two ways to one figure differ; shifts by central differences (JCGM 100, 5.1.3)."""
        values = {name: e.value for name, e in inputs.items()}
        shifts = {
            name: (model({**values, name: e.value + e.u}) - model({**values, name: e.value - e.u})) / 2
            for name, e in inputs.items()
            if e.u > 0
        }
        return cls(model(values), shifts)

    @property
    def u(self) -> float:
        """Standard uncertainty of the miss, before anything was learned."""
        return math.hypot(*self.shifts.values())


@dataclass(frozen=True)
class Learned:
    """What equations say of their inputs; a call brings a body up to date."""

    seen: tuple[Constraint, ...] = ()

    @classmethod
    def of(cls, seen: Sequence[Constraint]) -> Self:
        """From all equations but those that all others together contradict: these are wrong readings, the worst first.

        An equation left out misses by (S⁻¹r)ᵢ/√(S⁻¹)ᵢᵢ standard uncertainties of what the others predict, S = C·Cᵀ and r
        the misses (leave-one-out residuals of a normal distribution, any text on kriging).
        """
        kept = [s for s in seen if s.u > 0]
        # One at a time: a grossly wrong reading makes its neighbours look wrong until it is gone.
        while kept:
            found = cls(tuple(kept))
            strays = found._strays()
            worst = max(range(len(kept)), key=strays.__getitem__)
            if strays[worst] <= OUTLIER:
                return found
            del kept[worst]
        return cls()

    def __call__(self, body: Body) -> Body:
        """The body given the equations."""
        if not self.seen:
            return body
        touching = [self._against(s.shifts, body.shifts) for s in self.seen]
        # Nothing in common with what was learned: the body itself, without a copy.
        if all(m == NOTHING for m in touching):
            return body
        moved, shifts = body.moments, dict(body.shifts)
        near = [(k, m) for k, m in enumerate(touching) if m != NOTHING]
        for row, s in zip(self._inverse, self.seen, strict=True):
            gain = Moments.total(m.scaled(row[k]) for k, m in near)
            moved = moved - gain.scaled(s.miss)
            for name, c in s.shifts.items():
                shifts[name] = shifts[name] - gain.scaled(c) if name in shifts else gain.scaled(-c)
        return Body(moved, shifts)

    def figure(self, found: Constraint) -> Constraint:
        """A single figure, its value as ``miss``, given the equations."""
        shifts = {name: Moments(c, 0.0, 0.0, 0.0) for name, c in found.shifts.items()}
        body = self(Body(Moments(found.miss, 0.0, 0.0, 0.0), shifts))
        return Constraint(body.moments.m0, {name: shift.m0 for name, shift in body.shifts.items()})

    def _strays(self) -> list[float]:
        """How far each equation is from what all others let expect, in standard uncertainties of that."""
        pull = [math.fsum(w * s.miss for w, s in zip(row, self.seen, strict=True)) for row in self._inverse]
        return [abs(p) / math.sqrt(row[i]) for i, (p, row) in enumerate(zip(pull, self._inverse, strict=True))]

    @staticmethod
    def _against(row: Mapping[str, float], shifts: Mapping[str, Moments]) -> Moments:
        """The covariance of one equation with a body's moments."""
        return Moments.total(shifts[name].scaled(c) for name, c in row.items() if name in shifts)

    @cached_property
    def _inverse(self) -> list[list[float]]:
        """(C·Cᵀ)⁻¹ by Cholesky's method."""
        root = _cholesky([[_dot(a.shifts, b.shifts) for b in self.seen] for a in self.seen])
        size = len(self.seen)
        return [_solved(root, [float(i == k) for i in range(size)]) for k in range(size)]


NAIVE: Final = Learned()
"""What is known before anything was seen."""


def _dot(one: Mapping[str, float], other: Mapping[str, float]) -> float:
    return math.fsum(c * other[name] for name, c in one.items() if name in other)


def _cholesky(matrix: list[list[float]]) -> list[list[float]]:
    """The lower triangle L with L·Lᵀ = ``matrix``, which must be positive definite."""
    root: list[list[float]] = []
    for i, row in enumerate(matrix):
        line: list[float] = []
        for j in range(i + 1):
            rest = row[j] - math.fsum(a * b for a, b in zip(line, root[j] if j < i else line, strict=False))
            line.append(math.sqrt(rest) if i == j else rest / root[j][j])
        root.append(line)
    return root


def _solved(root: list[list[float]], right: list[float]) -> list[float]:
    """x with L·Lᵀ·x = ``right``."""
    down: list[float] = []
    for row, value in zip(root, right, strict=True):
        down.append((value - math.fsum(a * b for a, b in zip(row, down, strict=False))) / row[len(down)])
    up = [0.0] * len(down)
    for i in reversed(range(len(down))):
        up[i] = (down[i] - math.fsum(root[k][i] * up[k] for k in range(i + 1, len(up)))) / root[i][i]
    return up
