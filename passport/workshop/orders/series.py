"""Several frames of one player that are strung in one go: those with the same order stand together, and how it is seen
afterwards that they came out alike."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import median
from typing import Final

from passport.physics.uncertainty import Estimate
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content, Entry, records_of
from passport.records.schema.frame import Frame, Job, Stringing
from passport.records.timeline import now
from passport.workshop.facts.facts import FrameFacts, StringingFacts
from passport.workshop.facts.standing import State, standing
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.wanted import condition_words, work_wanted
from passport.workshop.stockroom.supply import StockSupply
from passport.workshop.stockroom.use import UseBook
from passport.workshop.strings.batches import HIGH_CAUSES, LOW_CAUSES, TOLERANCE, Batch, batches
from passport.workshop.strings.string_course import string_course
from passport.workshop.strings.string_priors import StringPriors


@dataclass(frozen=True, slots=True)
class SeriesFrame:
    """One frame of a series: its ``facts`` with the strings that are to go in, which are those ``ordered`` or the last ones.

    ``also`` is what else is wanted of it, ``know`` what to know of it, ``stop`` why it must not be strung. ``last`` is the
    first reading of the bed that is in it: the amount and unit shown, and the age in minutes where it is known.
    """

    facts: FrameFacts
    ordered: bool
    also: tuple[str, ...] = ()
    know: tuple[str, ...] = ()
    stop: str = ""
    last: tuple[float, str, float | None] | None = None


@dataclass(frozen=True, slots=True)
class SeriesGroup:
    """The frames of one order, one after another: their ``bed``, what each takes (m, a piece each), what all take (m) and
    what the book of the stock says to that."""

    bed: StringingFacts
    frames: tuple[SeriesFrame, ...]
    cuts: tuple[Estimate, ...] = ()
    in_all: Estimate | None = None
    stock: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SeriesRule:
    """When the frames of one order came out alike: highest less lowest within ``tolerance`` N, ``stated`` by the workshop.

    ``hertz`` is what that is in Hz, by the bed of ``of`` that these frames had in common; ``finds`` by how many N one of
    them had to be off to be found in 95 of 100. None where no earlier reading tells.
    """

    tolerance: float
    stated: bool
    hertz: float | None = None
    finds: float | None = None
    of: date | None = None
    low: tuple[str, ...] = LOW_CAUSES
    high: tuple[str, ...] = HIGH_CAUSES


@dataclass(frozen=True, slots=True)
class Series:
    """A series of one player, by its full name: the groups, the frames of which no stringing is known, the rule."""

    player: str
    groups: tuple[SeriesGroup, ...]
    unknown: tuple[SeriesFrame, ...]
    rule: SeriesRule


def series(
    content: Content,
    names: Sequence[str],
    today: date,
    priors: StringPriors | None = None,
    book: UseBook | None = None,
) -> Series:
    """The series of these frames, ``player/frame`` of one player, in the order in which they are named.

    ``priors`` and ``book`` are what all beds told and what all jobs took, where ``content`` holds that player only.
    """
    wanted = _with_orders(content, names, today)
    gatherer, before = Gatherer(wanted, priors), Gatherer(content, priors)
    frames = [_frame(content, gatherer, before, content.frames[name]) for name in names]
    known = [frame for frame in frames if frame.facts.stringing]
    groups: list[list[SeriesFrame]] = []
    for frame in known:
        like = next((group for group in groups if _order(group[0].facts) == _order(frame.facts)), None)
        if like is None:
            groups.append([frame])
        else:
            like.append(frame)
    player = content.players[names[0].partition("/")[0]].record
    supply = StockSupply(content, book)
    return Series(
        player.full_name or player.name,
        tuple(_group(content, wanted, group, supply) for group in groups),
        tuple(frame for frame in frames if not frame.facts.stringing),
        _rule(content, before, names),
    )


def _with_orders(content: Content, names: Sequence[str], today: date) -> Content:
    """The content as it is when what is ordered of these frames was strung today."""
    frames = dict(content.frames)
    for name in names:
        entry = content.frames[name]
        order = entry.record.waiting
        if order and order.strings:
            job = Job(date=max([today, *(each.date for each in entry.record.jobs)]), strings=order.strings)
            frames[name] = replace(entry, record=entry.record.model_copy(update={"jobs": (*entry.record.jobs, job)}))
    return replace(content, frames=frames)


def _frame(content: Content, gatherer: Gatherer, before: Gatherer, entry: Entry[Frame]) -> SeriesFrame:
    order, facts = entry.record.waiting, gatherer.recipe(entry.name)
    also: list[str] = []
    if order:
        rest = order.model_copy(update={"strings": None})  # the stringing stands in the recipe above
        also = work_wanted(rest, content.catalogue) or [order.asked]
    know = [entry.record.private_note, *(condition_words(order.condition) if order else ())]
    state, old = standing(facts), before.recipe(entry.name).stringing
    stop = "" if state.in_play else worded(_STOPS[state.state])
    if order and order.condition.crack == "found":
        stop = worded("a crack was found: not to be strung")
    reading = old.readings[0] if old and old.readings else None
    last = (reading.amount, reading.unit, reading.age) if reading else None
    ordered = bool(order and order.strings)
    return SeriesFrame(facts, ordered, tuple(filter(None, also)), tuple(filter(None, know)), stop, last)


_STOPS: Final[Mapping[State, str]] = {
    "broken": unsaid("marked broken: not to be strung"),
    "lost": unsaid("marked lost: not to be strung"),
    "retired": unsaid("marked retired: not to be strung"),
    "sealed": unsaid("marked sealed: not to be strung"),
    "erased": unsaid("marked erased: not to be strung"),
}
"""Why a frame that is not in play must not be strung."""


def _order(facts: FrameFacts) -> tuple[object, ...]:
    """What makes the orders of two frames the same: the model, and all of the stringing but its day, batch and mark."""
    bed = facts.stringing
    assert bed is not None, "asked of frames with a stringing alone"
    plain = replace(
        bed,
        date=date.min,
        readings=(),
        stencil="",
        ink="",
        mains=replace(bed.mains, batch="", supply="", written=""),
        crosses=replace(bed.crosses, batch="", supply="", written=""),
    )
    return facts.maker, facts.model, facts.shape, plain


def _group(content: Content, wanted: Content, frames: Sequence[SeriesFrame], supply: StockSupply) -> SeriesGroup:
    first = frames[0].facts
    bed = first.stringing
    assert bed is not None, "made of frames with a stringing alone"
    course, many = string_course(first), sum(not frame.stop for frame in frames)
    cuts = tuple(Estimate(p.cut.value / 1000, p.cut.u / 1000) for p in course.pieces) if course else ()
    total = Estimate(many * sum(c.value for c in cuts), many * sum(c.u for c in cuts)) if cuts else None
    record = wanted.frames[first.name].record
    stringing = _last(record, wanted)
    stock = tuple(supply.of_strings(stringing, content.models[record.model].record, many)) if stringing and many else ()
    return SeriesGroup(bed, tuple(frames), cuts, total, stock)


def _last(record: Frame, content: Content) -> Stringing | None:
    return now(record, records_of(content.parts)).stringing


def _rule(content: Content, gatherer: Gatherer, names: Sequence[str]) -> SeriesRule:
    stated = content.workshop.record.tolerances.batch if content.workshop else None
    tolerance = stated.value if stated else TOLERANCE
    named = set(names)
    own = [b for b in batches(gatherer.book, content) if sum(m.bed.frame in named for m in b.members) > 1]
    last: Batch | None = own[-1] if own else None
    if last is None:
        return SeriesRule(tolerance, stated is not None)
    shown = [m.ring.shown.amount for m in last.members if m.ring.hertz]
    # The tension goes with the square of the frequency (Rayleigh, Theory of Sound I, ch. IX), so half as much of a share.
    hertz = median(shown) * tolerance / last.middle / 2 if last.worked_out and shown else None
    return SeriesRule(tolerance, stated is not None, hertz, last.finds, last.day)
