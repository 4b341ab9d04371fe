"""The life of a string bed as facts: its readings beside each other, what is left, what it holds, where that is from."""

from passport.physics.ageing import Ageing
from passport.workshop.facts.bedfacts import BedLife, BedPoint, HeldTension
from passport.workshop.strings.beds import Bed, BedBook, Ring, fresh_slope, left
from passport.workshop.strings.bedtension import pull_ratio


def bed_life(bed: Bed, book: BedBook) -> BedLife:
    """The life of one bed."""
    life = book.life(bed)
    rate, playing = fresh_slope(life.rate), book.playing(bed)
    scale = rate.value / life.rate.value if life.rate.value else 1.0
    return BedLife(
        strung=bed.strung,
        until=bed.until,
        string=book.name_of(bed.string),
        points=tuple(_point(ring, life) for ring in bed.rings),
        rate=rate.value,
        rate_u=rate.u,
        play=life.play.value * scale,
        play_u=life.play.u * scale,
        covariance=life.covariance * scale**3,
        playing=playing,
        source=life.source,
        own_share=life.own_share,
        readings=life.readings,
        pooled=life.beds,
        held=_held(bed, book),
    )


def _point(ring: Ring, life: Ageing) -> BedPoint:
    aged, shown = ring.aged(), ring.shown
    share = left(life, aged) if aged else None
    return BedPoint(shown.amount, shown.unit, ring.taken, ring.age, share, ring.dated)


def _held(bed: Bed, book: BedBook) -> HeldTension | None:
    """The bed tension from the latest reading in Hz whose age is known."""
    rings = [ring for ring in bed.rings if ring.hertz and ring.age is not None]
    latest = max(rings, key=lambda ring: ring.age or 0.0, default=None)
    found = book.held(bed, latest) if latest else None
    if latest is None or found is None:
        return None
    crosses = found.value * pull_ratio(bed.stringing, book.model(bed))
    share = found.u / found.value
    return HeldTension(found.value, crosses, share, latest.value, latest.age or 0.0, latest.taken)
