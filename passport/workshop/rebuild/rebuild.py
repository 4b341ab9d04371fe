"""Rebuilding a frame on a blank: what to add where, so that the new frame plays like the old one."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from passport.physics.body import Body
from passport.physics.geometry import Throat
from passport.physics.moments import Moments
from passport.physics.uncertainty import COVERAGE, Estimate
from passport.records.language.worded import numbered, worded
from passport.records.schema.catalogue import Part
from passport.records.schema.frame import Fitted
from passport.workshop.facts.spoken_names import name_said, place_said
from passport.workshop.measuring.dimensions import helps_most
from passport.workshop.measuring.finish import Finish, finish
from passport.workshop.measuring.states import Known, Missing, Predictor, State
from passport.workshop.rebuild.chance import deviation, doubt_of
from passport.workshop.rebuild.lacking.guess import Guess, known_then
from passport.workshop.rebuild.lacking.othermodel import OtherModel, other_model, own_path_left_out
from passport.workshop.rebuild.lacking.places import assumed_note, usual
from passport.workshop.rebuild.lacking.swing import timing
from passport.workshop.rebuild.lacking.wishes import FREE, Wishes
from passport.workshop.rebuild.layout import (
    Work,
    body_of_option,
    cautions,
    effects,
    outlook,
    piece_of,
    piece_of_option,
    steps_of,
)
from passport.workshop.rebuild.obstacle import Obstacle, between_steps, obstacles, too_few_places
from passport.workshop.rebuild.plan import Aim, Figures, Plan, Rebuild, Removal, Status, TakeOff
from passport.workshop.rebuild.remedy import cheapest
from passport.workshop.rebuild.stock import Option, Site, lighter
from passport.workshop.rebuild.subject import Subject, Workbench
from passport.workshop.rebuild.targets import aims, of_origin, window_of
from passport.workshop.solver.problem import Budget, Group, Problem, Solution, Window
from passport.workshop.solver.solve import additive, after_removals, nearest_ways, others, reachable, solve

KEPT = frozenset({"base grip"})
"""Kinds that may be swapped for a lighter one but never left off: a handle is not held bare."""


@dataclass(frozen=True, slots=True)
class Swap:
    """A part that may go, with the lighter one of its kind that takes its place, or None."""

    part: Fitted
    instead: Fitted | None


@dataclass(frozen=True)
class RebuildJob:
    """A subject brought to its finished state, with everything that may be done to it.

    ``options`` stand behind the additive groups of a problem, ``swaps`` behind those that take something off, in the
    order of the groups.
    """

    bench: Workbench
    subject: Subject
    done: Finish
    known: Known
    measured: Known
    state: State
    sites: tuple[Site, ...]
    swaps: tuple[tuple[Swap, ...], ...]
    wishes: Wishes = FREE

    @property
    def predictor(self) -> Predictor:
        """What predicts parts on this subject."""
        return self.bench.predictor(self.subject.model)

    def problem(self, window: Window, wanted: Iterable[Aim] = ()) -> Problem:
        """The problem of bringing the finished subject into a window; what ``wanted`` hangs on is part of the doubt."""
        places = [site.group for site in self.sites]
        off = [Group(g[0].part.part, tuple(self.swapped(s).moments for s in g), off=True) for g in self.swaps]
        # Twistweight is rarely measured: a target that nothing can be compared with must not make every plan miss.
        if self.known.body.moments.polar is None:
            window = replace(window, twistweight=None)
        options = {i: site.doubts for i, site in enumerate(self.sites)}
        swaps = {len(places) + i: [self.swapped(s) for s in group] for i, group in enumerate(self.swaps)}
        doubt = doubt_of(self.known.body, wanted, options, swaps)
        # The order matters: `added` and `swaps_of` read a solution's picks by it.
        groups = (*places, *off)
        return Problem(
            self.known.body.moments, groups, window, self.bench.clashes(self.sites), doubt, self.wishes.places,
            tuple(self._budgets()),
        )  # fmt: skip

    def _budgets(self) -> Iterator[Budget]:
        """How much of each material there is, where that counts."""
        for part, grams in self.wishes.amounts(self.bench.supply).items():
            masses = [[o.mass if o.part == part else 0.0 for o in site.options] for site in self.sites]
            yield Budget(grams, {i: np.array(own) for i, own in enumerate(masses) if any(own)})

    def figures(self, way: Solution) -> Figures:
        """What a solution makes of the subject."""
        owner, assumed = self.subject.name, self.predictor.assumed
        parts = [body_of_option(option, owner, assumed) for option in self.added(way)]
        return Figures.of(self.known.body + Body.total([*parts, *(self.swapped(s) for s in self.swaps_of(way))]))

    def chance(self, way: Solution, wanted: Sequence[Aim]) -> float:
        """The probability that a solution brings all inside that it is judged by."""
        judged = self.judged(wanted)
        # The search knows it, but for one that an estimate guided.
        return way.chance if len(judged) == len(wanted) else deviation(self.figures(way), judged).chance

    @property
    def unswung(self) -> bool:
        """Whether nobody swung the subject, so that its swingweight is an estimate."""
        return self.subject.estimate is not None

    def judged(self, wanted: Iterable[Aim]) -> tuple[Aim, ...]:
        """What a plan is judged by: all that is wanted but what was only estimated, of the old frame or of this one."""
        swung = [a for a in wanted if not (self.unswung and a.quantity == "swingweight")]
        return tuple(aim for aim in swung if aim.source != "estimate")

    def swapped(self, swap: Swap) -> Body:
        """What a swap does to the finished subject."""
        gone = self.predictor.fitted(swap.part, self.subject.name).scaled(-1)
        # Subtracted as bodies, not as masses, so that what is unsure about the part itself cancels.
        return gone if swap.instead is None else gone + self.predictor.fitted(swap.instead, self.subject.name)

    def added(self, way: Solution) -> tuple[Option, ...]:
        """The options that a solution takes, from the tip to the butt."""
        # Not strict: the picks of the swaps follow behind those of the sites.
        taken = [s.options[pick] for s, pick in zip(self.sites, way.picks, strict=False) if pick is not None]
        return tuple(sorted(taken, key=lambda o: -(o.laid.from_mm + o.laid.to_mm)))

    def swaps_of(self, way: Solution) -> tuple[Swap, ...]:
        """The swaps that a solution takes."""
        picks = way.picks[len(self.sites) :]
        return tuple(group[pick] for group, pick in zip(self.swaps, picks, strict=True) if pick is not None)


def task(bench: Workbench, subject: Subject, done: Finish, wishes: Wishes = FREE) -> RebuildJob:
    """Bring a subject to its finished state and lay out what may be done to it; raises `Missing`."""
    measured, state = bench.as_measured(subject)
    known = bench.known(subject, done.state)
    places = bench.sites(subject, wishes)
    swaps = (tuple(_swaps(fitted, bench.supply.parts, subject.model.shape().throat)) for fitted in done.state.parts)
    return RebuildJob(
        bench, subject, done, known, measured, state, places, tuple(group for group in swaps if group), wishes
    )


def _swaps(fitted: Fitted, parts: Mapping[str, Part], throat: Throat) -> Iterator[Swap]:
    part = parts[fitted.part]
    if not part.removable:
        return
    if part.kind not in KEPT:
        yield Swap(fitted, None)
    for name in lighter(parts, fitted, throat):
        yield Swap(fitted, fitted.model_copy(update={"part": name, "mass": None}))


def rebuild(bench: Workbench, frame: str, blank: str, plans: int = 3) -> Rebuild:
    """The plans that rebuild a frame, ``player/frame``, on a blank; raises `Missing` where a figure lacks."""
    return report(task_for(bench, frame, blank), frame, aims(bench, frame), plans=plans)


def task_for(bench: Workbench, frame: str, blank: str) -> RebuildJob:
    """The task of making a blank ready as a frame's setup asks; raises `Missing`."""
    subject = bench.filled(bench.blank(blank))
    held = bench.holding(frame)
    if held.stringing and subject.facts.model_key != bench.content.frames[frame].record.model:
        held = replace(held, stringing=own_path_left_out(held.stringing))
    done = finish(subject.on.parts, held, bench.parts)
    # Without it the strings' mass would be a guess, and they weigh as much as all tuning, or more.
    if done.stringing is None:
        raise Missing(
            worded("No job of {frame} says how it is strung.", frame=frame), worded("Add the job with its 'strings'.")
        )
    return task(bench, subject, done, bench.wishes_for(frame))


