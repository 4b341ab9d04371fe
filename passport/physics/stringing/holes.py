"""The holes of a hoop, numbered from the centre of each end as the trade counts them, and the string that each takes.

A hole is named by the hand that it lies on (seen from the front, tip up), the end that it is counted from, and its
number: ``8 at the throat, left``. Mains take the holes from the centre outwards; a hole that they skip is a cross's;
past the outermost main all holes are the crosses'. A hole on the side may be counted from either end. With an odd number
of mains one lies in the middle: its holes, numbered 0, are in the centre of each end.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from passport.physics.stringpath import End

Hand = Literal["left", "right"]

HANDS: Final[tuple[Hand, Hand]] = ("left", "right")
ENDS: Final[tuple[End, End]] = ("throat", "head")


def opposite(end: End) -> End:
    """The other end of the head."""
    return "head" if end == "throat" else "throat"


def other_hand(hand: Hand) -> Hand:
    """The other side of the racquet."""
    return "right" if hand == "left" else "left"


@dataclass(frozen=True, slots=True, order=True)
class Hole:
    """One hole: the side it lies on, the end it is counted from, its number from the centre, 1 first."""

    hand: Hand
    end: End
    number: int

    def __str__(self) -> str:
        """As a person names it, ``hole 8 at the throat, left``."""
        return (
            f"the centre hole at the {self.end}"
            if self.number == 0
            else f"hole {self.number} at the {self.end}, {self.hand}"
        )


@dataclass(frozen=True, slots=True)
class Drilled:
    """One hole with what it takes: the number of a main (from the centre) with that end, a cross (from the head), both
    where it is shared, none where it is left free; and its number from either end."""

    throat: int
    head: int
    main: tuple[End, int] | None = None
    cross: int | None = None


@dataclass(frozen=True, slots=True)
class Drilling:
    """All holes of a model, half of the ``mains`` a side.

    Where their number is odd, the main in the middle goes with one side, ``centre``, since the string goes on from it there;
    None while that is not known.

    Mains go past the ``skipped`` holes, which crosses take; nobody uses the ``blocked`` ones; a ``shared`` one takes a
    main and a cross. Of each only holes that are there make sense, see :meth:`faults`.
    """

    mains: int
    crosses: int
    skipped: tuple[Hole, ...] = ()
    blocked: tuple[Hole, ...] = ()
    shared: tuple[Hole, ...] = ()
    centre: Hand | None = None

    @property
    def half(self) -> int:
        """Mains on each side, without one in the middle."""
        return self.mains // 2

    def first(self, hand: Hand) -> int:
        """The number of the first main and its holes that go with a side: 0 where that is the one in the middle."""
        return 0 if hand == self.centre else 1

    def zone(self, hand: Hand, end: End) -> list[tuple[int, int | None, bool]]:
        """The holes from the centre to the outermost main: number, its main if any, whether a cross takes it."""
        found: list[tuple[int, int | None, bool]] = []
        main = number = self.first(hand) - 1
        while main < self.half:
            number += 1
            hole = Hole(hand, end, number)
            if hole in self.blocked:
                found.append((number, None, False))
            elif hole in self.skipped:
                found.append((number, None, True))
            else:
                main += 1
                found.append((number, main, hole in self.shared))
        return found

    def outermost(self, hand: Hand, end: End) -> int:
        """The number of the outermost main's hole."""
        return self.zone(hand, end)[-1][0]

    def faults(self) -> Iterator[tuple[str, str]]:
        """What does not agree, as the field it stands in (``skipped``, ``blocked``, ``shared``, ``crosses``) and a sentence."""
        for hole in sorted({*self.skipped, *self.shared}):
            last = self.outermost(hole.hand, hole.end)
            if hole.number >= last + (hole in self.shared):
                name, verb = ("shared", "share") if hole in self.shared else ("skipped", "skip")
                what = f"{self.half} mains a side end in {Hole(hole.hand, hole.end, last)}, so they {verb} no {hole}."
                yield name, what
        for hole in sorted({*self.blocked} & {*self.skipped, *self.shared}):
            yield "blocked", f"{str(hole).capitalize()} is blocked, so no string can take it."
        for hand in HANDS:
            left = self._side_crosses(hand)
            if left < 0:
                taken = self.crosses - left
                what = f"On the {hand} {taken} skipped or shared holes are the crosses', which are only {self.crosses}."
                yield "crosses", what
        for hole in sorted(self.blocked):
            if self._side_crosses(hole.hand) >= 0 and self.find(hole) is None:
                yield "blocked", f"There is no {hole}: that side has {len(self.row(hole.hand))} holes in all."

    def _side_crosses(self, hand: Hand) -> int:
        """How many crosses are left for the holes past the outermost mains."""
        return self.crosses - sum(cross for end in ENDS for _, _, cross in self.zone(hand, end))

    def row(self, hand: Hand) -> tuple[Drilled, ...]:
        """The holes of one side from the centre of the throat to the centre of the head."""
        return _row(self, hand)

    def laid_out(self, hand: Hand) -> tuple[Drilled, ...]:
        """:meth:`row`, worked out anew."""
        low, high = self.zone(hand, "throat"), self.zone(hand, "head")
        first, last = self.first(hand), {"throat": low[-1][0], "head": high[-1][0]}
        free = {h for h in self.blocked if h.hand == hand and h.number > last[h.end]}
        side = max(0, self._side_crosses(hand)) + len(free)
        total = len(low) + side + len(high)
        takes: list[tuple[tuple[End, int] | None, bool]] = [
            *((("throat", main) if main is not None else None, cross) for _, main, cross in low),
            *(
                (None, not {Hole(hand, "throat", i + first), Hole(hand, "head", total - 1 - i + first)} & free)
                for i in range(len(low), len(low) + side)
            ),
            *((("head", main) if main is not None else None, cross) for _, main, cross in reversed(high)),
        ]
        found, cross_number = [], self.crosses + 1
        for i, (main, cross) in enumerate(takes):
            cross_number -= cross
            found.append(Drilled(i + first, total - 1 - i + first, main, cross_number if cross else None))
        return tuple(found)

    def find(self, hole: Hole) -> int | None:
        """The place of a hole in its side's row, None where there is no such hole."""
        count, place = len(self.row(hole.hand)), hole.number - self.first(hole.hand)
        if not 0 <= place < count:
            return None
        return place if hole.end == "throat" else count - 1 - place

    def main_hole(self, hand: Hand, main: int, end: End) -> Hole:
        """The hole of one end of a main, ``main`` 1 next to the centre."""
        number = next(number for number, found, _ in self.zone(hand, end) if found == main)
        return Hole(hand, end, number)

    def cross_hole(self, hand: Hand, cross: int) -> Hole:
        """The hole of one end of a cross, ``cross`` 1 next to the head, counted from the nearer end."""
        drilled = next(each for each in self.row(hand) if each.cross == cross)
        if drilled.head <= drilled.throat:
            return Hole(hand, "head", drilled.head)
        return Hole(hand, "throat", drilled.throat)

    def apart(self, one: Hole, other: Hole) -> int:
        """How many holes further round the hoop, the short way, one hole lies from another."""
        first, second = self.find(one), self.find(other)
        if first is None or second is None:
            raise ValueError(f"there is no {one if first is None else other}")
        if one.hand == other.hand:
            return abs(first - second)
        rows = len(self.row(one.hand)) - 1 - first, len(self.row(other.hand)) - 1 - second
        return min(first + second, sum(rows)) + 1


@lru_cache(maxsize=512)
def _row(drilling: Drilling, hand: Hand) -> tuple[Drilled, ...]:
    return drilling.laid_out(hand)
