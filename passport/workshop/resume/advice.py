"""Which reading is worth taking next: the one after which the rest of the plan can be surest.

By what is known now, the best that a plan can do is to hit every target in the middle; the chance of that grows with each
reading, by as much as it narrows the finished frame's figures, whatever it will show (conditioning a normal distribution:
the covariance does not depend on what is read).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from passport.physics.conditioning import Constraint
from passport.physics.normal import box_probability
from passport.physics.uncertainty import Estimate
from passport.records.language.worded import unsaid, worded
from passport.records.schema.frame import Reading
from passport.workshop.facts.spoken_names import name_said
from passport.workshop.measuring.measured import figures
from passport.workshop.measuring.strung_pairs import as_read, as_worked_out, difference
from passport.workshop.rebuild.chance import Deviation, deviation
from passport.workshop.rebuild.plan import Aim, Figures, percent
from passport.workshop.rebuild.remedy import WORTH
from passport.workshop.resume.job import ResumedJob
from passport.workshop.resume.readings import BenchCourse

_READ: Final = {
    "mass": unsaid("weigh the frame as it is now"),
    "balance": unsaid("balance the frame as it is now"),
    "swingweight": unsaid("swing the frame as it is now"),
}


@dataclass(frozen=True, slots=True)
class NextReading:
    """What to read: a ``quantity`` of the frame as it is now, or the mass of a ``part`` before it is fitted.

    ``before`` and ``after``: the largest chance that any rest of the plan could have, without it and with it.
    """

    quantity: str
    part: str
    place: str
    before: float
    after: float

    def data(self) -> dict[str, object]:
        """The reading as data."""
        return {
            "quantity": self.quantity,
            "part": self.part or None,
            "place": self.place or None,
            "possible_now": round(self.before, 4),
            "possible_then": round(self.after, 4),
        }

    @property
    def text(self) -> str:
        """The same as a sentence."""
        what = (
            worded("weigh the {part} ({place}) before it is fitted", part=self.part, place=name_said(self.place))
            if self.part
            else worded(_READ[self.quantity])
        )
        return worded(
            "Worth reading next: {what}. At best {before} are in reach by what is known, {after} with it.",
            what=what,
            before=percent(self.before),
            after=percent(self.after),
        )


def worth_reading(course: BenchCourse, job: ResumedJob, wanted: tuple[Aim, ...]) -> NextReading | None:
    """The reading that narrows most; None where none raises the chance by at least `WORTH`."""
    off = deviation(Figures.of(job.known.body), wanted)
    if not off.quantities:
        return None
    before = _at_best(off, None)
    found = [replace(one, before=before, after=_at_best(off, equation)) for one, equation in _candidates(course, job)]
    best = max(found, key=lambda one: one.after, default=None)
    return best if best and best.after >= before + WORTH else None


def _at_best(off: Deviation, seen: Constraint | None) -> float:
    """The chance of hitting the middle once ``seen`` is read."""
    covariance = off.covariance
    if seen is not None:
        size = len(off.quantities)
        shared = np.sum(
            [c * off.shifts[n] for n, c in seen.shifts.items() if n in off.shifts] or [np.zeros(size)], axis=0
        )
        covariance = covariance - np.outer(shared, shared) / seen.u**2
    return float(box_probability(0 * off.off[np.newaxis], covariance[np.newaxis], off.tolerances)[0])


def _candidates(course: BenchCourse, job: ResumedJob) -> Iterator[tuple[NextReading, Constraint]]:
    """What can be read now, as the equation that it would give."""
    last, put_on = len(course.work.steps), course.work.steps and course.work.steps[-1].did != "trial"
    read = {look.quantity for look in job.knowledge.kept if look.step == last}
    now = Figures.of(job.measured.body)
    shown = {"mass": f"{now.mass.value:.2f} g", "balance": f"{now.balance.value:.2f} mm"}
    shown |= {"swingweight": f"{now.swingweight.value:.2f} kgcm2"}
    reading = Reading.model_validate(shown)
    day, length = course.bench.today, course.predictor.shape.length
    read_off = figures(reading, day, length, course.bench.instruments, f"{course.blank}, next")
    for quantity, figure in read_off.items():
        predicted = now.get(quantity)
        if (quantity not in read or not put_on) and predicted is not None:
            looked = as_read(figure, now.mass.value, now.balance.value)
            # The check of an instrument is known as well as the readings so far say.
            seen = difference(job.knowledge.figure(looked), as_worked_out(predicted))
            yield NextReading(quantity, "", "", 0.0, 0.0), seen
    for fitted in course.done.fit:
        if not fitted.mass:
            part = job.predictor.fitted(fitted, course.blank).mass()
            scale = Estimate(part.value, job.predictor.assumed.weighed)
            own = Constraint(scale.value, {f"scale, {fitted.part}": scale.u})
            name = course.bench.parts[fitted.part].name
            yield NextReading("mass", name, fitted.place.text, 0.0, 0.0), difference(own, as_worked_out(part))
