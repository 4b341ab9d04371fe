"""Simulated rebuilds: blanks and parts whose true masses are hidden, built by the plan alone, or with the loop closed.

    .venv/bin/python tests/support/rebuildloops.py 2000      prints the table in full

Each rebuild has a bench of its own (`simulatedbench`: instruments that are off, checked once, that scatter and show whole
steps), a blank that was read on it, and grips, overgrips, strings and pieces that weigh something else than is stated, each
by its stated uncertainty (normal), and lie a little beside their place. One-shot, the first plan is carried out as it is.
In the loop the program is told what is read: everything of the blank, the mass after each step, all three figures once the
frame is strung and once it is finished; what it then plans is done. With its advice, what it would read next is read.
A rebuild is good if the truth is inside every tolerance. It counts where the true masses, had they been known, allow it.
"""

import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from passport.physics.body import Body
from passport.physics.moments import Moments
from passport.records.load import Content, load
from passport.records.schema.frame import BenchStep, BenchWork, Blank, Fitted, Reading
from passport.workshop.measuring.states import State
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.rebuild.targets import window_of
from passport.workshop.rebuild.workorder import Stage
from passport.workshop.resume.readings import BenchCourse
from passport.workshop.resume.resume import WorkInHand, planned
from passport.workshop.solver.problem import Window
from passport.workshop.solver.solve import additive, solve
from tests.support import rebuildshop
from tests.support.simulatedbench import KINDS, Kind, bench, shown, written

FRAME, BLANK = "ada/main", "near"
ARMS = ("one-shot", "loop", "loop and advice")
MOST_STEPS = 30
"""More steps than any rebuild takes: one that goes on is counted as lost."""

FIGURES = ("mass", "balance", "swingweight")
PLACES = """\
    - {place: under the bumper, most: 3 g, length: 150 mm}
    - {place: 3 and 9, most: 5 g, length: 120 mm}
    - {place: throat, most: 4 g, length: 60 mm}
    - {place: inside the handle, most: 14 g}
"""
CUT_MM = 10.0
"""A coarse step: the searches of thousands of rebuilds take a fourth of the time, and the steps are harder to hit."""


@dataclass
class Told:
    """What came of it, by way of working: rebuilds that end inside, steps, readings, and by how much the rest missed."""

    count: int = 0
    possible: int = 0
    inside: Counter = field(default_factory=Counter)
    said: Counter = field(default_factory=Counter)
    steps: Counter = field(default_factory=Counter)
    looks: Counter = field(default_factory=Counter)


@dataclass
class World:
    """One rebuild: what the program may know (``bench``), and what it may not."""

    bench: Workbench
    kinds: dict[str, Kind]
    offs: dict[str, float]
    start: Moments
    rng: np.random.Generator
    seed: int = 0
    hidden: dict[str, float] = field(default_factory=dict)

    def of(self, body: Body) -> Moments:
        """A body as it truly is: each of its inputs is off by an amount of its own, the same wherever it enters."""
        moments = body.moments
        for name, shift in sorted(body.shifts.items()):
            if name not in self.hidden:
                self.hidden[name] = float(np.random.default_rng([self.seed, *name.encode()]).normal())
            moments = moments + shift.scaled(self.hidden[name])
        return moments

    def weigh(self, fitted: Fitted) -> Fitted:
        """A part put on the scale: what it truly weighs stays as it is, its record is what was shown."""
        predictor = self.bench.predictor(self.bench.blank(BLANK).model)
        body = predictor.fitted(fitted, BLANK)
        true = self.of(body).mass
        showed = round(true + self.rng.normal(0, predictor.assumed.weighed), 2)
        name = next(name for name in body.shifts if name.startswith("mass of "))
        self.hidden[name] = (true - showed) / predictor.assumed.weighed
        return Fitted.model_validate({"part": fitted.part, "place": fitted.place.text, "mass": f"{showed:.2f} g"})

    def truth(self, course: BenchCourse, state: State) -> Moments:
        """The frame as it truly is in a state."""
        return self.start + self.of(course.predictor.change(course.start, state, BLANK)[0])

    def read(self, true: Moments, what: tuple[str, ...]) -> Reading:
        """What the instruments show of it."""
        figures = {"mass": true.mass, "balance": true.balance, "swingweight": true.swingweight()}
        data = {}
        for quantity in what:
            kind = self.kinds[quantity]
            data[quantity] = written(
                shown(kind, figures[quantity], self.offs[quantity], self.rng), kind.step, kind.unit
            )
        return Reading.model_validate(data)


def worlds(content: Content, count: int, seed: int, first: int = 0) -> Iterator[World]:
    """So many rebuilds of one workshop, each on a bench of its own, with a blank of its own."""
    for n in range(first, first + count):
        rng = np.random.default_rng([seed, n])
        instruments, offs = bench(KINDS[0], rng)
        plain = Workbench(content, rebuildshop.TODAY, CUT_MM)
        start = _begun(plain, rng)
        world = World(plain, KINDS[0], offs, start, rng, seed=seed * 1_000_003 + n)
        figures = ", ".join(f"{q}: {getattr(world.read(start, FIGURES), q).text}" for q in FIGURES)
        entry = content.blanks[BLANK]
        reading = Reading.model_validate(dict(one.split(": ") for one in figures.split(", ")) | {"state": "bare"})
        record: Blank = entry.record.model_copy(update={"readings": (reading,)})
        own = Workbench(replace(content, blanks={BLANK: replace(entry, record=record)}), rebuildshop.TODAY, CUT_MM)
        vars(own)["instruments"] = instruments
        world.bench = own
        yield world


