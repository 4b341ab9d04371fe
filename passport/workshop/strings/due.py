"""When a frame should be restrung: by how often the player plays, by the loss of tension, by hours of play.

Each reason gives a day of its own, and the earliest wins. What nobody noted or stated gives no reason.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from passport.physics.ageing import Ageing
from passport.physics.uncertainty import COVERAGE
from passport.records.load import Content
from passport.records.schema.player import Player, PlayerContact
from passport.records.schema.workshop import Restring
from passport.workshop.facts.bedfacts import DAY_MINUTES, FRESH_MINUTES, DueFacts, DueReason, Left
from passport.workshop.strings.beds import Bed, BedBook, fresh_slope
from passport.workshop.strings.life import bed_life

FURTHEST: Final = 3650
"""Days after which a bed that would still hold is not called due by its loss at all."""


SOON: Final = 0.75
"""Share of the time until strings are due after which it is time to plan the next stringing (common practice, no
source)."""


def restring_by(strung_on: date, plays_a_week: float | None) -> date | None:
    """The day by which strings should be renewed: at least as many times a year as the player plays a week.

    Common practice, no source. None where nobody noted how often the player plays.
    """
    if not plays_a_week:
        return None
    return strung_on + timedelta(days=int(365 / max(1.0, plays_a_week)))


def due_facts(bed: Bed, book: BedBook, player: Player, restring: Restring) -> DueFacts | None:
    """When a bed is due, with every reason, the earliest first; None where there is no reason at all."""
    found = [by_plays(bed, player), by_loss(bed, book.life(bed), restring), by_hours(bed, book, restring)]
    reasons = sorted((r for r in found if r), key=lambda r: r.day)
    if not reasons:
        return None
    return DueFacts(tuple(reasons), bed.strung + timedelta(days=round(SOON * (reasons[0].day - bed.strung).days)))


def by_plays(bed: Bed, player: Player) -> DueReason | None:
    """At least as many times a year as the player plays a week."""
    day = restring_by(bed.strung, player.plays_a_week)
    return DueReason("plays", day, player.plays_a_week or 0.0) if day else None


def by_loss(bed: Bed, life: Ageing, restring: Restring) -> DueReason | None:
    """When the predicted loss reaches the share that the workshop states.

    Only where readings of this bed or of its string speak: the prior alone calls nothing due.
    """
    if not restring.loss or life.source == "prior":
        return None
    share, rate = restring.loss.value / 100, fresh_slope(life.rate)
    best, early, late = (
        _day_of_loss(bed.strung, share, k)
        for k in (rate.value, rate.value + COVERAGE * rate.u, rate.value - COVERAGE * rate.u)
    )
    return DueReason("loss", best, share, early, late) if best else None


def _day_of_loss(strung: date, share: float, rate: float) -> date | None:
    """The day on which ``share`` of the fresh tension is lost, the day after stringing at the soonest."""
    decades = share / rate if rate > 0 else math.inf
    days = FRESH_MINUTES / DAY_MINUTES * 10**decades if decades < 12 else math.inf
    return strung + timedelta(days=max(1, round(days))) if days <= FURTHEST else None


def by_hours(bed: Bed, book: BedBook, restring: Restring) -> DueReason | None:
    """When the strings will have been played as long as the workshop lets a string of that material be played.

    The pace is that of the bed's own latest note, else of the newest earlier bed of the frame that has one. Of two
    materials the one that lasts less decides.
    """
    pace = _pace(bed, book.beds[bed.frame])
    materials = {book.strings[name].material for name in bed.string if name in book.strings}
    limits = [limit.value for m in sorted(materials) if (limit := getattr(restring.hours, m))]
    if not pace or not limits:
        return None
    limit = min(limits)
    day = bed.strung + timedelta(days=max(1, min(round(limit / pace / DAY_MINUTES), FURTHEST)))
    return DueReason("hours", day, limit, weekly=pace * 7 * DAY_MINUTES)


def _pace(bed: Bed, beds: Sequence[Bed]) -> float | None:
    """Minutes played in a minute of age, as last noted for this bed or one before it."""
    noted = [note for b in beds if b.job <= bed.job for note in b.played if note.fits and note.minutes > 0]
    return noted[-1].minutes / max(noted[-1].age, DAY_MINUTES) if noted else None


@dataclass(frozen=True, slots=True)
class DueEntry:
    """One frame with its due day, for the bench alone: it holds the player's private name and contact.

    ``due`` is None where there is no reason for any day. ``left``: what is left of the fresh tension on the day asked.
    """

    frame: str
    number: str
    label: str
    model: str
    player: str
    full_name: str
    contact: PlayerContact
    strung: date
    due: DueFacts | None
    left: Left


def due_list(content: Content, today: date) -> tuple[DueEntry, ...]:
    """Every strung frame in play, the one that is due first first; those without any due day come last."""
    return tuple(sorted(_entries(content, today), key=lambda e: (e.due.day if e.due else date.max, e.frame)))


def _entries(content: Content, today: date) -> Iterator[DueEntry]:
    book = BedBook(content)
    restring = content.workshop.record.restring if content.workshop else Restring()
    for name, entry in content.frames.items():
        frame, bed = entry.record, book.current(name)
        owner = content.players.get(name.partition("/")[0])
        model = content.models.get(frame.model)
        if bed and owner and model and frame.status == "active":
            player = owner.record
            yield DueEntry(
                frame=name,
                number=frame.number,
                label=frame.label,
                model=f"{model.record.maker} {model.record.name}",
                player=player.name,
                full_name=player.full_name or player.name,
                contact=player.contact,
                strung=bed.strung,
                due=due_facts(bed, book, player, restring),
                left=bed_life(bed, book).left_on(today),
            )
