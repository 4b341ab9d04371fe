"""The rest of a rebuild as a task to solve: the blank as it is now, with everything that was read of it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Final

import numpy as np

from passport.physics.body import Body
from passport.records.schema.frame import Fitted, Stringing
from passport.records.schema.quantities import LENGTH, MASS, parse
from passport.records.stretches import of_fitted, overlap
from passport.workshop.measuring.states import OUTSIDE, Known, Origin, Predictor
from passport.workshop.rebuild.chance import Deviation, deviation
from passport.workshop.rebuild.layout import body_of_option
from passport.workshop.rebuild.plan import Aim, Figures
from passport.workshop.rebuild.rebuild import RebuildJob, Swap, task
from passport.workshop.rebuild.stock import Option, sites
from passport.workshop.rebuild.targets import window_of
from passport.workshop.resume.knowledge import NOTHING_READ, Culprit, Knowledge
from passport.workshop.resume.readings import BenchCourse
from passport.workshop.solver.problem import Problem, Solution, Window, solution_of
from passport.workshop.solver.solve import SURER, solve

ENOUGH: Final = 0.95
"""The chance at which a rebuild is done: what is left to gain is less than one look at the instruments is worth (common
practice, no source)."""

_SHARES: Final = (1.0, 0.6, 0.3)
"""Parts of the tolerances that are aimed at in turn, until the chance for the whole of them is large enough."""


@dataclass(frozen=True)
class InformedPredictor(Predictor):
    """A predictor whose bodies are corrected by what was read."""

    knowledge: Knowledge = NOTHING_READ

    def fitted(self, fitted: Fitted, owner: str = "") -> Body:
        """A fitted part, corrected. Raises `Missing`."""
        return self.knowledge.body(super().fitted(fitted, owner))

    def strung(self, stringing: Stringing, owner: str = "") -> Body:
        """The whole string, corrected. Raises `Missing`."""
        return self.knowledge.body(super().strung(stringing, owner))


@dataclass(frozen=True)
class ResumedJob(RebuildJob):
    """The rest of a rebuild."""

    knowledge: Knowledge = NOTHING_READ

    @cached_property
    def informed(self) -> InformedPredictor:
        """What predicts parts and strings by what was read."""
        plain = self.bench.predictor(self.subject.model)
        given = (plain.shape, plain.parts, plain.strings, plain.model, plain.assumed, plain.learned, plain.pattern)
        return InformedPredictor(*given, self.knowledge)

    @property
    def predictor(self) -> Predictor:
        """The same."""
        return self.informed

    def problem(self, window: Window, wanted: Iterable[Aim] = ()) -> Problem:
        """The problem of bringing the finished subject into a window; a strip laid anew must not lie on one that is added."""
        found = super().problem(window, wanted)
        tables = dict(found.clashes)
        shape, parts = self.predictor.shape, self.bench.parts
        for k, group in enumerate(self.swaps, len(self.sites)):
            covers = [of_fitted(swap.instead, parts, shape) if swap.instead else () for swap in group]
            for i, site in enumerate(self.sites) if any(covers) else ():
                table = np.array(
                    [[bool(overlap(o.covers, there)) for there in covers] for o in site.options], dtype=bool
                )
                if table.any():
                    tables[i, k] = table
        return replace(found, clashes=tables)

    def swapped(self, swap: Swap) -> Body:
        """What a swap does to the finished subject; worked out once, since the readings have to be applied each time."""
        if id(swap) not in self._swapped:
            plain, owner = self.bench.predictor(self.subject.model), self.subject.name
            change = plain.fitted(swap.part, owner).scaled(-1)
            change = change + plain.fitted(swap.instead, owner) if swap.instead else change
            self._swapped[id(swap)] = self.knowledge.body(change)
        return self._swapped[id(swap)]

    @cached_property
    def _swapped(self) -> dict[int, Body]:
        """By the identity of the swaps, which this task keeps."""
        return {}

    def off_target(self, way: Solution, wanted: tuple[Aim, ...]) -> Deviation:
        """How far a way is from what is wanted, and what that hangs on."""
        owner = self.subject.name
        added = (body_of_option(option, owner, self.predictor.assumed) for option in self.added(way))
        body = self.known.body + Body.total([*added, *(self.swapped(swap) for swap in self.swaps_of(way))])
        return deviation(Figures.of(body), self.judged(wanted))


def learned(course: BenchCourse) -> Knowledge:
    """What the readings of a rebuild say. Raises `Missing`."""
    return Knowledge.of(course.looks, _suspects(course))


def _suspects(course: BenchCourse) -> Mapping[str, Culprit]:
    """The inputs that may be otherwise than they are taken to be: masses of parts, the string, readings on record."""
    found: dict[str, Culprit] = {}
    recorded = {name for taken in course.begun.taken.values() for name in list(taken.figure.inputs)[:1]}
    for look in course.looks:
        for name in look.equation.shifts:
            if name.startswith("mass of "):
                found[name] = "part"
            elif name.startswith("string ") and not name.startswith(OUTSIDE):
                found[name] = "string"
            elif name in recorded:
                found[name] = "record"
    return found


def resumed(course: BenchCourse, knowledge: Knowledge) -> ResumedJob:
    """The task of what is left to do. Raises `Missing`."""
    plain = task(course.bench, course.subject, course.done, course.bench.wishes_for(course.frame))
    to_come = course.predictor.change(course.state, course.done.state, course.blank)[1]
    now, finished = course.known(course.state), course.known(course.done.state)
    own = {f.name: getattr(plain, f.name) for f in fields(plain)}
    own["known"], own["measured"] = _corrected(finished, knowledge, to_come), _corrected(now, knowledge, None)
    own["state"], own["swaps"] = course.state, (*plain.swaps, *_strips(course))
    return ResumedJob(**own, knowledge=knowledge)


def _corrected(known: Known, knowledge: Knowledge, to_come: Origin | None) -> Known:
    """It by what was read; only what is yet ``to_come`` is predicted from here on."""
    origins = {
        quantity: Origin(origin.day, *((to_come.added, to_come.off) if to_come else ()))
        for quantity, origin in known.origins.items()
    }
    return Known(knowledge.body(known.body), origins)


def _strips(course: BenchCourse) -> Iterator[tuple[Swap, ...]]:
    """The strips of tape that this work laid: each may come off again, or a shorter or longer one take its place; paste
    stays where it is."""
    bench, on = course.bench, course.bench.tuning_on(course.subject)
    laid = [f for step in course.work.steps if step.did not in ("trial", "string") for f in step.fitted]
    for fitted in on:
        if fitted not in laid or bench.parts[fitted.part].kind != "tape" or bench.parts[fitted.part].removable:
            continue
        rest = tuple(other for other in on if other is not fitted)
        free = sites(course.begun.model, bench.supply.parts, rest, bench.cut, bench.assumed)
        other = (o for site in free if site.place.spot == fitted.place.spot for o in site.options)
        yield (Swap(fitted, None), *(Swap(fitted, _relaid(fitted, o)) for o in other if o.part == fitted.part))


def _relaid(fitted: Fitted, option: Option) -> Fitted:
    length, mass = parse(f"{option.laid.length:g} mm", LENGTH), parse(f"{option.mass:.4g} g", MASS)
    return fitted.model_copy(update={"length": length, "mass": mass})


def first(job: ResumedJob, wanted: tuple[Aim, ...]) -> tuple[Solution, float] | None:
    """The plan that a rebuild begins with, and its chance; None where there is none."""
    found = solve(job.problem(window_of(wanted), wanted), 1)
    return (found[0], job.off_target(found[0], wanted).chance) if found else None


def surest(job: ResumedJob, wanted: tuple[Aim, ...]) -> tuple[Solution, float] | None:
    """What to do with the rest, and the chance that all is inside then; None where no way leads inside.

    The way with the fewest places is taken if it is sure enough (`ENOUGH`), else a surer one: as finished frames are
    judged by what they read, a way that just meets a limit is worth little.
    """
    whole = job.problem(window_of(wanted), wanted)
    best: tuple[Solution, float] | None = None
    for share in _SHARES:
        for way in solve(replace(whole, window=whole.window.widened(share)), 3 if share == 1 else 1):
            chance = job.off_target(way, wanted).chance
            if best is None or chance >= best[1] + SURER:
                best = _judged(whole, way), chance
        if best is not None and best[1] >= min(ENOUGH, possible(job, wanted) - SURER / 2):
            break
    return best


def _judged(whole: Problem, way: Solution) -> Solution:
    """A way as the whole of the tolerances judge it."""
    found = solution_of(whole, way.picks, way.proven, way.gap)
    return replace(found, chance=way.chance, compared=way.compared, complete=way.complete)


def possible(job: ResumedJob, wanted: tuple[Aim, ...]) -> float:
    """The chance of a way that would hit all targets in the middle, by what is known now: no way is surer."""
    found = deviation(Figures.of(job.known.body), job.judged(wanted))
    return replace(found, off=0 * found.off).chance
