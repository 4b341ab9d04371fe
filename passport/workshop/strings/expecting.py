"""What a fresh bed is expected to ring at before it is read, what a reading says that it holds, and at which ages the
other beds of its batch were read."""

from dataclasses import dataclass

from passport.physics.uncertainty import Estimate
from passport.records.load import Content
from passport.workshop.strings.batches import recipe
from passport.workshop.strings.beds import Bed, BedBook
from passport.workshop.strings.bedtension import forecast, membrane, pull_ratio


@dataclass(frozen=True, slots=True)
class FreshBed:
    """What is said of the bed in a frame: ``expected`` in Hz right after stringing, worked out from the pulls; ``held`` in N
    by the mains at the age of its first reading, worked out from that, and ``ratio``, what the crosses hold of it.

    None for what cannot be worked out: the model or the mass of a string is not known, or the reading is not in Hz.
    ``age`` is that of its first reading in minutes, ``others`` the numbers and ages of the beds of its batch that were read.
    """

    expected: Estimate | None
    held: Estimate | None
    ratio: float
    age: float | None
    others: tuple[tuple[str, float], ...]


def fresh_bed(content: Content, frame: str) -> FreshBed | None:
    """What is said of the bed that is in a frame now; None where nothing is known to be in it."""
    book = BedBook(content)
    bed = book.current(frame)
    model = book.model(bed) if bed else None
    if bed is None or model is None:
        return None
    known, ring = membrane(bed.stringing, model, book.strings), bed.fresh_ring
    return FreshBed(
        expected=forecast(known, bed.stringing, model) if known else None,
        held=book.held(bed, ring) if ring else None,
        ratio=pull_ratio(bed.stringing, model),
        age=ring.age if ring else None,
        others=tuple(_others(content, book, bed)),
    )


def _others(content: Content, book: BedBook, bed: Bed) -> list[tuple[str, float]]:
    """The beds of the same batch that were read: one player's frames of one model, strung on one day with one recipe."""
    owner, model = bed.frame.partition("/")[0], content.frames[bed.frame].record.model
    found: list[tuple[str, float]] = []
    for name, beds in book.beds.items():
        record = content.frames[name].record
        if name == bed.frame or name.partition("/")[0] != owner or record.model != model:
            continue
        rings = [b.fresh_ring for b in beds if b.strung == bed.strung and recipe(b) == recipe(bed)]
        found += [(record.number or record.label, ring.age) for ring in rings if ring and ring.age]
    return found
