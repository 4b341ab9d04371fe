"""A rebuild in the middle of its work: what was done and read, what that says, what to do next, and when to stop."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Any

from passport.physics.moments import Moments
from passport.records.schema.catalogue import Part
from passport.records.schema.frame import BenchStep
from passport.workshop.measuring.states import Known
from passport.workshop.rebuild.plan import Aim, Figures, Rebuild
from passport.workshop.rebuild.rebuild import report
from passport.workshop.rebuild.targets import aims
from passport.workshop.rebuild.workorder import Stage, work_order
from passport.workshop.resume.advice import NextReading, worth_reading
from passport.workshop.resume.job import ENOUGH, ResumedJob, first, learned, resumed, surest
from passport.workshop.resume.knowledge import Knowledge
from passport.workshop.resume.readings import BenchCourse, BenchLook
from passport.workshop.solver.problem import Solution


@dataclass(frozen=True, slots=True)
class StepDone:
    """A step that was done: its ``number``, what the frame was ``expected`` to read by all that was read before it, and
    what was ``read``."""

    number: int
    step: BenchStep
    expected: Figures
    read: tuple[BenchLook, ...]

    def data(self) -> dict[str, Any]:
        """The step as data."""
        read = [{"quantity": look.quantity, "showed": look.showed} for look in self.read]
        return {"step": self.number, "did": self.step.did, "expected": self.expected.data(), "read": read}


@dataclass(frozen=True)
class WorkInHand:
    """The state of a rebuild; everything is worked out from its ``course`` when it is asked for, and may raise `Missing`."""

    course: BenchCourse

    @cached_property
    def knowledge(self) -> Knowledge:
        """What the readings say."""
        return learned(self.course)

    @cached_property
    def wanted(self) -> tuple[Aim, ...]:
        """The targets, those that were read off the old frame by all that is known of the instruments now."""
        return tuple(self.knowledge.aim(aim) for aim in aims(self.course.bench, self.course.frame))

    @cached_property
    def job(self) -> ResumedJob:
        """What is left, as a task."""
        return resumed(self.course, self.knowledge)

    @cached_property
    def way(self) -> tuple[Solution, float] | None:
        """How the rest is best done, and the chance that all is inside then; None where no way leads inside.

        Before anything was done it is the first plan, as every sheet has it.
        """
        if not self.course.work.steps:
            return first(self.job, self.wanted)
        return surest(self.job, self.wanted)

    @cached_property
    def chance(self) -> float:
        """The chance that all is inside if nothing goes on or comes off beside the grips and strings that are wanted."""
        nothing = Solution(
            (None,) * (len(self.job.sites) + len(self.job.swaps)), self.job.known.body.moments, 0.0, True
        )
        best = self.way[0] if self.way and not self._changes else nothing
        return self.job.off_target(best, self.wanted).chance

    @property
    def _changes(self) -> bool:
        """Whether the way puts tuning on, or takes off what is on."""
        if self.way is None:
            return False
        gone = [swap.part for swap in self.job.swaps_of(self.way[0])]
        return bool(self.job.added(self.way[0])) or any(part in self.course.state.parts for part in gone)

    @property
    def complete(self) -> bool:
        """Whether it is strung and gripped as it is wanted, or as the way leaves it, so that only tuning could be left."""
        done, state = self.course.done, self.course.state
        left_off = [swap.part for swap in self.job.swaps_of(self.way[0])] if self.way else []
        return state.strung and not done.off and all(fitted in left_off for fitted in done.fit)

    @property
    def stop(self) -> bool:
        """Whether the work is at its end: complete, and nothing that could go on or come off makes it surer."""
        return self.complete and not self._changes

    @cached_property
    def found(self) -> Rebuild:
        """The rest of the plan with all that a bench sheet says of it."""
        given = (self.way[0],) if self.way else ()
        plan = report(self.job, self.course.frame, self.wanted, given, plans=1)
        did = [step.did for step in self.course.work.steps]
        on = bool(did) and did[-1] == "trial"
        return replace(
            plan, begun=len(did), trial="on" if on else "over" if set(did) - {"check", "take off"} else "ahead"
        )

    @cached_property
    def ahead(self) -> tuple[tuple[int, Stage], ...]:
        """What is left to do, each with its number, which goes on from the steps that were done."""
        if self.stop:
            return ()
        return tuple(enumerate(work_order(self.found, self.found.plans[0]), self.found.begun + 1))

    @cached_property
    def advice(self) -> NextReading | None:
        """The reading that is worth taking next; None where none is."""
        if self.stop and self.chance >= ENOUGH:
            return None
        return worth_reading(self.course, self.job, self.wanted)

    def data(self) -> dict[str, Any]:
        """The state of the work as data."""
        return {
            "frame": self.found.frame.name,
            "number": self.found.frame.number,
            "blank": self.course.blank,
            "stop": self.stop,
            "joint_probability": round(self.chance if self.stop else self.way[1] if self.way else 0.0, 4),
            "done": [one.data() for one in self.done],
            "contradictions": [one.data() for one in self.knowledge.found],
            "ahead": [
                {
                    "step": number,
                    "does": stage.kind,
                    "piece": stage.piece.data() if stage.piece else None,
                    "mass_g": round(stage.mass_g, 4),
                    "after": _figures_data(stage.after) if stage.after else None,
                }
                for number, stage in self.ahead
            ],
            "advice": self.advice.data() if self.advice else None,
        }

    @cached_property
    def done(self) -> tuple[StepDone, ...]:
        """The steps that were done."""
        return tuple(self._done(n) for n in range(1, len(self.course.work.steps) + 1))

    def _done(self, n: int) -> StepDone:
        kept = tuple(look for look in self.knowledge.kept if look.step < n)
        then: Known = self.course.known(self.course.states[n - 1])
        body = replace(self.knowledge, kept=kept).body(then.body)
        read = tuple(look for look in self.course.looks if look.step == n)
        return StepDone(n, self.course.work.steps[n - 1], Figures.of(body), read)


def planned(stage: Stage, day: date, parts: Mapping[str, Part]) -> dict[str, Any]:
    """A stage as it was planned, as the data of a step that was done on a ``day``: what goes on as tuning is weighed, what
    is fitted has the mass that somebody weighed, or none of its own."""
    data: dict[str, Any] = {"date": day.isoformat(), "did": stage.kind}
    if stage.piece is not None and stage.kind != "take off":
        data["fitted"] = [_fitted(stage, parts)]
    elif stage.piece is not None:
        data["removed"] = [{"part": stage.piece.part, "place": stage.piece.place}]
    return data


def _fitted(stage: Stage, parts: Mapping[str, Part]) -> dict[str, str]:
    piece = stage.piece
    assert piece is not None, "asked for a stage with a piece alone"
    found = {"part": piece.part, "place": piece.place}
    if piece.length_mm is not None and parts[piece.part].kind == "tape":
        found["length"] = f"{piece.length_mm:g} mm"
    if piece.weighed or stage.kind != "fit":
        found["mass"] = f"{stage.mass_g:.4g} g"
    return found


def _figures_data(after: Moments) -> dict[str, float]:
    found = (("mass_g", after.mass), ("balance_mm", after.balance), ("swingweight_kgcm2", after.swingweight()))
    return {name: round(value, 4) for name, value in found}