def status_of(problem: Problem, found: Sequence[Solution]) -> Status:
    """Matched where a plan was found; impossible where not even divided steps would do, removals included."""
    if found:
        return "matched"
    return "nearest" if any(reachable(start) for start, _ in after_removals(problem)) else "impossible"


def report(
    job: RebuildJob,
    frame: str,
    wanted: tuple[Aim, ...],
    given: Sequence[Solution] = (),
    plans: int = 3,
    body: str = "blank",
) -> Rebuild:
    """Solve a task for the targets of a frame and lay out everything that a sheet says of it.

    ``given`` are ways that were found elsewhere and come first; others are shown behind them where they use other places.
    """
    problem, found = search(job, wanted, plans, given)
    status = status_of(problem, found)
    ways = found or nearest_ways(problem)
    judged = job.judged(wanted)
    laid = tuple(_plan(job, way, judged) for way in ways)
    facts, other = job.bench.gatherer.frame(frame), _other(job, frame)
    predictor, done = job.predictor, job.done
    # Effects and remedy are told of the first plan alone: a sheet is worked from one.
    best = laid[0]
    used = {piece.place: piece.mass_g for piece in best.additions}
    pieces = [*best.additions, *(step.piece for step in best.steps if step.piece)]
    return Rebuild(
        frame=facts,
        blank=job.subject.facts,
        shape=predictor.shape,
        made=job.bench.today,
        status=status,
        aims=wanted,
        measured=Figures.of(job.measured.body),
        measured_on=job.measured.origins["mass"].day,
        measured_strung=job.state.strung,
        start=Figures.of(job.known.body),
        predicted=of_origin(job.known.origins["mass"]),
        fit=tuple(piece_of(f, predictor) for f in done.fit),
        off=tuple(piece_of(f, predictor) for f in done.off),
        stays=tuple(piece_of(f, predictor) for f in done.stays),
        plans=laid,
        obstacles=_why(job, problem, status, ways[0], body) if not found or job.swaps_of(found[0]) else (),
        effects=tuple(effects(job.sites, used, ways[0].result, predictor.shape)),
        take_offs=tuple(_take_offs(job, problem, bool(found))),
        cautions=cautions(
            pieces, not job.state.strung, facts.status == "broken", job.subject.model.tension is not None
        ),
        notes=(*_notes(job, other, wanted), *_in_stock(job, best)),
        remedy=cheapest(deviation(best.predicted, judged), job.subject.name, job.bench.strings, job.bench.assumed),
        guess=_guess(job, best.predicted, wanted, lost=facts.status == "lost"),
        other=other,
    )


