"""The order in which a plan is carried out at the bench, in small steps, with what the frame should read after each.

Before anything is stuck on, all of it is tried with pre-weighed putty. A paste goes in by small portions, and where the
strings' mass is only predicted its last portion waits until the frame is strung and read.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from passport.physics.body import NOTHING
from passport.physics.moments import Moments
from passport.physics.uncertainty import COVERAGE
from passport.records.schema.frame import WorkKind
from passport.workshop.rebuild.plan import Addition, Figures, Plan, Rebuild

PORTION_G: Final = 3.0
"""No more of a paste goes in at once, g (common practice, no source)."""

PORTION_STEP_G: Final = 0.5
"""Portions of a paste are whole multiples of this, g (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One line of the work: what is done with ``mass_g`` of a piece, and what the whole frame should read ``after`` it.

    ``check`` is the blank as it came, ``clear`` takes the putty off again and has no reading, ``string`` has no piece.
    ``part`` counts the portions of a piece that goes on bit by bit, from 1, of ``parts``.
    """

    kind: WorkKind
    piece: Addition | None
    mass_g: float
    after: Moments | None
    part: int = 1
    parts: int = 1


@dataclass(frozen=True, slots=True)
class _HeldBack:
    """What waits until the frame is strung: ``mass`` g of a piece; none of it where there is no ``piece``."""

    piece: Addition | None
    mass: float

    @property
    def moments(self) -> Moments:
        """What the frame lacks in the meantime."""
        return self.piece.moments.scaled(self.mass / self.piece.mass_g) if self.piece else NOTHING


def work_order(found: Rebuild, plan: Plan) -> tuple[Stage, ...]:
    """The stages of a plan, from checking the blank to the finished frame; of one that was begun, what is left."""
    return tuple(_stages(found, plan))


def _stages(found: Rebuild, plan: Plan) -> Iterator[Stage]:
    now = body_of(found.measured)
    held, lacks, tried = _held(plan), NOTHING, found.trial != "ahead"
    if not found.begun:
        yield Stage("check", None, 0.0, now)
    if found.trial == "on":
        yield Stage("clear", None, 0.0, None)
    for step in plan.steps:
        if step.action != "take off" and plan.additions and not tried:
            yield from _trial(now, plan)
            tried = True
        before, now = now, body_of(step.after)
        if step.piece and step.action == "add":
            keep = held.mass if step.piece is held.piece else 0.0
            yield from _portions(step.piece, before - lacks, keep)
            lacks = lacks + (held.moments if keep else NOTHING)
        else:
            mass = step.piece.mass_g if step.piece else now.m0 - before.m0
            kind: WorkKind = step.action if step.action != "add" else "string"
            yield Stage(kind, step.piece, mass, now - lacks)
        if step.action == "string" and held.piece:
            yield Stage("rest", held.piece, held.mass, now)
            lacks = NOTHING


def _trial(now: Moments, plan: Plan) -> Iterator[Stage]:
    """All additions with putty, one place after the other, and off again."""
    for piece in plan.additions:
        now = now + piece.moments
        yield Stage("trial", piece, piece.mass_g, now)
    yield Stage("clear", None, plan.added_g, None)


def _portions(piece: Addition, now: Moments, keep: float) -> Iterator[Stage]:
    """A piece put on: tape at once, a paste bit by bit, less what is kept back."""
    rest = piece.mass_g - keep
    masses = _split(rest) if piece.kind == "silicone" else [rest]
    for i, mass in enumerate(masses, 1):
        now = now + piece.moments.scaled(mass / piece.mass_g)
        yield Stage("add", piece, mass, now, i, len(masses) + bool(keep))


def _split(mass: float) -> list[float]:
    """Portions of at most `PORTION_G`, the last one the smallest; none of nothing."""
    if mass < 1e-9:
        return []
    count = math.ceil(mass / PORTION_G - 1e-9)
    each = math.ceil(mass / count / PORTION_STEP_G - 1e-9) * PORTION_STEP_G
    return [*([each] * (count - 1)), mass - each * (count - 1)]


def _held(plan: Plan) -> _HeldBack:
    """The last portion of the largest paste: as much as the mass may be off, once the frame is to be strung."""
    pastes = [
        step.piece for step in plan.steps if step.action == "add" and step.piece and step.piece.kind == "silicone"
    ]
    if not pastes or not any(step.action == "string" for step in plan.steps):
        return _HeldBack(None, 0.0)
    piece = max(pastes, key=lambda paste: paste.mass_g)
    doubt = math.ceil(COVERAGE * plan.predicted.mass.u / PORTION_STEP_G - 1e-9) * PORTION_STEP_G
    return _HeldBack(piece, min(doubt, piece.mass_g)) if doubt else _HeldBack(None, 0.0)


def body_of(figures: Figures) -> Moments:
    """A frame's figures as moments; an unknown twistweight stays unknown."""
    twist = figures.twistweight.value if figures.twistweight else None
    return Moments.from_measured(figures.mass.value, figures.balance.value, figures.swingweight.value, twist)
