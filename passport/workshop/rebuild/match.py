"""Making frames equal: to one of them, or to a common target that needs the least mass."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from passport.physics.moments import Moments
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.finish import Finish
from passport.workshop.measuring.specs import QUANTITIES
from passport.workshop.rebuild.plan import Aim, Figures, Rebuild, Status
from passport.workshop.rebuild.planset import Match, Spread
from passport.workshop.rebuild.rebuild import RebuildJob, report, task
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.rebuild.targets import of_origin, tolerance_of
from passport.workshop.solver.problem import Problem, Window
from passport.workshop.solver.program import Program, Row, Vector, highs
from passport.workshop.solver.solve import additive

_OFF: Final = 1000.0
"""What one thing taken off counts in grams."""

_SHARE: Final = 0.49
"""How far from the common target each frame may be, in tolerances, so that no two are further apart than one; a little
less than half, for the rounding of a balance that is taken as linear."""


def match(bench: Workbench, frames: Sequence[str], to: str = "", plans: int = 3) -> Match:
    """Plans that make ``frames`` equal, to the frame ``to`` where one is named; raises `Missing`.

    What counts as equal is the narrowest tolerance that any of their setups, or the workshop, names.
    """
    tasks = [_task(bench, frame) for frame in frames]
    tolerances = {q: min(tolerance_of(bench, frame, q) for frame in [*frames, *filter(None, [to])]) for q in QUANTITIES}
    if to:
        aims = tuple(_aims_of(bench, to, tolerances))
    else:
        target = common_target([job.problem(Window()) for job in tasks], tolerances)
        aims = tuple(Aim(q, value, tolerances[q] / 2, 0.0, "set") for q, value in target.items())
    members = tuple(report(job, frame, aims, plans, "frame") for job, frame in zip(tasks, frames, strict=True))
    fixed = [Figures.of(_task(bench, to).known.body)] if to else []
    return Match(_worst(m.status for m in members), to, aims, members, tuple(_spreads(members, fixed, tolerances)))


def _task(bench: Workbench, frame: str) -> RebuildJob:
    """A frame as it is played, to be tuned further."""
    held = bench.holding(frame)
    return task(bench, bench.frame(frame), Finish(held.parts, (), (), held.stringing))


def _aims_of(bench: Workbench, to: str, tolerances: Mapping[QuantityName, float]) -> Iterator[Aim]:
    known = _task(bench, to).known
    figures = Figures.of(known.body)
    for quantity, tolerance in tolerances.items():
        figure = figures.get(quantity)
        if figure is not None:
            origin = of_origin(known.origins[quantity])
            yield Aim(quantity, figure.value, tolerance, figure.u, "readings", origin)


def common_target(problems: Sequence[Problem], tolerances: Mapping[QuantityName, float]) -> dict[QuantityName, float]:
    """The figures that all bodies can reach, to within half a tolerance each, with the least mass added in all.

    Where additions alone cannot make them equal, as little as possible is taken off; where that cannot either, the
    figures to which the worst miss is the least. Twistweight only where it is known of all.
    """
    plain = _Joint([additive(problem) for problem in problems], tolerances)
    for joint in (plain, _Joint(problems, tolerances)):
        found = joint.lightest()
        if found is not None:
            return _middle(found, tolerances)
    return _middle(plain.nearest(), tolerances)


@dataclass(frozen=True)
class _Joint:
    """One mixed-integer program for all bodies, with the common target among its variables.

    A balance is taken as linear around the heaviest body: (m₁ − B₀·m₀)/M₀ beyond B₀.
    """

    problems: Sequence[Problem]
    tolerances: Mapping[QuantityName, float]

    def lightest(self) -> list[Moments] | None:
        """The bodies that are equal with the least mass added and the fewest things taken off, or None."""
        programs = [Program(problem) for problem in self.problems]
        cost = np.concatenate([self._weights(p) for p in programs] + [np.zeros(self._shared)])
        return self._bodies(programs, cost, _SHARE)

    def nearest(self) -> list[Moments]:
        """The bodies whose worst miss from a common target is the least."""
        programs = [Program(problem) for problem in self.problems]
        cost = np.zeros(sum(p.size - 1 for p in programs) + self._shared)
        cost[-1] = 1.0
        found = self._bodies(programs, cost, None)
        assert found is not None, "doing nothing is always possible"
        return found

    @property
    def _shared(self) -> int:
        """Variables that belong to no body: a target for each quantity, positive and negative, and the worst miss."""
        return 2 * len(QUANTITIES) + 1

    @staticmethod
    def _weights(program: Program) -> Vector:
        off = program.count > 1
        return np.where(off, _OFF, program.mass)[:-1]

    def _bodies(self, programs: Sequence[Program], cost: Vector, share: float | None) -> list[Moments] | None:
        rows = list(self._rows(programs, share))
        options = sum(p.size - 1 for p in programs)
        whole = np.concatenate([np.ones(options), np.zeros(self._shared)])
        high = np.concatenate([np.ones(options), np.full(self._shared, np.inf)])
        x, _ = highs(cost, whole, rows, high)
        if x is None:
            return None
        found, at = list[Moments](), 0
        for program in programs:
            picks = np.append(np.round(x[at : at + program.size - 1]), 0.0)
            found.append(program.blend(picks))
            at += program.size - 1
        return found

    def _rows(self, programs: Sequence[Program], share: float | None) -> Iterator[Row]:
        """Every body within ``share`` tolerances of the target (None: within the worst miss); one option a group."""
        options = sum(p.size - 1 for p in programs)
        size, at = options + self._shared, 0
        unit = 1.0 if share is not None else self._unit(programs)
        for program in programs:
            mine = slice(at, at + program.size - 1)
            for k, (values, begin, tolerance) in enumerate(self._measures(program)):
                row = np.zeros(size)
                row[mine] = values / tolerance / unit
                row[options + 2 * k], row[options + 2 * k + 1] = -1.0, 1.0
                centre = -begin / tolerance / unit
                if share is not None:
                    yield row, centre - share, centre + share
                    continue
                miss = np.zeros(size)
                miss[-1] = 1.0
                yield row - miss, -np.inf, centre
                yield row + miss, centre, np.inf
            for once, low, high in program.once():
                row = np.zeros(size)
                row[mine] = once[:-1]
                yield row, low, high
            at += program.size - 1

    def _unit(self, programs: Sequence[Program]) -> float:
        """What the worst miss is a share of, in tolerances, for the solver's sake: about that of doing nothing."""
        return max([1.0, *(abs(begin) / tolerance for p in programs for _, begin, tolerance in self._measures(p))])

    def _measures(self, program: Program) -> Iterator[tuple[Vector, float, float]]:
        """For each quantity: what each option adds, what the body begins with, and the tolerance; all from a base."""
        base, mass, start = self._base, self._base.m0, program.problem.start
        columns = program.columns()
        yield columns["mass"], start.m0 - mass, self.tolerances["mass"]
        yield (
            (columns["first"] - base.balance * columns["mass"]) / mass,
            (start.m1 - base.balance * start.m0) / mass,
            self.tolerances["balance"],
        )
        yield columns["swingweight"], start.swingweight() - base.swingweight(), self.tolerances["swingweight"]
        twists = [problem.start.twistweight for problem in self.problems]
        if None not in twists:
            begin = (start.twistweight or 0.0) - (base.twistweight or 0.0)
            yield columns["twistweight"], begin, self.tolerances["twistweight"]

    @property
    def _base(self) -> Moments:
        return max((problem.start for problem in self.problems), key=lambda body: body.m0)