def search(
    job: RebuildJob, wanted: Sequence[Aim], plans: int, given: Sequence[Solution] = ()
) -> tuple[Problem, Sequence[Solution]]:
    """The problem that a task is judged by, and its plans, best first; ``given`` ones come first.

    An estimated swingweight guides: among plans that meet what was measured, those count whose estimate may be right. Where
    there is none, or it cannot be met, it is left out, so that nothing is called out of reach for an estimate's sake.
    """
    judged = job.judged(wanted)
    problem = job.problem(window_of(judged), judged)
    guided = next((aim for aim in wanted if aim not in judged), None)
    if guided:
        off = deviation(Figures.of(job.known.body), (guided,)).u(guided.quantity)
        wide = replace(guided, tolerance=guided.tolerance + COVERAGE * off)
        found = solve(job.problem(window_of((*judged, wide)), (*judged, wide)), plans)
        if found:
            window = problem.window
            return problem, [replace(way, worst=window.worst(way.result)) for way in found]
    # What a match of several frames found is kept even if this frame alone would have a lighter plan.
    return problem, others(given, problem, plans) if given else solve(problem, plans)


def _guess(job: RebuildJob, planned: Figures, wanted: Sequence[Aim], *, lost: bool) -> Guess | None:
    """What is believed of a swingweight that nobody took; None where it was measured and is wanted as measured."""
    judged = job.judged(wanted)
    aim = next((aim for aim in wanted if aim.quantity == "swingweight"), None)
    found = job.subject.estimate
    if found is None and (aim is None or aim in judged):
        return None
    apart = deviation(planned, (aim,)).estimate("swingweight") if aim else None
    swung = timing(job.measured.body.moments, job.measured.body.mass(), job.measured.body.balance()) if found else None
    target = Estimate(aim.target, aim.u, aim.shares) if aim else None
    then = (0.0, 0.0)
    if target and apart and found and swung:
        then = known_then(apart, target, found, job.measured.body.swingweight(), swung)
    return Guess(
        planned.swingweight,
        target,
        aim.tolerance if aim else 0.0,
        apart,
        aim is not None and aim.source == "estimate",
        found,
        swung,
        *then,
        lost,
    )


def _plan(job: RebuildJob, way: Solution, wanted: Sequence[Aim]) -> Plan:
    added, swaps, owner = job.added(way), job.swaps_of(way), job.subject.name
    figures = job.figures(way)
    work = Work(added, tuple(s.part for s in swaps), tuple(s.instead for s in swaps if s.instead))
    removals = (
        Removal(piece_of(s.part, job.predictor), piece_of(s.instead, job.predictor) if s.instead else None)
        for s in swaps
    )
    off = deviation(figures, wanted)
    return Plan(
        additions=tuple(piece_of_option(option, job.bench.parts) for option in added),
        removals=tuple(removals),
        steps=tuple(steps_of(work, job.done, job.measured.body, job.state, job.predictor, owner)),
        predicted=figures,
        outlook=tuple(outlook(figures, wanted)),
        worst=way.worst,
        inside=way.inside,
        proven=way.proven,
        chance=off.chance,
        covariance=tuple(tuple(float(v) for v in row) for row in off.covariance),
        gap=way.gap,
        compared=way.compared,
        complete=way.complete,
    )


