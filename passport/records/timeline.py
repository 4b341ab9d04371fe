"""What was on a frame before and after each job, worked out from the jobs alone.

A fitted base grip, sleeve, butt cap, bumper, set of grommets, damper or head tape takes the place of the one before, and an
overgrip or a tape that of the same part at the same place; string savers go with the strings that are cut out; everything
else stays until a job says that it was removed. What one job fits stays together, so two layers of one tape are two entries
in one job.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from passport.records.schema.catalogue import Part
from passport.records.schema.frame import Fitted, Frame, HandleBuild, Job, Removed, Stencil, Stringing

ONE_AT_A_TIME = frozenset({"base grip", "sleeve", "butt cap", "bumper", "grommets", "damper", "head tape"})

UNDER_THE_GRIP = frozenset({"base grip", "sleeve", "leather strip", "pallet foam"})
"""Kinds whose change makes another handle of it: what was measured round it before holds no longer."""

UNTOLD: Final = HandleBuild()
"""A handle of which nobody wrote anything."""


@dataclass(frozen=True, slots=True)
class Holding:
    """What is on a frame: parts in the order they were fitted, the stringing and its date, the stencil, and what is known
    of how the handle is built up."""

    parts: tuple[Fitted, ...] = ()
    stringing: Stringing | None = None
    strung_on: date | None = None
    stencil: Stencil | None = None
    handle: HandleBuild = UNTOLD


@dataclass(frozen=True, slots=True)
class Step:
    """One job with what was on the frame before and after it; ``index`` is its place in the record."""

    index: int
    job: Job
    before: Holding
    after: Holding


def steps(frame: Frame, parts: Mapping[str, Part]) -> tuple[Step, ...]:
    """The jobs of a frame in the order of the record, each with what held before and after."""
    result: list[Step] = []
    holding = Holding(parts=frame.build, handle=frame.handle)
    for index, job in enumerate(frame.jobs):
        after = _apply(holding, job, parts)
        result.append(Step(index, job, holding, after))
        holding = after
    return tuple(result)


def now(frame: Frame, parts: Mapping[str, Part]) -> Holding:
    """What is on the frame after its last job."""
    done = steps(frame, parts)
    return done[-1].after if done else Holding(parts=frame.build, handle=frame.handle)


def not_fitted(step: Step) -> Iterator[tuple[int, Removed]]:
    """The removals of a job, with their index, that name something which was not on the frame."""
    present = [_what_and_where(p) for p in step.before.parts]
    return ((i, r) for i, r in enumerate(step.job.removed) if _what_and_where(r) not in present)


def _apply(holding: Holding, job: Job, parts: Mapping[str, Part]) -> Holding:
    off = {_what_and_where(removed) for removed in job.removed}
    kept = [p for p in holding.parts if _what_and_where(p) not in off]
    kept = [p for p in kept if not any(_gives_way(p, new, parts) for new in job.fitted)]
    if job.strings:  # they sit between mains and crosses, and fall when these are cut
        kept = [p for p in kept if p.part not in parts or parts[p.part].kind != "string savers"]
    on = (*kept, *job.fitted)
    handle = _handle(holding.handle, job.handle, _changed(holding.parts, on, parts))
    after = replace(holding, parts=on, stencil=job.stencil or holding.stencil, handle=handle)
    if job.strings:
        after = replace(after, stringing=job.strings, strung_on=job.date, stencil=job.stencil)
    return after


def _changed(before: tuple[Fitted, ...], after: tuple[Fitted, ...], parts: Mapping[str, Part]) -> set[str]:
    """The kinds of part of which a job left others on the frame than there were."""

    def kinds(fitted: tuple[Fitted, ...]) -> set[tuple[str, str]]:
        return {(parts[f.part].kind, f.part) for f in fitted if f.part in parts}

    return {kind for kind, _ in kinds(before) ^ kinds(after)}


def _handle(before: HandleBuild, said: HandleBuild, changed: set[str]) -> HandleBuild:
    """What is still known of the handle: as a job says it, else as before, but for what its other parts make untrue."""
    gone: set[str] = set()
    if changed & UNDER_THE_GRIP:
        gone |= {"circumference", "over", "shape", "sleeves"} if "sleeve" in changed else {"circumference", "over"}
    if "overgrip" in changed:
        gone |= {"wound", "wound_from", "overlap", "covered"}
        gone |= {"circumference", "over"} if before.over != "base grip" else set()
    kept = {name: value for name, value in before if name not in gone and value not in (None, "")}
    new = {name: value for name, value in said if value not in (None, "")}
    if "circumference" in new and "over" not in new:
        kept.pop("over", None)
    return HandleBuild.model_construct(**(kept | new)) if kept or new else UNTOLD


def _what_and_where(item: Fitted | Removed) -> tuple[object, ...]:
    """What makes two entries the same thing on a frame, however its place is spelt."""
    return item.part, item.place.spot


def _gives_way(old: Fitted, new: Fitted, parts: Mapping[str, Part]) -> bool:
    if _what_and_where(old) == _what_and_where(new):
        return True
    kinds = {parts[p].kind if p in parts else None for p in (old.part, new.part)}
    return len(kinds) == 1 and bool(kinds & ONE_AT_A_TIME)
