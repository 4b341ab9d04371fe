"""When a frame should be restrung: by how often the player plays, by the loss of tension, by hours of play.

Each reason gives a day of its own, and the earliest wins. What nobody noted or stated gives no reason.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from passport.records.load import Content
from passport.records.schema.player import Player, PlayerContact
from passport.records.schema.workshop import Restring
from passport.workshop.facts.bedfacts import DAY_MINUTES, FRESH_MINUTES, BedLife, DueFacts, DueReason, Left
from passport.workshop.strings.beds import Bed, BedBook
from passport.workshop.strings.life import bed_life

FURTHEST: Final = 3650
"""Days after which a bed that would still hold is not called due by its loss at all."""

_TRIED = 80  # ages until then at which the loss is looked at before its day is found exactly

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
    found = [by_plays(bed, player), by_loss(bed_life(bed, book), restring), by_hours(bed, book, restring)]
    reasons = sorted((r for r in found if r), key=lambda r: r.day)
    if not reasons:
        return None
    return DueFacts(tuple(reasons), bed.strung + timedelta(days=round(SOON * (reasons[0].day - bed.strung).days)))


def by_plays(bed: Bed, player: Player) -> DueReason | None:
    """At least as many times a year as the player plays a week."""
    day = restring_by(bed.strung, player.plays_a_week)
    return DueReason("plays", day, player.plays_a_week or 0.0) if day else None


def by_loss(life: BedLife, restring: Restring) -> DueReason | None:
    """When the predicted loss reaches the share that the workshop states.

    Only where readings of this bed or of its string speak: the prior alone calls nothing due.
    """
    if not restring.loss or life.source == "prior":
        return None
    share = restring.loss.value / 100
    ends: tuple[Callable[[Left], float], ...] = (lambda x: x.value, lambda x: x.low, lambda x: x.high)
    best, early, late = (_day_of_loss(life, share, end) for end in ends)
    return DueReason("loss", best, share, early, late) if best else None


def _day_of_loss(life: BedLife, share: float, end: Callable[[Left], float]) -> date | None:
    """The day on which the best, the low or the high end of what is left falls to 1 less ``share``.

    The day after stringing at the soonest; None where it is not reached within the furthest.
    """
    start, far = math.log(FRESH_MINUTES), math.log(FURTHEST * DAY_MINUTES)
    ages = [start + (far - start) * i / _TRIED for i in range(_TRIED + 1)]
    gone = next((i for i, age in enumerate(ages) if end(life.left(math.exp(age))) <= 1 - share), None)
    if not gone:
        return None
    low, high = ages[gone - 1], ages[gone]
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (middle, high) if end(life.left(math.exp(middle))) > 1 - share else (low, middle)
    return life.strung + timedelta(days=max(1, round(math.exp(high) / DAY_MINUTES)))


def by_hours(bed: Bed, book: BedBook, restring: Restring) -> DueReason | None:
    """When the strings will have been played as long as the workshop lets a string of that material be played.

    The pace is that of the bed's own latest note, else of the newest earlier bed of the frame that has one. Of two
    materials the one that lasts less decides.
    """
    pace = book.playing(bed).pace * 60
    materials = {book.strings[name].material for name in bed.string if name in book.strings}
    limits = [limit.value for m in sorted(materials) if (limit := getattr(restring.hours, m))]
    if not pace or not limits:
        return None
    limit = min(limits)
    day = bed.strung + timedelta(days=max(1, min(round(limit / pace / DAY_MINUTES), FURTHEST)))
    return DueReason("hours", day, limit, weekly=pace * 7 * DAY_MINUTES)


@dataclass(frozen=True, slots=True)
class DueEntry:
    """One frame with its due day, for the bench alone: it holds the player's private name and contact.

    ``due`` is None where there is no reason for any day. ``left``: what is left of the fresh tension on the day asked.
    ``told`` is when the player was told of it since the strings went in, ``messages`` whether the player wants any.
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
    told: date | None = None
    messages: bool = True


@dataclass(frozen=True, slots=True)
class DueRow:
    """What is worked out of one strung frame in play, without anything private: what is left follows for any day."""

    frame: str
    number: str
    label: str
    model: str
    strung: date
    due: DueFacts | None
    life: BedLife

    def on(self, today: date, player: Player) -> DueEntry:
        """The row as of a day, with its player's name and contact."""
        return DueEntry(
            frame=self.frame,
            number=self.number,
            label=self.label,
            model=self.model,
            player=player.name,
            full_name=player.full_name or player.name,
            contact=player.contact,
            strung=self.strung,
            due=self.due,
            left=self.life.left_on(today),
            told=max((day for day in self._told(player) if day >= self.strung), default=None),
            messages=player.messages != "no",
        )

    def _told(self, player: Player) -> Iterator[date]:
        """The days on which the player was told that the strings of this frame are due."""
        return (n.date for n in player.told if n.what == "due" and n.frame == self.number and n.date)

    @property
    def order(self) -> tuple[date, str]:
        """What is due first comes first; what has no due day comes last."""
        return (self.due.day if self.due else date.max, self.frame)


def due_list(content: Content, today: date) -> tuple[DueEntry, ...]:
    """Every strung frame in play, the one that is due first first; those without any due day come last."""
    rows = sorted(due_rows(content, BedBook(content)), key=lambda row: row.order)
    return tuple(row.on(today, content.players[row.frame.partition("/")[0]].record) for row in rows)


def due_rows(content: Content, book: BedBook) -> Iterator[DueRow]:
    """When each strung frame in play is due."""
    restring = content.workshop.record.restring if content.workshop else Restring()
    for name, entry in content.frames.items():
        frame, bed = entry.record, book.current(name)
        owner = content.players.get(name.partition("/")[0])
        model = content.models.get(frame.model)
        if bed and owner and model and frame.status == "active":
            yield DueRow(
                frame=name,
                number=frame.number,
                label=frame.label,
                model=f"{model.record.maker} {model.record.name}",
                strung=bed.strung,
                due=due_facts(bed, book, owner.record, restring),
                life=bed_life(bed, book),
            )
