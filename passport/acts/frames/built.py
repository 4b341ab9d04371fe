"""What was done to a blank before it became a frame, as that frame's first job."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from passport.acts.amending.targets import listed, tree_of
from passport.acts.change import Base
from passport.acts.clock import today
from passport.acts.frames.log import past, without_batch
from passport.records.language.worded import worded
from passport.records.load import Entry
from passport.records.schema.frame import BenchWork, Fitted, Frame
from passport.workshop.measuring.states import parts_without
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.resume.readings import BenchCourse

Tree = Any
_FIGURES: Final = ("part", "place", "length", "mass")


def job_of(base: Base, blank: str) -> dict[str, Tree] | None:
    """The steps of a rebuild on a blank as one job of the day of the last of them; None where none was noted.

    Putty of a trial is left out. The strings are those that the plan counted on: the last recipe of the frame that it was
    built to play like, without its batches; on another model, whose sheet asks for other pulls, nobody said which were
    taken. The readings are those after the last step; the others, of states that no longer are or that are not known, go
    into the private note.
    """
    record = base.records.blanks[blank].record
    work = record.rebuild
    entry = _built_for(base, work) if work and work.steps else None
    if work is None or entry is None:
        return None
    course = BenchCourse(Workbench(base.records, today()), entry.name, blank, work)
    state, begun = course.state, course.begun.on.parts
    steps = listed(tree_of(base, f"blanks/{blank}.yaml")["rebuild"]["steps"])
    known = not state.strung or entry.record.model == record.model
    fitted, removed = parts_without(state.parts, begun), parts_without(begun, state.parts)
    job: dict[str, Tree] = {"date": work.steps[-1].date.isoformat()}
    job |= {"strings": without_batch(past(base, entry)[1].strings)} if known and state.strung else {}
    job |= {"fitted": [_written(f, _FIGURES) for f in fitted]} if fitted else {}
    job |= {"removed": [_written(f, _FIGURES[:2]) for f in removed]} if removed else {}
    read = listed(steps[-1].get("readings")) if known else []
    bare = {} if state.strung else {"state": "bare"}
    job |= {"readings": [{**bare, **one} for one in read]} if read else {}
    between = "; ".join(_told(steps[:-1] if known else steps))
    return {**job, "private_note": worded("Read while it was built: {between}", between=between)} if between else job


def _built_for(base: Base, work: BenchWork) -> Entry[Frame] | None:
    """The frame that the work is for, which may be called by name or number; None where it is gone."""
    return base.records.frames.get(work.frame) or base.records.by_number(work.frame)


def _written(fitted: Fitted, keys: Iterable[str]) -> dict[str, str]:
    values = ((key, getattr(fitted, key)) for key in keys)
    return {key: value if isinstance(value, str) else value.text for key, value in values if value}


def _told(steps: Iterable[Mapping[str, Tree]]) -> Iterator[str]:
    """What was read after each step, in words."""
    for number, step in enumerate(steps, 1):
        for reading in listed(step.get("readings")):
            yield worded(
                "step {number} ({step}) {reading}",
                number=number,
                step=step["did"],
                reading=", ".join((f"{key} {value}" for key, value in reading.items())),
            )
