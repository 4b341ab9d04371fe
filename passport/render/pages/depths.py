"""What of a frame's history a player is told at once, and how the rest folds for the stringer."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from passport.workshop.facts.facts import FrameFacts, JobFacts, StringingFacts, StrungFacts
from passport.workshop.facts.standing import standing

OPEN_VISITS = 4
"""Visits that stand open in a history; those before are folded away by their year."""


@dataclass(frozen=True, slots=True)
class Lately:
    """The last stringing beside the one ``before`` (None where none is known), and what else was done since it.

    ``mains`` and ``crosses`` say whether those differ from the time before; ``jobs`` are the newest first. ``felt`` is what the
    player said of the last stringing and of the one before it, empty where nothing was.
    """

    before: StringingFacts | None
    mains: bool
    crosses: bool
    jobs: tuple[JobFacts, ...]
    felt: tuple[str, str] = ("", "")

    @property
    def same(self) -> bool:
        """Whether it was strung as the time before."""
        return not (self.mains or self.crosses)


def lately(frame: FrameFacts) -> Lately | None:
    """What the last work was; None where there is nothing to say of it."""
    strung = [i for i, job in enumerate(frame.jobs) if job.stringing]
    if not strung:
        return None
    now, before = frame.beds[-1], frame.beds[-2] if len(strung) > 1 else None
    done = tuple(job for job in reversed(frame.jobs[strung[-1] :]) if _did(job))
    felt = _felt(frame.jobs, strung[-1]), _felt(frame.jobs[: strung[-1] + 1], strung[-2]) if before else ""
    if before is None:
        return Lately(None, mains=False, crosses=False, jobs=done, felt=felt) if done or any(felt) else None
    mains, crosses = _setup(now.mains) != _setup(before.mains), _setup(now.crosses) != _setup(before.crosses)
    return Lately(before, mains, crosses, done, felt)


def _felt(jobs: Sequence[JobFacts], strung: int) -> str:
    """What was said of the strings put in at a place of the jobs: at later ones, that which cut them out included."""
    return " ".join(job.felt for job in jobs[strung + 1 :] if job.felt)


def _did(job: JobFacts) -> bool:
    return bool(job.fitted or job.removed or job.repairs or job.note)


def _setup(side: StrungFacts) -> tuple[str, float, float, float | None]:
    return side.string, side.gauge, side.tension, side.prestretch


@dataclass(frozen=True, slots=True)
class Visits:
    """A history, newest first: the ``latest`` visits, and the ``older`` ones by year."""

    latest: tuple[JobFacts, ...]
    older: tuple[tuple[int, tuple[JobFacts, ...]], ...]


def visits(jobs: Sequence[JobFacts]) -> Visits:
    """The jobs of a frame, which come oldest first, as its history shows them."""
    newest = tuple(reversed(jobs))
    older = groupby(newest[OPEN_VISITS:], key=lambda job: job.date.year)
    return Visits(newest[:OPEN_VISITS], tuple((year, tuple(group)) for year, group in older))


def freshest_first(frames: Sequence[FrameFacts]) -> tuple[FrameFacts, ...]:
    """Frames in play by the day that they were strung, the newest first, of one day the one that is due last; then others.

    What is fresh on the day that a page is read a script knows; which of two was strung later holds on every day.
    """

    def stale(frame: FrameFacts) -> tuple[bool, int, int]:
        days = [day.toordinal() if day else 0 for day in (frame.stringing and frame.stringing.date, frame.due)]
        return not standing(frame).in_play, -days[0], -days[1]

    return tuple(sorted(frames, key=stale))
