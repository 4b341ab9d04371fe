"""Frames strung in one go with the same recipe, compared at the same age; an odd one out is named.

Frames of one batch, same model, string and tension, each read the same time after it was strung, agree within 0.1 to
0.2 lb (common practice, no source). Readings of different ages are brought to one age first; readings in Hz are
compared by the bed tension worked out from them, those in lb, kg or N as the reader showed them, never across; a
stiffness is compared with none, since no common practice says how far stiffnesses may differ.

A reader that scatters more than that cannot tell such frames apart. So a batch is called uneven only where one frame
is further off the mean of the others than the reader's repeatability makes of equal frames in `QUESTIONED` of all
batches, and every comparison says from which difference on it would find a frame.
"""

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import NormalDist, median
from typing import Final

from passport.physics.uncertainty import Estimate
from passport.physics.units import N_PER_LBF
from passport.records.language.worded import unsaid
from passport.records.load import Content
from passport.workshop.facts.bedfacts import BatchFacts, BatchMember, BatchVerdict
from passport.workshop.strings.beds import Bed, BedBook, Ring

TOLERANCE: Final = 0.2 * N_PER_LBF
"""Spread that a batch may have where the workshop states none, N (common practice, no source)."""

QUESTIONED: Final = 0.05
"""Of batches of equal frames the share that may be called uneven, at the stated repeatability of the reader."""

FOUND: Final = 0.95
"""How surely a frame is found that is off by as much as a comparison says that it finds."""

LOW_CAUSES: Final = (
    unsaid("a clamp that slipped"),
    unsaid("a knot that drew in"),
    unsaid("a pull set too low or a tension head that was knocked"),
    unsaid("a pre-stretch left out"),
    unsaid("a heavier string or another gauge off the wrong reel"),
    unsaid("a crack in the hoop"),
)
"""What to look for where a bed reads below the others of its batch (common practice, no source); to be put into words."""

HIGH_CAUSES: Final = (
    unsaid("a pull set too high"),
    unsaid("a string pulled twice"),
    unsaid("a lighter string or another gauge off the wrong reel"),
    unsaid("an age noted wrong"),
)
"""What to look for where a bed reads above the others of its batch (common practice, no source); to be put into words."""


