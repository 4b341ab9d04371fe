"""How long a string bed had been played at any age, from the notes of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Final


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
