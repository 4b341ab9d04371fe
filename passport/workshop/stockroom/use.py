"""What jobs take from stock: string cut, tape, paste, pieces; and what is left of a lot by that."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final

from passport.physics.geometry import RacquetShape
from passport.physics.stringing.course import TAIL_MM, to_cut
from passport.physics.stringpath import OUTSIDE_U, Side
from passport.physics.uncertainty import Estimate, combined, from_half_width
from passport.records.load import Content, records_of
from passport.records.masses import fitted_mass, laid, strip_count
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Fitted, Frame, Job, Stringing
from passport.records.stockroom.amount import Measure
from passport.records.stockroom.lot import StockLot
from passport.workshop.facts.remembered import FrameMemory

SHAPE_U: Final = 0.05
"""By what share strings are longer or shorter where a frame's head is taken as usual (common practice, no source)."""

COUNTED_TO: Final = 0.5
"""How closely a shelf is counted or a reel measured, pieces, m or g (common practice, no source)."""

HEAD_U: Final = 0.004
"""The same where it was measured with a tape: 1 mm on its length and width."""

_SIDES: Final[tuple[Side, Side]] = ("mains", "crosses")


@dataclass(frozen=True, slots=True)
class JobUse:
    """What one job on a frame took of one string or part: ``amount`` in each measure in which it can be told.

    ``batch`` is that of a string as the job names it.
    """

    frame: str
    day: date
    of: str
    batch: str
    amounts: Mapping[Measure, Estimate]


@dataclass(frozen=True, slots=True)
class CountGap:
    """What the last count, of ``day``, found less than the book had until then (negative: more), in the lot's measure."""

    day: date
    less: Estimate

    @property
    def tells(self) -> bool:
        """Whether it is more than what the book leaves open, and than a shelf is counted to."""
        return abs(self.less.value) > max(2 * self.less.u, COUNTED_TO)


@dataclass(frozen=True, slots=True)
class Remainder:
    """What is left of a lot: the ``amount`` with its standard uncertainty, in ``measure``.

    ``uses`` are the jobs that took from it since it was last counted, ``all_uses`` all of them; ``untold`` is how many of
    these nobody can say an amount of, so that less may be left. ``gap`` is what the last count said of the book before.
    """

    lot: StockLot
    measure: Measure
    amount: Estimate
    since: date
    uses: tuple[JobUse, ...] = ()
    all_uses: tuple[JobUse, ...] = ()
    untold: int = 0
    gap: CountGap | None = None


_KNOWN: Final = FrameMemory[tuple[JobUse, ...]]()


def used(content: Content) -> Iterator[JobUse]:
    """What each job of the frames that were read took."""
    uses = JobUses(content)
    for name, entry in content.frames.items():
        yield from uses.of_frame(name, entry.record)


@dataclass(frozen=True)
class UseBook:
    """All that the jobs of a workshop took, by string or part; worked out once."""

    uses: Mapping[str, tuple[JobUse, ...]] = field(default_factory=dict)

    @classmethod
    def of(cls, content: Content) -> "UseBook":
        """The uses of all frames that were read."""
        uses = JobUses(content)
        known = _KNOWN.of(content, uses.shared, uses.of_frame)
        return cls.of_uses(use for own in known.values() for use in own)

    @classmethod
    def of_uses(cls, uses: Iterable[JobUse]) -> "UseBook":
        """The book of all uses, in the order of the frames."""
        found: dict[str, list[JobUse]] = {}
        for use in uses:
            found.setdefault(use.of, []).append(use)
        return cls({of: tuple(sorted(own, key=lambda u: (u.day, u.frame))) for of, own in found.items()})

    def left(self, lot: StockLot) -> Remainder:
        """What is left of a lot, by what was bought, counted, taken and used."""
        own = [use for use in self.uses.get(lot.of, ()) if use.batch == lot.batch]
        return replace(_left(lot, own), gap=_gap(lot, own))

    def unassigned(self, of: str, lots: Iterable[StockLot]) -> tuple[JobUse, ...]:
        """The uses of a string since its first lot began that name a batch which no lot has, or none."""
        own = [lot for lot in lots if lot.of == of]
        first, batches = min(map(_begins, own)), {lot.batch for lot in own}
        return tuple(use for use in self.uses.get(of, ()) if use.day >= first and use.batch not in batches)


def _begins(lot: StockLot) -> date:
    """The day of a lot's first entry."""
    return min(entry.date for entry in (*lot.bought, *lot.counted))


def _left(lot: StockLot, uses: Iterable[JobUse]) -> Remainder:
    measure, begins = lot.measure, _begins(lot)
    last = max(lot.counted, key=lambda entry: entry.date, default=None)
    start, since = (last.amount.value, last.date) if last else (0.0, begins)

    def after(day: date) -> bool:
        return day > since if last else day >= since

    whole = start + sum(entry.amount.value for entry in lot.bought if after(entry.date))
    whole -= sum(entry.amount.value for entry in lot.taken if after(entry.date))
    every = tuple(use for use in uses if use.day > begins or (use.day == begins and not _counted_on(lot, begins)))
    now = tuple(use for use in every if after(use.day))
    known = [use.amounts[measure] for use in now if measure in use.amounts]
    # What makes one cut longer than another (the way round the hoop, the pull) makes them all longer: added as they are.
    amount = Estimate(whole - sum(e.value for e in known), sum(e.u for e in known))
    return Remainder(lot, measure, amount, since, now, every, len(now) - len(known))


