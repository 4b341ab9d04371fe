"""Facts about string beds: what a page, a card or a sheet says of their life, as plain immutable values.

Tensions in N, frequencies in Hz, ages in minutes, losses and what is left as shares of the fresh tension. A pull
tension, a reading and a bed tension are three different numbers; each has its own place here.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Final, Literal

from passport.physics.uncertainty import COVERAGE


@dataclass(frozen=True, slots=True)
class Playing:
    """Hours played by age: ``notes`` are pairs of an age in minutes and hours, growing; ``pace`` is hours a minute.

    Between notes play is taken as even; after the last one, or without any, it goes on at the pace.
    """

    notes: tuple[tuple[float, float], ...] = ()
    pace: float = 0.0

    @classmethod
    def of(cls, noted: Iterable[tuple[float, float]], pace: float = 0.0) -> "Playing":
        """From notes in any order; one that says less than an earlier one is left out."""
        notes: list[tuple[float, float]] = []
        for age, hours in sorted(noted):
            if not notes or (age > notes[-1][0] and hours >= notes[-1][1]):
                notes.append((age, hours))
        return cls(tuple(notes), pace)

    def at(self, minutes: float) -> float:
        """Hours played at an age in minutes."""
        points = ((0.0, 0.0), *self.notes)
        for (start, before), (end, after) in pairwise(points):
            if minutes <= end:
                return before + (after - before) * (minutes - start) / (end - start)
        age, hours = points[-1]
        return hours + self.pace * (minutes - age)

    @property
    def known(self) -> bool:
        """Whether anything is known of the play at all."""
        return bool(self.notes) or self.pace > 0


NOT_PLAYED: Final = Playing()
"""Nothing is known of the play."""


FRESH_MINUTES: Final = 15.0
"""Age at which a string bed counts as fresh: when it is read before it leaves the bench (common practice, no source)."""

DAY_MINUTES: Final = 1440.0
"""Minutes in a day."""

DueKind = Literal["plays", "loss", "hours"]
BatchVerdict = Literal["inside", "outside", "undecided"]


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of the fresh tension, a share of it, with its 95 % band."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class BedPoint:
    """One reading in the life of a bed, as the reader showed it.

    ``age`` in minutes, worked out from the dates where ``dated``, None where nobody knows it. ``left`` is the reading
    as a share of the bed's fresh one (a tension: of a frequency its square), None without an age.
    """

    amount: float
    unit: str
    taken: date
    age: float | None
    left: float | None
    dated: bool = False


@dataclass(frozen=True, slots=True)
class HeldTension:
    """The bed tension worked out from a reading in Hz: N in mains and crosses, and the standard uncertainty as a share.

    ``hz``, ``age`` and ``taken`` are those of the reading that it was worked out from.
    """

    mains: float
    crosses: float
    u: float
    hz: float
    age: float
    taken: date


@dataclass(frozen=True, slots=True)
class BedLife:
    """The life of one string bed.

    ``rate``: share of the fresh tension lost in each decade of age, with its standard uncertainty ``rate_u``.
    ``play`` and ``play_u`` are the same for each hour of play, ``covariance`` that of both, ``playing`` the hours by age.
    ``source``: where it comes from: the bed's own readings, other beds of the same string at this workshop (``pooled``
    of them), or the stated prior. ``own_share``: how much the bed's own ``readings`` carry of it, 0 … 1.
    ``string`` names the string, of a hybrid both.
    """

    strung: date
    until: date | None
    string: str
    points: tuple[BedPoint, ...]
    rate: float
    rate_u: float
    source: Literal["own", "pooled", "prior"]
    own_share: float
    readings: int
    pooled: int
    held: HeldTension | None = None
    play: float = 0.0
    play_u: float = 0.0
    covariance: float = 0.0
    playing: Playing = NOT_PLAYED

    def left(self, minutes: float) -> Left:
        """What is left at an age in minutes, which must be above 0, with the play noted or expected by then."""
        decades, hours = math.log10(minutes / FRESH_MINUTES), self.playing.at(minutes)
        value = 1 - self.rate * decades - self.play * hours
        cross = 2 * self.covariance * decades * hours
        variance = (self.rate_u * decades) ** 2 + (self.play_u * hours) ** 2 + cross
        reach = COVERAGE * math.sqrt(max(0.0, variance))
        return Left(value, max(0.0, value - reach), value + reach)

    def left_on(self, day: date) -> Left:
        """What is left at noon of a day after the stringing, or a day after it where that is the same day."""
        days = (day - self.strung).days
        return self.left((days + 0.5) * DAY_MINUTES if days > 0 else DAY_MINUTES)

    @property
    def last(self) -> BedPoint | None:
        """The latest reading whose age is known."""
        aged = [p for p in self.points if p.age is not None]
        return max(aged, key=lambda p: p.age or 0.0) if aged else None


@dataclass(frozen=True, slots=True)
class DueReason:
    """One reason to restring, and its day.

    ``amount``: times a week that the player plays, the share of the fresh tension that may be lost, or the minutes
    that the strings may be played. ``early`` and ``late``: the 95 % band of a day worked out from a loss; ``late`` is
    None where it may never come. ``weekly``: minutes played a week, where those were noted.
    """

    kind: DueKind
    day: date
    amount: float
    early: date | None = None
    late: date | None = None
    weekly: float = 0.0


@dataclass(frozen=True, slots=True)
class DueFacts:
    """When the strings are due: all reasons, the earliest first; that one is the day.

    ``soon``: the day from which it is time to plan the next stringing.
    """

    reasons: tuple[DueReason, ...]
    soon: date

    @property
    def first(self) -> DueReason:
        """The reason that comes first."""
        return self.reasons[0]

    @property
    def day(self) -> date:
        """The day by which to restring."""
        return self.first.day


@dataclass(frozen=True, slots=True)
class HoldFacts:
    """Two strings of one frame compared by what was left at the same age.

    ``better`` kept ``points`` (a share of the fresh tension, with its 95 % band ``low`` … ``high``) more than
    ``other`` after ``days``; ``told`` is False where the readings do not tell them apart. ``beds``: of each, how many
    beds were read often enough.
    """

    better: str
    other: str
    days: int
    points: float
    low: float
    high: float
    beds: tuple[int, int]
    told: bool


@dataclass(frozen=True, slots=True)
class BatchMember:
    """One frame of a batch: its reading as shown, and how far its tension is from the middle of the batch, N."""

    number: str
    label: str
    amount: float
    unit: str
    age: float
    off: float
    odd: bool = False


@dataclass(frozen=True, slots=True)
class BatchFacts:
    """Frames strung in one go with the same recipe, compared at one age (``age`` in minutes).

    ``finds``: by how many N a frame has to be off the others to be found in 95 of 100.
    ``spread`` and ``tolerance`` in N: of bed tensions worked out from frequencies where ``worked_out``, else of the
    tensions that the reader showed. The frame that does not belong, if there is one, is ``odd_by`` N off the mean of
    the others and was in until ``odd_until`` (None: it still is); ``causes`` are what to look for.
    """

    day: date
    age: float
    members: tuple[BatchMember, ...]
    worked_out: bool
    spread: float
    tolerance: float
    verdict: BatchVerdict
    finds: float = 0.0
    odd_by: float = 0.0
    odd_until: date | None = None
    causes: tuple[str, ...] = ()

    @property
    def odd(self) -> BatchMember | None:
        """The frame that does not belong."""
        return next((m for m in self.members if m.odd), None)