def _middle(bodies: Sequence[Moments], tolerances: Mapping[QuantityName, float]) -> dict[QuantityName, float]:
    """Half way between the least and the largest of each figure that is known of all bodies."""
    found: dict[QuantityName, float] = {}
    for quantity in tolerances:
        values = [_figure(body, quantity) for body in bodies]
        known = [value for value in values if value is not None]
        if len(known) == len(values):
            found[quantity] = (min(known) + max(known)) / 2
    return found


def _figure(body: Moments, quantity: QuantityName) -> float | None:
    if quantity == "swingweight":
        return body.swingweight()
    return {"mass": body.mass, "balance": body.balance, "twistweight": body.twistweight}[quantity]


def _spreads(
    members: Sequence[Rebuild], fixed: Sequence[Figures], tolerances: Mapping[QuantityName, float]
) -> Iterator[Spread]:
    """How far apart the frames are before the work and after the best plans, ``fixed`` ones included."""
    for quantity, tolerance in tolerances.items():
        before = _values([*(m.start for m in members), *fixed], quantity)
        after = _values([*(m.plans[0].predicted for m in members), *fixed], quantity)
        if before and after:
            yield Spread(quantity, max(before) - min(before), max(after) - min(after), tolerance)


def _values(figures: Sequence[Figures], quantity: QuantityName) -> list[float]:
    """The values of all, or none where one of them is not known."""
    found = [figure.get(quantity) for figure in figures]
    return [f.value for f in found if f is not None] if all(found) else []


def _worst(found: Iterator[Status]) -> Status:
    order: tuple[Status, ...] = ("matched", "nearest", "impossible")
    return max(found, key=order.index)