def _begun(plain: Workbench, rng: np.random.Generator) -> Moments:
    """A blank that is short of the targets by some tuning, if grips and strings weigh what is stated."""
    course = BenchCourse(plain, FRAME, BLANK, BenchWork.model_validate({"frame": "1001-5"}))
    target = Moments.from_measured(*(rng.normal(aim.target, 0.4 * aim.tolerance) for aim in WorkInHand(course).wanted))
    tuning = ("tungsten-tape", "under the bumper", (0.4, 2.4)), ("tungsten-tape", "3 and 9", (0.4, 3.0))
    pieces = [
        {"part": part, "place": place, "mass": f"{rng.uniform(*span):.2f} g"}
        for part, place, span in (*tuning, ("silicone", "inside the handle", (2.0, 10.0)))
    ]
    added = Body.total(course.predictor.fitted(Fitted.model_validate(one)) for one in pieces)
    finished = course.predictor.change(course.start, course.done.state, BLANK)[0]
    return target - added.moments - finished.moments


def course_of(world: World, *steps: BenchStep, weighed: tuple[Fitted, ...] = ()) -> BenchCourse:
    """The work with these steps done."""
    work = BenchWork.model_validate({"frame": "1001-5"}).model_copy(update={"steps": steps, "weighed": weighed})
    return BenchCourse(world.bench, FRAME, BLANK, work)


def step_of(world: World, stage: Stage) -> BenchStep:
    """A stage done as it was planned."""
    return BenchStep.model_validate(planned(stage, rebuildshop.TODAY, world.bench.parts))


def feasible(world: World, window: Window) -> bool:
    """Whether somebody who knew every true mass would find a plan that only adds."""
    course = course_of(world)
    job = WorkInHand(course).job
    start = world.truth(course, course.done.state)
    return bool(solve(additive(replace(job.problem(window), start=start, doubt=None)), 1))


def built(world: World, arm: str) -> tuple[BenchCourse, bool]:
    """One rebuild done in one way, and whether the program says in the end that it is inside."""
    if arm == "one-shot":
        hand = WorkInHand(course_of(world))
        done = [step_of(world, stage) for _, stage in hand.ahead if stage.kind not in ("trial", "clear")]
        return course_of(world, *done), hand.way is not None and hand.way[1] >= 0.5
    steps, weighed = list[BenchStep](), tuple[Fitted, ...]()
    while len(steps) < MOST_STEPS:
        hand = WorkInHand(course_of(world, *steps, weighed=weighed))
        if arm == ARMS[2] and steps and (advice := hand.advice):
            if advice.part:
                fit = next(f for f in hand.course.done.fit if world.bench.parts[f.part].name == advice.part)
                weighed = (*weighed, world.weigh(fit))
            else:
                look = world.read(world.truth(hand.course, hand.course.states[-1]), (advice.quantity,))
                steps[-1] = steps[-1].model_copy(update={"readings": (*steps[-1].readings, look)})
            continue
        if hand.stop or not hand.ahead:
            return hand.course, hand.chance >= 0.5
        todo = [stage for _, stage in hand.ahead if stage.kind not in ("trial", "clear")]
        # Solved anew where something was learned that matters: of the blank, once it is strung, and once it is finished.
        upto = next((i for i, s in enumerate(todo) if s.kind in ("check", "string")), len(todo) - 1)
        for i, stage in enumerate(todo[: upto + 1]):
            step = step_of(world, stage)
            course = course_of(world, *steps, step, weighed=weighed)
            what = FIGURES if i == upto else FIGURES[:1]
            steps.append(
                step.model_copy(update={"readings": (world.read(world.truth(course, course.states[-1]), what),)})
            )
    return course_of(world, *steps, weighed=weighed), False


def simulate(content: Content, count: int, seed: int, first: int = 0) -> Told:
    """So many rebuilds, each in all three ways."""
    told = Told()
    for world in worlds(content, count, seed, first):
        told.count += 1
        window = window_of(WorkInHand(course_of(world)).wanted)
        if not feasible(world, window):
            continue
        told.possible += 1
        for arm in ARMS:
            own = replace(world, rng=np.random.default_rng([world.seed, 1]), hidden=dict(world.hidden))
            course, said = built(own, arm)
            inside = course.state.strung and window.inside(own.truth(course, course.state))
            told.inside[arm] += inside
            told.said[arm, inside] += said
            told.steps[arm] += len(course.work.steps)
            told.looks[arm] += sum(
                len([q for q in FIGURES if getattr(r, q)]) for s in course.work.steps for r in s.readings
            ) + len(course.work.weighed)
    return told


def table(told: Told) -> list[str]:
    """One line a way of working."""
    n = told.possible or 1
    return [f"{told.count} rebuilds, {told.possible} of them possible with what is in stock"] + [
        f"{arm}: {told.inside[arm]} inside every tolerance ({told.inside[arm] / n:.1%}); "
        f"{told.steps[arm] / n:.1f} steps, {told.looks[arm] / n:.1f} figures read; "
        f"called outside though inside {told.inside[arm] - told.said[arm, True]}, inside though outside {told.said[arm, False]}"
        for arm in ARMS
    ]


def shop() -> Content:
    """The workshop that all rebuilds are done in."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        rebuildshop.shop(root, places=PLACES, build=("leather",))
        main = root / "players/ada/main.yaml"
        main.write_text(main.read_text().replace("reed-125", "flint-120"))
        return load(root)[0]


def main() -> None:
    """The table in full."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    print(*table(simulate(shop(), count, 19)), sep="\n")


if __name__ == "__main__":
    main()
