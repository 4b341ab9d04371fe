"""A rebuild's steps as the blank went through them, and every figure that was read on the way as an equation.

Each says that what the instrument showed, corrected, is what the frame is predicted to be in the state of that step. Both
are sums of the same named inputs (masses of grips and pieces, the string, where things lie, the checks of the
instruments), so that all equations together correct all of them at once (`passport.physics.conditioning`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from passport.physics.body import Body
from passport.physics.conditioning import Constraint
from passport.physics.uncertainty import Estimate
from passport.records.language.worded import worded
from passport.records.masses import counted
from passport.records.schema.catalogue import PartKind
from passport.records.schema.frame import BenchWork, Fitted, Reading
from passport.records.schema.quantities import MASS, parse
from passport.records.timeline import Holding
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.dimensions import assumed_length
from passport.workshop.measuring.finish import Finish, finish
from passport.workshop.measuring.measured import Figure, figures
from passport.workshop.measuring.states import Known, Missing, Predictor, State, bring
from passport.workshop.measuring.strung_pairs import as_read, as_worked_out, difference
from passport.workshop.rebuild.plan import Figures
from passport.workshop.rebuild.subject import Subject, Workbench

PASTES: Final[frozenset[PartKind]] = frozenset({"silicone", "putty"})
"""Kinds that go in bit by bit: what is at one place is one plug."""


@dataclass(frozen=True, slots=True)
class BenchLook:
    """One figure that was read after a step (counted from 1): ``showed`` as it was written, and its ``equation``.

    ``own`` names the input that is this look's error alone. ``nth`` tells apart readings of one step.
    """

    step: int
    nth: int
    quantity: QuantityName
    showed: str
    value: float
    equation: Constraint
    own: str


@dataclass(frozen=True)
class BenchCourse:
    """The work on a blank so far, on a workbench: ``frame`` is the name of the record of the frame that it replaces."""

    bench: Workbench
    frame: str
    blank: str
    work: BenchWork

    @cached_property
    def begun(self) -> Subject:
        """The blank as its record says it came."""
        return self.bench.blank(self.blank)

    @cached_property
    def predictor(self) -> Predictor:
        """What predicts parts and strings on it, with nothing learned from this work."""
        return self.bench.predictor(self.begun.model)

    @cached_property
    def wanted(self) -> Holding:
        """What is on the frame that is to be had again."""
        return self.bench.holding(self.frame)

    @cached_property
    def start(self) -> State:
        """The state in which the blank was weighed."""
        return self.bench.as_measured(self.begun)[1]

    @cached_property
    def states(self) -> tuple[State, ...]:
        """What was on the blank after each step."""
        return tuple(self._states())

    def _states(self) -> Iterator[State]:
        parts, strung, tried = list(self.start.parts), self.start.strung, list[Fitted]()
        for step in self.work.steps:
            tried = [*tried, *step.fitted] if step.did == "trial" else []
            if step.did != "trial":
                for gone in step.removed:
                    same = next((f for f in parts if (f.part, f.place.spot) == (gone.part, gone.place.spot)), None)
                    if same is not None:
                        parts.remove(same)
                parts += step.fitted
            strung = strung or step.did == "string"
            yield State(tuple(self._plugged([*parts, *tried])), strung, self.wanted.stringing if strung else None)

    def _plugged(self, parts: Sequence[Fitted]) -> list[Fitted]:
        """Portions of one paste at one place as the one plug that they are."""
        found: dict[tuple[object, ...], Fitted] = {}
        for n, fitted in enumerate(parts):
            paste = self.predictor.parts[fitted.part].kind in PASTES and fitted.mass is not None
            key = (fitted.part, fitted.place.spot) if paste else (n,)
            there = found.get(key)
            if there and there.mass and fitted.mass:
                whole = parse(f"{there.mass.value + fitted.mass.value:.4g} g", MASS)
                found[key] = fitted.model_copy(update={"mass": whole})
            else:
                found[key] = fitted
        return list(found.values())

    @property
    def state(self) -> State:
        """What is on the blank now, putty of a trial left out: it comes off before anything else."""
        if self.work.steps and self.work.steps[-1].did == "trial":
            real = tuple(step for step in self.work.steps if step.did != "trial")
            return replace(self, work=self.work.model_copy(update={"steps": real})).state
        return self.states[-1] if self.states else self.start

    @cached_property
    def subject(self) -> Subject:
        """The blank as it is now, with the figures of its record, which were taken as it came."""
        return replace(self.begun, on=replace(self.begun.on, parts=self.state.parts))

    @cached_property
    def done(self) -> Finish:
        """What makes it ready to play from here on; parts that were weighed have their mass. Raises `Missing`."""
        found = finish(self.state.parts, self.wanted, self.bench.parts)
        if found.stringing is None:
            raise Missing(
                worded("No job of {frame} says how it is strung.", frame=self.frame),
                worded("Add the job with its 'strings'."),
            )
        # What is noted of the blank's own parts is told of them as they were when it was measured.
        notes = finish(self.start.parts, self.wanted, self.bench.parts).notes
        return replace(found, fit=tuple(self._weighed(fitted) for fitted in found.fit), notes=notes)

    def _weighed(self, fitted: Fitted) -> Fitted:
        for one in self.work.weighed:
            if (one.part, one.place.spot) == (fitted.part, fitted.place.spot) and one.mass:
                return fitted.model_copy(update={"mass": one.mass})
        return fitted

    def known(self, state: State) -> Known:
        """It in a state, as predicted from its record. Raises `Missing`."""
        return bring(self.begun.taken, state, self.predictor, self.blank)

    @cached_property
    def looks(self) -> tuple[BenchLook, ...]:
        """Everything that was read, in the order of the work. Raises `Missing`."""
        return tuple(self._looks())

    def _looks(self) -> Iterator[BenchLook]:
        shape = self.predictor.shape
        for n, (step, state) in enumerate(zip(self.work.steps, self.states, strict=True), 1):
            for nth, reading in enumerate(step.readings, 1):
                name = f"{self.blank}, step {n}, look {nth}"
                lengths = assumed_length(shape)
                read = figures(reading, step.date, shape.length, self.bench.instruments, name, lengths)
                body = self.known(self._as_read(state, reading)).body
                for quantity, figure in read.items():
                    # A twistweight of a frame whose own nobody knows has nothing to be held against.
                    if (predicted := Figures.of(body).get(quantity)) is not None:
                        yield _look(n, nth, reading, figure, body, predicted)

    def _as_read(self, state: State, reading: Reading) -> State:
        on = tuple(f for f in state.parts if counted(f, self.predictor.parts, reading.without))
        return replace(state, parts=on)


def _look(n: int, nth: int, reading: Reading, figure: Figure, body: Body, predicted: Estimate) -> BenchLook:
    seen = as_read(figure, body.mass().value, body.balance().value)
    written = getattr(reading, figure.quantity)
    showed = written.text if written is not None else f"{seen.miss:.1f} (timed)"
    own = next(iter(figure.inputs))
    return BenchLook(n, nth, figure.quantity, showed, seen.miss, difference(seen, as_worked_out(predicted)), own)
