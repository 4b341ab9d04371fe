"""What a rebuilt frame must meet: the setup's targets, and where it has none the old frame's own figures.

A swingweight that neither says is estimated from mass and balance (`lacking.gyration`): it guides a plan, and judges none.
"""

from collections.abc import Iterable
from dataclasses import replace

from passport.physics.uncertainty import combined
from passport.records.language.worded import worded
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.dimensions import points_share
from passport.workshop.measuring.specs import QUANTITIES
from passport.workshop.measuring.states import Known, Missing, Origin, State, Taken
from passport.workshop.measuring.verdict import wanted
from passport.workshop.rebuild.lacking.gyration import stated
from passport.workshop.rebuild.plan import Aim, AimSource, Figures
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.solver.problem import Bounds, Window


def aims(bench: Workbench, frame: str) -> tuple[Aim, ...]:
    """The target of each quantity of a frame, ``player/frame``; raises `Missing` where there is none at all."""
    record = bench.content.frames[frame].record
    shape = bench.model(record.model).shape()
    length, points = shape.length, record.setup.balance is not None and record.setup.balance.mm_value is None
    read, estimated, problem = _read(bench, frame)
    found: list[Aim] = []
    for quantity in QUANTITIES:
        target, tolerance = wanted(record.setup, quantity, length)
        allowed = tolerance or default_tolerance(bench, quantity)
        if target is not None:
            shares = points_share(shape) if points and quantity == "balance" else ()
            u = combined(*(s.amount for s in shares), bench.unsure.get(frame, {}).get(quantity, 0.0))
            found.append(Aim(quantity, target, allowed, u, "setup", (), shares))
        elif read is not None and (figure := Figures.of(read.body).get(quantity)) is not None:
            predicted = of_origin(read.origins[quantity])
            guessed = estimated and quantity == "swingweight"
            source: AimSource = "estimate" if guessed else "readings"
            found.append(Aim(quantity, figure.value, allowed, figure.u, source, predicted, figure.shares))
    if not found and problem:
        raise Missing(worded("{what} And its setup names no target.", what=problem.what), problem.do)
    return tuple(found)


def _read(bench: Workbench, frame: str) -> tuple[Known | None, bool, Missing | None]:
    """The frame as it is played, from its readings, whether its swingweight is estimated; or what is missing for that."""
    holding = bench.holding(frame)
    played = State(holding.parts, True, holding.stringing)
    subject = bench.frame(frame)
    if "swingweight" not in subject.taken:
        subject = bench.filled(replace(subject, taken={**subject.taken, **_asked_for(bench, frame, played)}))
    try:
        return bench.known(subject, played), subject.estimate is not None, None
    except Missing as missing:
        return None, False, missing


def _asked_for(bench: Workbench, frame: str, played: State) -> dict[QuantityName, Taken]:
    """Mass and balance as the setup asks for them: what an estimated swingweight is to go with."""
    record = bench.content.frames[frame].record
    shape = bench.model(record.model).shape()
    found: dict[QuantityName, Taken] = {}
    both: tuple[QuantityName, ...] = ("mass", "balance")
    for quantity in both:
        target, _ = wanted(record.setup, quantity, shape.length)
        if target is not None:
            found[quantity] = Taken(stated(quantity, bench.today, target), played)
    return found


def of_origin(origin: Origin) -> tuple[str, ...]:
    """What of a figure was predicted, by name, with a minus before what was taken off."""
    return (*origin.added, *(f"−{name}" for name in origin.off))


def tolerance_of(bench: Workbench, frame: str, quantity: QuantityName) -> float:
    """A frame's own tolerance of a quantity, or the workshop's."""
    record = bench.content.frames[frame].record
    own = wanted(record.setup, quantity, bench.model(record.model).shape().length)[1]
    return own or default_tolerance(bench, quantity)


def default_tolerance(bench: Workbench, quantity: QuantityName) -> float:
    """The workshop's tolerance."""
    value: float = getattr(bench.gatherer.workshop.tolerances, quantity).value
    return value


def window_of(found: Iterable[Aim]) -> Window:
    """The targets as the search takes them."""
    bands = {aim.quantity: Bounds(aim.target, aim.tolerance) for aim in found}
    mass, balance = bands.get("mass"), bands.get("balance")
    return Window(mass, balance, bands.get("swingweight"), bands.get("twistweight"))