def _why(job: RebuildJob, problem: Problem, status: Status, way: Solution, body: str) -> tuple[Obstacle, ...]:
    """What holds back every plan that only adds."""
    plain = additive(problem)
    takes = [worded("{place} {most:g} g", place=place_said(s.place), most=s.most) for s in job.sites if s.options]
    limits = worded("They still take: {places}.", places=", ".join(takes)) if takes else ""
    limits += worded(" These are the usual places of the sport, assumed.") if usual(job.subject.model) else ""
    told = job.wishes.note({name: part.name for name, part in job.bench.parts.items()})
    found = obstacles(plain, job.predictor.shape.length, body, " ".join(filter(None, (limits, told))))
    if found or status == "matched":
        return found
    few = job.wishes.places
    free = solve(replace(plain, most_places=None, doubt=None), 1) if few is not None else ()
    if free and few is not None:
        return (too_few_places(few, len(free[0].used)),)
    return (between_steps(plain, way.worst),)


def _take_offs(job: RebuildJob, problem: Problem, matched: bool) -> Iterator[TakeOff]:
    """What each thing that may go would do to the finished subject, and whether only then additions reach the target."""
    start, plain = problem.start, additive(problem)
    for group in job.swaps:
        for swap in group:
            change = job.swapped(swap).moments
            after = Moments.total([start, change])
            # The doubt is left out: only whether any plan exists is asked, and chances cost most of the time.
            helps = not matched and bool(solve(replace(plain, start=after, doubt=None), 1))
            yield TakeOff(
                piece_of(swap.part, job.predictor),
                piece_of(swap.instead, job.predictor) if swap.instead else None,
                change.m0,
                after.balance - start.balance,
                change.swingweight(),
                helps,
            )


def _other(job: RebuildJob, frame: str) -> OtherModel | None:
    """What comes along where the subject is another model than the frame that is rebuilt."""
    bench, key = job.bench, job.bench.content.frames[frame].record.model
    stringing = bench.holding(frame).stringing
    if stringing is None or job.subject.facts.model_key == key:
        return None
    return other_model(bench.model(key), job.subject.model, stringing, bench.strings)


def _notes(job: RebuildJob, other: OtherModel | None, wanted: Iterable[Aim]) -> Iterator[str]:
    yield from job.done.notes
    if wished := job.wishes.note({name: part.name for name, part in job.bench.parts.items()}):
        yield wished
    if note := assumed_note(job.subject.model):
        yield note
    yield from other.texts if other else ()
    have = {aim.quantity for aim in wanted}
    for quantity in ("mass", "balance", "swingweight"):
        if quantity not in have:
            yield worded(
                "Nothing says which {quantity} is wanted, so the plan leaves it free.", quantity=name_said(quantity)
            )
    if other and "twistweight" not in have:
        yield worded("Nobody recorded the old frame's twistweight, so whether this model's is the same is not known.")
    if "twistweight" in have and job.known.body.moments.polar is None:
        yield worded("The blank's twistweight was not measured, so the plan leaves it free.")
    best = helps_most(job.known.body.swingweight().shares)
    if best:
        yield worded(
            "Not all dimensions of the {model} are in the catalogue: the rest is taken as usual in its sport, and ± says "
            "how well that is known. Knowing {best} would help most.",
            model=job.subject.facts.model,
            best=best,
        )
    if job.known.origins["mass"].added and "strings" in job.known.origins["mass"].added:
        yield _strings_predicted(job)


def _in_stock(job: RebuildJob, plan: Plan) -> Iterator[str]:
    """Whether what a plan takes is there, as far as the book of the stock knows."""
    supply, needed = job.bench.supply, dict[str, float]()
    if not supply.left:
        return
    for piece in plan.additions:
        needed[piece.part] = needed.get(piece.part, 0.0) + piece.mass_g
    yield from supply.of_materials(needed)
    yield from supply.of_pieces(fitted.part for fitted in job.done.fit)
    if job.done.stringing and not job.state.strung:
        yield from supply.of_strings(job.done.stringing, job.subject.model)


def _strings_predicted(job: RebuildJob) -> str:
    """What the strings' mass was predicted by, and to be careful."""
    pairs = job.bench.pairs.frames(job.subject.facts.model_key)
    if not pairs:
        return worded(
            "The strings are predicted whole, through and round the hoop and in the knots, by the model's dimensions alone: "
            "keep the last small piece until it is strung and read."
        )
    return numbered(
        pairs,
        "The strings are predicted whole, through and round the hoop and in the knots, by what one frame of this workshop "
        "gained when strung: keep the last small piece until it is strung and read.",
        "The strings are predicted whole, through and round the hoop and in the knots, by what {count} frames of this "
        "workshop gained when strung: keep the last small piece until it is strung and read.",
    )
