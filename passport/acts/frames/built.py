"""What was done to a blank before it became a frame, as that frame's first job."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from passport.acts.amending.targets import listed, tree_of
from passport.acts.change import Base
from passport.acts.clock import today
from passport.acts.frames.log import past, without_batch
from passport.records.schema.frame import BenchWork, Fitted
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.resume.readings import BenchCourse

Tree = Any
_FIGURES: Final = ("part", "place", "length", "mass")


def job_of(base: Base, blank: str) -> dict[str, Tree] | None:
    """The steps of a rebuild on a blank as one job of the day of the last of them; None where none was noted.

    Putty of a trial is left out. The strings are those that the plan counted on: the last recipe of the frame that it was
    built to play like, without its batches. The readings are those after the last step; the others, of states that no
    longer are, go into the private note.
    """
    work = base.records.blanks[blank].record.rebuild
    name = _built_for(base, work) if work and work.steps else None
    if work is None or name is None:
        return None
    course = BenchCourse(Workbench(base.records, today()), name, blank, work)
    state, begun = course.state, course.begun.on.parts
    steps = listed(listed([tree_of(base, f"blanks/{blank}.yaml").get("rebuild")])[0].get("steps"))
    job: dict[str, Tree] = {"date": work.steps[-1].date.isoformat()}
    if state.strung and course.wanted.stringing is not None:
        job["strings"] = without_batch(past(base, base.records.frames[name])[1].strings)
    fitted = [_written(f, _FIGURES) for f in state.parts if f not in begun]
    removed = [_written(f, _FIGURES[:2]) for f in begun if f not in state.parts]
    read = [{**({} if state.strung else {"state": "bare"}), **one} for one in listed(steps[-1].get("readings"))]
    job |= {key: value for key, value in (("fitted", fitted), ("removed", removed), ("readings", read)) if value}
    between = "; ".join(_told(steps[:-1]))
    return {**job, "private_note": f"Read while it was built: {between}"} if between else job


def _built_for(base: Base, work: BenchWork) -> str | None:
    """The record of the frame that the work is for, which may be called by name or number; None where it is gone."""
    entry = base.records.frames.get(work.frame) or base.records.by_number(work.frame)
    return entry.name if entry else None


def _written(fitted: Fitted, keys: Iterable[str]) -> dict[str, str]:
    values = ((key, getattr(fitted, key)) for key in keys)
    return {key: value if isinstance(value, str) else value.text for key, value in values if value}


def _told(steps: Iterable[Mapping[str, Tree]]) -> Iterator[str]:
    """What was read after each step, in words."""
    for number, step in enumerate(steps, 1):
        for reading in listed(step.get("readings")):
            yield f"step {number} ({step['did']}) {', '.join(f'{key} {value}' for key, value in reading.items())}"
