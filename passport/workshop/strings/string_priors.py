"""What a workshop knew of its strings and its reader at a time, from the readings of its beds taken until then.

A bed is believed to lose tension like the beds of its string that had been read when it was strung, and its readings
to scatter as those of the workshop did. So what is said of a bed rests on what stands in the records for good, and a
reading taken today changes no page of an older stringing.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Final

from passport.physics import pooling
from passport.physics.ageing import AgedReading, Rate
from passport.physics.bedfit import STATED, Noise
from passport.workshop.facts.bedfacts import Playing

POOL_SIZE: Final = 40
"""How many other beds of a string, the newest ones, speak for a bed with few readings of its own."""

NOISE_BEDS: Final = 60
"""How many beds of the workshop, the newest of each string, tell how far readings scatter: more would hardly tell more."""

ENOUGH_PLAYED: Final = 5
"""From how many beds with noted hours on a string's other beds say nothing of one whose hours are noted."""

String = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Evidence:
    """What one bed told of its string and of the reader: its readings and its hours of play, each with its day.

    ``frame`` and ``job`` name the bed, ``string`` is that of mains and crosses. A reading is its day, age in minutes,
    value, standard uncertainty and scale; a note of play its day, age in minutes and hours.
    """

    frame: str
    job: int
    string: String
    strung: date
    readings: tuple[tuple[date, float, float, float, str], ...]
    played: tuple[tuple[date, float, float], ...] = ()

    def by(self, day: date, *, played: bool = False) -> tuple[AgedReading, ...]:
        """The readings before a day, with the hours of play noted before it where those are asked for."""
        notes = [(age, hours) for taken, age, hours in self.played if taken < day] if played else []
        pace = max((hours / age for age, hours in notes[-1:]), default=0.0)
        playing = Playing.of(notes, pace)
        return tuple(
            AgedReading(minutes, value, u, scale, playing.at(minutes))
            for taken, minutes, value, u, scale in self.readings
            if taken < day
        )

    def noted(self, day: date) -> bool:
        """Whether hours of play were noted before a day."""
        return any(taken < day for taken, _, _ in self.played)


class StringPriors:
    """What all beds of a workshop told, asked for what was known at the beginning of the month of a stringing.

    One month's start stands for all its days, so that frames strung in one go are judged by the same belief.
    """

    def __init__(self, told: Iterable[Evidence]) -> None:
        """Sort what was told; what is asked of it is worked out once."""
        self._by_string: dict[String, list[Evidence]] = {}
        # Sorted, since several processes bring them in any order, and sums of floats depend on it.
        for one in sorted(told, key=lambda t: (t.strung, t.frame, t.job)):
            self._by_string.setdefault(one.string, []).append(one)
        self._beliefs: dict[tuple[String, date, bool], Rate] = {}
        self._noises: dict[date, Noise] = {}
        self._scatters: dict[date, float] = {}

    def belief(self, string: String, strung: date, *, played: bool = False) -> Rate:
        """What was believed of a bed of a string before its own readings: the beds before it, or the stated prior.

        With ``played``, for a bed whose hours of play are known, the loss in an hour is told apart from that of age;
        without, the rate holds what such beds usually lose by play.
        """
        # Part of the key, not only of the sum: a hundred beds of one month ask for the same belief.
        known_by = strung.replace(day=1)
        key = (string, known_by, played)
        if key not in self._beliefs:
            noise = self.noise(strung)
            found = (bed.by(known_by, played=played) for bed in self._speaking(string, known_by, played=played))
            self._beliefs[key] = pooling.pool([pooling.line_of(bed, noise) for bed in found], noise)
        return self._beliefs[key]

    def noise(self, strung: date) -> Noise:
        """How far readings had scattered about the law within the workshop's beds, against what is stated."""
        known_by = strung.replace(day=1)
        if known_by not in self._noises:
            # Shared out over the strings, so that the one that is strung most does not speak for all of them.
            share = max(3, NOISE_BEDS // max(1, len(self._by_string)))
            strings = (
                [bed.by(known_by, played=True) for bed in islice(self._newest(string, known_by, 3), share)]
                for string in self._by_string
            )
            self._noises[known_by] = pooling.noise_of(strings, STATED)
        return self._noises[known_by]

    def scatter(self, strung: date) -> float:
        """How far the rate of loss scatters from bed to bed of one string, as a standard deviation."""
        known_by = strung.replace(day=1)
        if known_by not in self._scatters:
            noise = self.noise(strung)
            strings = (
                [pooling.line_of(bed.by(known_by), noise) for bed in self._speaking(string, known_by, played=False)]
                for string in self._by_string
            )
            self._scatters[known_by] = pooling.scatter_of(strings, noise)
        return self._scatters[known_by]

    def _speaking(self, string: String, known_by: date, *, played: bool) -> list[Evidence]:
        """The newest beds of a string that had told something: with ``played`` those with hours, if there are enough."""
        if played:
            noted = (bed for bed in self._newest(string, known_by, 2) if bed.noted(known_by))
            found = list(islice(noted, POOL_SIZE))
            if len(found) >= ENOUGH_PLAYED:
                return found
        return list(islice(self._newest(string, known_by, 2), POOL_SIZE))

    def _newest(self, string: String, known_by: date, least: int) -> Iterator[Evidence]:
        """The beds of a string strung before a day with so many readings by then, the newest first."""
        beds = self._by_string.get(string, [])
        before = beds[: bisect_left(beds, known_by, key=lambda bed: bed.strung)]
        return (bed for bed in reversed(before) if sum(row[0] < known_by for row in bed.readings) >= least)
