"""The frames that wait, in the order of their promises, with the recipe that is wanted of each; what waits to be collected.

For the bench alone. Pure.
"""

from dataclasses import dataclass, replace
from datetime import date

from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame, Job, Order


@dataclass(frozen=True, slots=True)
class Waiting:
    """A frame that waits: its record, what is wanted, and by how many days the promise is late (0 where it is not)."""

    entry: Entry[Frame]
    order: Order
    late: int

    @property
    def restrung(self) -> bool:
        """Whether it is to be restrung, as far as the order says; an order of words alone leaves that open."""
        o = self.order
        return o.strings is not None or not (o.fitted or o.removed or o.repairs or o.tuning or o.rebuild)


@dataclass(frozen=True, slots=True)
class Done:
    """A frame whose order is done and that nobody has collected: its record, and the day of the job."""

    entry: Entry[Frame]
    job: Job


def rack(content: Content, today: date) -> tuple[Waiting, ...]:
    """The frames that wait, those promised first first, so that late ones lead; then those without a promise, by when
    they were taken."""

    def order_of(one: Waiting) -> tuple[date, date, str]:
        return one.order.promised or date.max, one.order.taken or date.max, one.entry.name

    found = (
        Waiting(entry, order, max(0, (today - order.promised).days) if order.promised else 0)
        for entry in content.frames.values()
        if (order := entry.record.waiting) is not None
    )
    return tuple(sorted(found, key=order_of))


def to_collect(content: Content) -> tuple[Done, ...]:
    """The frames whose order is done and that nobody has collected, as far as the records say; the longest wait first."""
    found = (Done(entry, job) for entry in content.frames.values() if (job := entry.record.uncollected))
    return tuple(sorted(found, key=lambda one: (one.job.date, one.entry.name)))


def as_wanted(content: Content, today: date) -> Content:
    """The content as if every recipe that is wanted had been strung today, for working out what it takes.

    Nothing of it is on record: it serves to follow the string that is wanted, and to show it at the bench.
    """
    frames = dict(content.frames)
    for name, entry in content.frames.items():
        order = entry.record.order
        if order and order.strings:
            job = Job(date=today, strings=order.strings, stencil=order.stencil)
            wanted = entry.record.model_copy(update={"jobs": (*entry.record.jobs, job)})
            frames[name] = replace(entry, record=wanted)
    return replace(content, frames=frames)