@dataclass(frozen=True, slots=True)
class Member:
    """One bed of a batch: the reading it is judged by, its tension at the batch's age and the uncertainty ``u``, N."""

    bed: Bed
    ring: Ring
    level: float
    u: float

    @property
    def step(self) -> float:
        """What one step of the last digit shown is worth, N."""
        return self.ring.correction.digits * math.sqrt(12) * self.level


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch at one age (minutes): ``members`` in the order of the records, ``spread`` and ``tolerance`` in N.

    ``worked_out``: the levels are bed tensions worked out from frequencies; else tensions that a reader showed.
    ``odd`` does not belong to the others: it is off their mean by ``odd_by`` N. ``finds``: by how many N a frame has to
    be off the others to be found in 95 of 100.
    """

    day: date
    age: float
    members: tuple[Member, ...]
    worked_out: bool
    spread: float
    tolerance: float
    verdict: BatchVerdict
    finds: float
    odd: Member | None = None
    odd_by: float = 0.0

    @property
    def middle(self) -> float:
        """The middle of the levels, N."""
        return median(member.level for member in self.members)

    @property
    def causes(self) -> tuple[str, ...]:
        """What to look for where there is an odd one, likeliest first; to be put into words."""
        return (LOW_CAUSES if self.odd_by < 0 else HIGH_CAUSES) if self.odd else ()


def batches(book: BedBook, content: Content, *, still_in: bool = False) -> tuple[Batch, ...]:
    """All batches of a workshop in which two frames or more can be compared, oldest first.

    A batch is one player's frames of one model, strung on one day with the same strings, pulls and pieces. With
    ``still_in`` only those of which some bed has not been cut out.
    """
    stated = content.workshop.record.tolerances.batch if content.workshop else None
    tolerance = stated.value if stated else TOLERANCE
    table: dict[tuple[object, ...], list[Bed]] = {}
    for name, beds in book.beds.items():
        for bed in beds:
            model = content.frames[name].record.model
            table.setdefault((bed.strung, name.partition("/")[0], model, recipe(bed)), []).append(bed)
    wanted = (beds for beds in table.values() if len(beds) > 1 and not (still_in and all(bed.until for bed in beds)))
    found = (batch for beds in wanted for batch in _compared(beds, book, tolerance))
    return tuple(sorted(found, key=lambda batch: batch.day))


def recipe(bed: Bed) -> tuple[object, ...]:
    """What makes two beds of one model the same job: strings, gauges, pulls by zone and all, pre-stretch, pieces."""
    parts = tuple(
        (
            s.string,
            s.gauge.value if s.gauge else None,
            round(s.tension.value, 3),
            s.prestretch.value if s.prestretch else 0.0,
        )
        for s in bed.stringing.both
    )
    # frames of one job of which only some say how many pieces were strung alike for all that is known
    zones = bed.stringing.zones.zones if bed.stringing.zones else ()
    return (*parts, zones, bed.stringing.worked_out[0] or 1)


def _compared(beds: Sequence[Bed], book: BedBook, tolerance: float) -> Iterator[Batch]:
    """The comparison of one batch: in Hz or as shown, whichever more of its frames were read in."""
    groups = [
        [(bed, ring) for bed in beds if (ring := bed.fresh_ring) and ring.scale == scale] for scale in ("Hz", "tension")
    ]
    group = max(groups, key=len)
    if len(group) > 1:
        age = median(ring.age or 0.0 for _, ring in group)
        first = group[0][1].correction
        members = [m for bed, ring in group if (m := _member(bed, ring, age, book, ring.correction.apart(first)))]
        if len(members) > 1:
            yield judged(members, age, tolerance)


def _member(bed: Bed, ring: Ring, age: float, book: BedBook, apart: float) -> Member | None:
    """A bed's tension at the batch's age, from its first reading; None where it cannot be worked out.

    ``apart``: what a check of the reader leaves open, where another one corrected the first frame's reading.
    """
    aged = ring.aged()
    if aged is None:
        return None
    aged = replace(aged, u=math.hypot(aged.u * book.noise(bed).factor, aged.value * apart))
    moved = book.life(bed).moved(aged, age)
    share = moved.u / moved.value
    if not ring.hertz:
        return Member(bed, ring, moved.value, moved.value * share)
    held = book.held(bed, ring)
    if held is None:
        return None
    level = held.value * moved.value / aged.value
    return Member(bed, ring, level, level * share)


def judged(members: Sequence[Member], age: float, tolerance: float) -> Batch:
    """The spread against the tolerance and against what the readings leave open, and who does not belong."""
    spread, verdict = _spread(members), _verdict(members, tolerance)
    odd = _odd(members, tolerance) if verdict == "outside" else None
    return Batch(
        day=members[0].bed.strung,
        age=age,
        members=tuple(members),
        worked_out=members[0].ring.hertz,
        spread=spread,
        tolerance=tolerance,
        verdict=verdict,
        finds=_finds(members, tolerance),
        odd=odd,
        odd_by=_off(members)[members.index(odd)].value if odd else 0.0,
    )


def _spread(members: Sequence[Member]) -> float:
    """Highest less lowest level, N."""
    levels = [m.level for m in members]
    return max(levels) - min(levels)


def _off(members: Sequence[Member]) -> list[Estimate]:
    """How far each level is off the mean of the others, N.

    Equal frames lie in one step of the display, so what is lost by it does not average out among the others.
    """
    others = len(members) - 1
    level = math.fsum(m.level for m in members)
    digits = max(m.step for m in members) / math.sqrt(12)
    squares = [max(0.0, m.u**2 - m.step**2 / 12) for m in members]
    total = math.fsum(squares)
    return [
        Estimate(m.level - (level - m.level) / others, math.sqrt(own + (total - own) / others**2 + 2 * digits**2))
        for m, own in zip(members, squares, strict=True)
    ]


def _limit(members: Sequence[Member], off: Estimate) -> float:
    """How far a frame may be off where all are equal, N: a two-sided test of each frame (Bonferroni).

    Of two frames each is off by as much as the other, which is one test. Equal frames may also show neighbouring
    figures, however well a coarse display repeats them.
    """
    tests, step = len(members) if len(members) > 2 else 1, max(m.step for m in members) * (1 + 1e-6)
    noise = NormalDist().inv_cdf(1 - QUESTIONED / tests / 2) * off.u
    return max(
        noise + step / 2 / (len(members) - 1), step
    )  # what is shown differs by whole steps, shared by the others


def _verdict(members: Sequence[Member], tolerance: float) -> BatchVerdict:
    """Inside up to the tolerance; beyond it outside only where equal frames would hardly read so."""
    if len(members) < 2 or _spread(members) <= tolerance + 1e-9:
        return "inside"
    return "outside" if any(abs(off.value) > _limit(members, off) for off in _off(members)) else "undecided"


def _finds(members: Sequence[Member], tolerance: float) -> float:
    """The difference from which on a frame is found as surely as `FOUND`, N: of the frame that is known worst.

    What is shown in steps differs by steps, so the limits are taken at the middle of the step in which they lie.
    """
    worst, step = max(_off(members), key=lambda off: off.u), max(m.step for m in members)
    limits = ((_limit(members, worst), step / (len(members) - 1)), (tolerance, step))
    reached = max((math.floor(limit / fine + 1e-9) + 0.5) * fine if fine else limit for limit, fine in limits)
    return reached + NormalDist().inv_cdf(FOUND) * worst.u


def _odd(members: Sequence[Member], tolerance: float) -> Member | None:
    """The one frame without which the others would agree; None for two frames, or where it is not just one."""
    if len(members) < 3:
        return None
    off = _off(members)
    furthest = max(range(len(members)), key=lambda i: abs(off[i].value) / off[i].u)
    others = [m for i, m in enumerate(members) if i != furthest]
    return members[furthest] if _verdict(others, tolerance) != "outside" else None


def batch_facts(batch: Batch, content: Content) -> BatchFacts:
    """A batch as a page or a sheet shows it."""
    records = {m.bed.frame: content.frames[m.bed.frame].record for m in batch.members}
    members = tuple(
        BatchMember(
            number=records[m.bed.frame].number,
            label=records[m.bed.frame].label,
            amount=m.ring.shown.amount,
            unit=m.ring.shown.unit,
            age=m.ring.age or 0.0,
            off=m.level - batch.middle,
            odd=m is batch.odd,
        )
        for m in batch.members
    )
    return BatchFacts(
        day=batch.day,
        age=batch.age,
        members=members,
        worked_out=batch.worked_out,
        spread=batch.spread,
        tolerance=batch.tolerance,
        verdict=batch.verdict,
        finds=batch.finds,
        odd_by=batch.odd_by,
        odd_until=batch.odd.bed.until if batch.odd else None,
        causes=batch.causes,
    )


def worth_showing(found: Sequence[Batch], frames: Collection[str], *, past: bool) -> tuple[Batch, ...]:
    """Of the batches that lie wholly in a group of frames: the newest, and with ``past`` those that did not agree.

    The newest comes first; without ``past`` it is shown only while it is still strung.
    """
    own = [b for b in found if all(m.bed.frame in frames for m in b.members)]
    newest = own[-1:] if past else [b for b in own[-1:] if all(m.bed.until is None for m in b.members)]
    earlier = [b for b in own[:-1] if b.verdict == "outside"] if past else []
    return (*newest, *reversed(earlier))


def batches_of(content: Content, frames: Collection[str]) -> tuple[BatchFacts, ...]:
    """What a sheet says of frames, ``player/frame``, that were strung in one go: see `worth_showing`."""
    found = batches(BedBook(content), content)
    return tuple(batch_facts(batch, content) for batch in worth_showing(found, frames, past=True))