def _gap(lot: StockLot, uses: Iterable[JobUse]) -> CountGap | None:
    """The last count against the book without it; None where the book began with it."""
    last = max(lot.counted, key=lambda entry: entry.date, default=None)
    if last is None:
        return None
    before = lot.model_copy(
        update={
            "counted": tuple(entry for entry in lot.counted if entry is not last),
            "bought": tuple(entry for entry in lot.bought if entry.date <= last.date),
            "taken": tuple(entry for entry in lot.taken if entry.date <= last.date),
        }
    )
    if not (before.bought or before.counted):
        return None
    book = _left(before, [use for use in uses if use.day <= last.date])
    if book.untold:
        return None
    return CountGap(last.date, Estimate(book.amount.value - last.amount.value, book.amount.u))


def _counted_on(lot: StockLot, day: date) -> bool:
    return any(entry.date == day for entry in lot.counted)


class JobUses:
    """What jobs take, by a workshop's catalogue."""

    def __init__(self, content: Content) -> None:
        """Of the frames of ``content``."""
        self._frames = content.frames
        self._models, self._strings = records_of(content.models), records_of(content.strings)
        self._parts = records_of(content.parts)

    @property
    def shared(self) -> object:
        """All that what a job takes hangs on beside its frame's record."""
        return self._models, self._strings, self._parts

    def of_frame(self, name: str, frame: Frame) -> tuple[JobUse, ...]:
        """What all jobs on a frame took."""
        return tuple(use for job in frame.jobs for use in self.of(name, job))

    def of(self, frame: str, job: Job) -> Iterator[JobUse]:
        """What one job on a frame took: strings, parts fitted, parts of repairs."""
        model, parts = self._models.get(self._frames[frame].record.model), self._parts
        if job.strings:
            yield from _cuts(frame, job.date, job.strings, model, self._strings)
        for fitted in job.fitted:
            if fitted.part in parts:
                amounts = _of_part(fitted, parts[fitted.part], parts, model)
                yield JobUse(frame, job.date, fitted.part, "", amounts)
        for repair in job.repairs:
            if repair.part in parts:
                yield JobUse(frame, job.date, repair.part, "", {"pieces": Estimate(1.0, 0.0)})


def _of_part(
    fitted: Fitted, part: Part, parts: Mapping[str, Part], model: FrameModel | None
) -> dict[Measure, Estimate]:
    """Tape by its length and mass, paste by its mass; of everything else one piece."""
    if part.kind in ("tape", "silicone", "putty") or part.per_length:
        throat = model.shape().throat if model else "open"
        mass = fitted_mass(fitted, parts, throat)
        run = fitted.length.value / 1000 * strip_count(part.kind, fitted.place, throat) if fitted.length else None
        if run is None and mass is not None and part.per_length:
            run = mass / part.per_length.value
        found: dict[Measure, Estimate] = {} if mass is None else {"g": Estimate(mass, 0.05)}
        return found if run is None else found | {"m": Estimate(run, 0.001)}
    return {"pieces": Estimate(1.0, 0.0)}


def _cuts(
    frame: str, day: date, strings: Stringing, model: FrameModel | None, catalogue: Mapping[str, StringType]
) -> Iterator[JobUse]:
    """The string cut for mains and crosses: in metres where the frame's model tells, and as a set or half of one.

    A set is a set for a whole frame of one string and half a one for the mains or the crosses alone (common practice, no
    source).
    """
    mains, crosses = strings.both
    cut = cut_lengths(strings, model, catalogue)
    if (mains.string, mains.batch) == (crosses.string, crosses.batch):
        whole = Estimate(sum(e.value for e in cut), sum(e.u for e in cut)) if cut else None
        yield JobUse(frame, day, mains.string, mains.batch, _as_string(whole, 1.0))
        return
    for strung, length in zip((mains, crosses), cut or (None, None), strict=True):
        yield JobUse(frame, day, strung.string, strung.batch, _as_string(length, 0.5))


def _as_string(length: Estimate | None, sets: float) -> dict[Measure, Estimate]:
    found: dict[Measure, Estimate] = {"pieces": Estimate(sets, 0.0)}
    return found if length is None else found | {"m": length}


def cut_lengths(
    strings: Stringing, model: FrameModel | None, catalogue: Mapping[str, StringType]
) -> tuple[Estimate, Estimate] | None:
    """What is cut for mains and crosses, m, with the standard uncertainty of each; None where the model is not known."""
    if model is None or any(strung.string not in catalogue for strung in strings.both):
        return None
    shape = model.shape()
    string = laid(strings, catalogue, model.pattern)
    path = string.path(shape)
    ends = string.threading.pieces
    # Where nobody said how many pieces it is, two would take a tail more at each end in the middle.
    open_u = 0.0 if strings.worked_out[0] or string.route else from_half_width(TAIL_MM)
    found = []
    for side, strung in zip(_SIDES, strings.both, strict=True):
        way = path.length(side)
        outside = path.length(side, outside=True) * OUTSIDE_U * string.surer
        u = combined(outside, way * (SHAPE_U if _assumed(shape) else HEAD_U), open_u)
        material, gauge = catalogue[strung.string].material, strung.gauge or catalogue[strung.string].gauge
        cut = to_cut(way, material, gauge.value, strung.tension.value, ends)
        found.append(Estimate(cut.value / 1000, combined(cut.u, u) / 1000))
    return found[0], found[1]


def _assumed(shape: RacquetShape) -> bool:
    return bool(shape.is_assumed("length", "rim", "aspect", "mains", "crosses"))
