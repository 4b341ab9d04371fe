"""Making frames equal: to one of them, or to a common target that needs the least mass."""

from collections.abc import Iterator, Mapping, Sequence

from passport.physics.uncertainty import Share, combined
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.finish import Finish
from passport.workshop.measuring.specs import QUANTITIES
from passport.workshop.rebuild.plan import Aim, Figures, Rebuild, Status
from passport.workshop.rebuild.planset import Match, Spread
from passport.workshop.rebuild.rebuild import RebuildJob, report, task
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.rebuild.targets import of_origin, tolerance_of
from passport.workshop.solver.equal import Equal, make_equal
from passport.workshop.solver.problem import Window


def match(bench: Workbench, frames: Sequence[str], to: str = "", plans: int = 3) -> Match:
    """Plans that make ``frames`` equal, to the frame ``to`` where one is named; raises `Missing`.

    What counts as equal is the narrowest tolerance that any of their setups, or the workshop, names. Without ``to`` the
    first plans of all frames together need the least mass (`make_equal`); each further plan keeps its frame as equal.
    """
    tasks = [_task(bench, frame) for frame in frames]
    # The narrowest: frames that are equal by a wider one would not be so for the player with the narrow one.
    tolerances = {q: min(tolerance_of(bench, frame, q) for frame in [*frames, *filter(None, [to])]) for q in QUANTITIES}
    if to:
        wanted = tuple(_aims_of(bench, to, tolerances))
        members = tuple(
            report(job, name, wanted, plans=plans, body="frame") for job, name in zip(tasks, frames, strict=True)
        )
        fixed = [Figures.of(_task(bench, to).known.body)]
        proven = all(member.plans[0].proven for member in members)
        return Match(
            _worst(m.status for m in members), to, wanted, members, tuple(_spreads(members, fixed, tolerances)), proven
        )
    # Half a tolerance each to the common target, so that no two are further apart than a whole one.
    apart: Mapping[str, float] = {str(q): tolerances[q] for q in QUANTITIES}
    found = make_equal([job.problem(Window()) for job in tasks], apart)
    read = [Figures.of(job.known.body) for job in tasks]
    wanted = tuple(_shared(q, found.target[q], tolerances[q] / 2, read) for q in QUANTITIES if q in found.target)
    members = tuple(_member(tasks, frames, i, wanted, found, plans) for i in range(len(frames)))
    spreads = tuple(_spreads(members, [], tolerances))
    return Match(_worst(m.status for m in members), to, wanted, members, spreads, found.proven, found.gap)


def _member(
    tasks: Sequence[RebuildJob], frames: Sequence[str], i: int, wanted: tuple[Aim, ...], found: Equal, plans: int
) -> Rebuild:
    given = (found.ways[i],) if found.met else ()
    return report(tasks[i], frames[i], wanted, given, plans, "frame")


def _task(bench: Workbench, frame: str) -> RebuildJob:
    """A frame as it is played, to be tuned further."""
    held = bench.holding(frame)
    done = Finish(held.parts, (), (), held.stringing)
    return task(bench, bench.frame(frame), done, bench.wishes_for(frame))


def _shared(quantity: QuantityName, target: float, tolerance: float, read: Sequence[Figures]) -> Aim:
    """The common target of a set, in the figures that this workshop reads.

    What the figures of all frames hang on alike, the last check of the machine that all were read on, moves the target
    with them: it makes no frame differ from another, and no chance to be equal smaller.
    """
    figures = [figure for body in read if (figure := body.get(quantity)) is not None]
    changes = [{share.name: share.sensitivity for share in figure.shares} for figure in figures]
    common = [name for name in changes[0] if all(name in change for change in changes)] if changes else []
    means = {name: sum(change[name] for change in changes) / len(changes) for name in common}
    shares = tuple(Share(name, mean, abs(mean)) for name, mean in means.items())
    return Aim(quantity, target, tolerance, combined(*means.values()), "set", (), shares)


def _aims_of(bench: Workbench, to: str, tolerances: Mapping[QuantityName, float]) -> Iterator[Aim]:
    known = _task(bench, to).known
    figures = Figures.of(known.body)
    for quantity, tolerance in tolerances.items():
        figure = figures.get(quantity)
        if figure is not None:
            origin = of_origin(known.origins[quantity])
            yield Aim(quantity, figure.value, tolerance, figure.u, "readings", origin, figure.shares)


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
