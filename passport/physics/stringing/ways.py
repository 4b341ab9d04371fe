"""The usual ways to string a frame, and what follows from each of where mains and crosses start.

Mains start in the middle at one end and go outwards on both sides, turning at alternate ends: with an even number on a
side they end where they started, with an odd number at the other end (plain counting). Where one main lies in the middle
it is strung with one of the sides, which has one more then and ends at the other end than its neighbour. From there it
follows where the crosses of a string in one piece can begin:

- ``one piece``: the short side strings its mains and is tied off; the long side goes on from its outermost main to the
  nearest cross.
- ``around the world``: the short side leaves out its outermost main. The long side weaves the nearest cross over to it,
  strings it, and is then at the other end of the head, where it begins with the rest of the crosses.
- ``box``: both sides leave out their outermost main. The long side weaves the nearest cross, strings the short side's
  outermost main, weaves the last cross back and strings its own: back where it was, with the rest of the crosses to do.
- ``two pieces``: mains and crosses have each their own string, and crosses begin at either end.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from passport.physics.stringing.holes import Hand, opposite, other_hand
from passport.physics.stringpath import End, Side

Way = Literal["one piece", "two pieces", "around the world", "box", "own"]

PIECES: Final[dict[Way, int]] = {"one piece": 1, "around the world": 1, "box": 1, "two pieces": 2}
"""Pieces of string of each way; the workshop's ``own`` may have either."""


@dataclass(frozen=True, slots=True)
class Strand:
    """One string in the bed: a main by its side and number from the centre, a cross by its number from the head."""

    of: Side
    number: int
    hand: Hand | None = None

    def __str__(self) -> str:
        """As a person names it, ``main 8 on the left`` or ``cross 19``."""
        if self.hand and self.number == 0:
            return "the centre main"
        return f"main {self.number} on the {self.hand}" if self.hand else f"cross {self.number}"


Arm = tuple[Strand, ...]


@dataclass(frozen=True, slots=True)
class StrungWay:
    """How a frame is strung, as far as it is known: the way, where mains and crosses start, the short side, and the side that
    a main in the middle is strung with."""

    way: Way | None = None
    mains_start: End | None = None
    crosses_start: End | None = None
    short: Hand | None = None
    centre: Hand | None = None


@dataclass(frozen=True, slots=True)
class Misfit:
    """What cannot be strung: the ``field`` that it breaks at, a sentence, and what is ``nearest`` and can be strung."""

    field: str
    what: str
    nearest: tuple[StrungWay, ...] = ()


def mains_end(half: int, start: End) -> End:
    """Where ``half`` mains a side end that start at ``start``."""
    return start if half % 2 == 0 else opposite(start)


def crosses_begin(way: Way, half: int, start: End) -> End | None:
    """Where the crosses (of ways that go round the frame: the rest of them) have to begin; None where both will do."""
    if way == "one piece":
        return mains_end(half, start)
    return opposite(mains_end(half, start)) if way in ("around the world", "box") else None


def short_end(way: Way, half: int, start: End) -> End:
    """Where the short side's last main ends; in two pieces where either side does."""
    return mains_end(half - (way in ("around the world", "box")), start)


def completed(told: StrungWay, half: int, *, odd: bool = False) -> StrungWay | Misfit:
    """What was told with the start that follows from the other one, or the reason why it cannot be strung.

    With an ``odd`` number of mains, ``half`` on each side of the one in the middle, it follows from both starts with which
    side that one is strung; from one start alone nothing follows. In two pieces either side is the same path, mirrored.
    """
    if told.way is None or told.way in ("own", "two pieces"):
        return replace(told, centre="right") if odd and told.way == "two pieces" else told
    if odd:
        if not (told.mains_start and told.crosses_start):
            return told
        short = told.short or "left"
        longer = crosses_begin(told.way, half + 1, told.mains_start) == told.crosses_start
        return replace(told, centre=other_hand(short) if longer else short)
    for start in ("throat", "head"):
        begin = crosses_begin(told.way, half, start)
        if told.mains_start in (None, start) and told.crosses_start in (None, begin):
            if told.mains_start or told.crosses_start:
                return replace(told, mains_start=start, crosses_start=begin)
            return told
    what = _parity(told, half)
    return Misfit("crosses_start", what, tuple(_nearest(told, half)))


def _parity(told: StrungWay, half: int) -> str:
    assert told.way and told.mains_start and told.crosses_start
    end, begin = mains_end(half, told.mains_start), crosses_begin(told.way, half, told.mains_start)
    count = f"{half} mains a side that start at the {told.mains_start} end at the {end}"
    if told.way == "one piece":
        return f"{count}, so one piece cannot go on from them to crosses at the {told.crosses_start}."
    return f"{count}, and {told.way} takes the string to the {begin}, so the crosses cannot begin at the {told.crosses_start}."


def _nearest(told: StrungWay, half: int) -> Iterator[StrungWay]:
    """Ways that can be strung, those first that keep most of what was told."""
    assert told.mains_start and told.way
    kept = replace(told)
    if told.way == "one piece":
        yield replace(kept, way="around the world")
    else:
        yield replace(kept, way="one piece")
    yield replace(kept, way="two pieces")
    yield replace(kept, crosses_start=crosses_begin(told.way, half, told.mains_start))
    yield replace(kept, mains_start=opposite(told.mains_start))


def arms(strung: StrungWay, half: int, crosses: int) -> tuple[tuple[Arm, Arm], Arm]:
    """The order of the strings: the two arms that leave the middle of the mains (the short one first; left and right in
    two pieces), and the crosses that are a piece of their own. Needs a way of :data:`PIECES` and its starts.
    """
    short = strung.short or "left"
    long = other_hand(short)
    near, far = (1, crosses) if strung.crosses_start == "head" else (crosses, 1)
    step = 1 if near == 1 else -1
    order = [Strand("crosses", n) for n in range(near, far + step, step)]
    first = {hand: 0 if hand == strung.centre else 1 for hand in (short, long)}
    sides = {hand: tuple(Strand("mains", k, hand) for k in range(first[hand], half + 1)) for hand in (short, long)}
    if strung.way == "two pieces":
        return (sides["left"], sides["right"]), tuple(order)
    outer = sides[short][-1]
    if strung.way == "around the world":  # the cross that the mains end at comes first, the crosses begin opposite
        return (sides[short][:-1], (*sides[long], order[-1], outer, *order[:-1])), ()
    if strung.way == "box":
        around = (order[0], outer, order[-1], sides[long][-1])
        return (sides[short][:-1], (*sides[long][:-1], *around, *order[1:-1])), ()
    return (sides[short], (*sides[long], *order)), ()
