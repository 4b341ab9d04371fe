"""The string followed from hole to hole: every main and cross once, each string beginning where the last one ended.

A :class:`Route` is the whole way of the string, in order; what cannot be strung is a `passport.physics.stringing.ways.Misfit`
that names the place where it breaks.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from passport.physics.stringing.holes import HANDS, Drilling, Hand, Hole, opposite
from passport.physics.stringing.ways import Arm, Misfit, Strand, StrungWay, arms, completed
from passport.physics.stringpath import End, Side

REACH: Final = 10
"""How many holes further round the hoop a string may go outside from one hole to the next; more than that is another
place of the racquet (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Pass:
    """One string pulled through the bed: out of the hoop at ``start``, across, and through it again at ``stop``."""

    strand: Strand
    start: Hole
    stop: Hole


@dataclass(frozen=True, slots=True)
class Tie:
    """A tie-off as told: of the mains or the crosses, at which end, in which hole, on which side if that was told."""

    of: Side
    end: End
    number: int
    hand: Hand | None = None

    def __str__(self) -> str:
        """As a person names it, ``mains 6 throat``."""
        return f"{self.of} {self.number} {self.end}" + (f" {self.hand}" if self.hand else "")


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """An end of a piece: of which side, the hole that its last string leaves by, and the hole it is tied off in, if told."""

    of: Side
    hole: Hole
    strand: Strand
    tie: Hole | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of string from one end to the other, by its passes; the first ``before`` of them lie on the short side
    of its middle, which is laid where the mains start. 0 where it is pulled from one end."""

    passes: tuple[Pass, ...]
    ends: tuple[LooseEnd, LooseEnd]
    before: int = 0

    @property
    def one_way(self) -> bool:
        """Whether it is strung from one end to the other, as crosses of their own are."""
        return self.before == 0


@dataclass(frozen=True, slots=True)
class Route:
    """The whole string of a stringing in the holes of ``drilling``; ``numbered`` tells whether their numbers are known."""

    drilling: Drilling
    strung: StrungWay
    pieces: tuple[Piece, ...]
    numbered: bool = True

    @property
    def ends(self) -> tuple[LooseEnd, ...]:
        """All ends, each of which has its knot."""
        return tuple(end for piece in self.pieces for end in piece.ends)


def route(drilling: Drilling, strung: StrungWay, order: Sequence[Arm] = ()) -> Route | Misfit:
    """Follow a way, or the workshop's own ``order`` of arms: short and long side of the mains, then crosses if of their
    own. Needs to know where the mains start, and in two pieces where the crosses do.
    """
    if strung.mains_start is None:
        raise ValueError("a string is followed from where its mains start")
    if order:
        pair, own = (order[0], order[1]), (order[2] if len(order) > 2 else ())
    else:
        pair, own = arms(strung, drilling.half, drilling.crosses)
    missing = _once([*pair[0], *pair[1], *own], drilling)
    if missing:
        return missing
    found: list[tuple[Pass, ...]] = []
    for arm in pair:
        passes = _from_middle(drilling, arm, strung.mains_start)
        if isinstance(passes, Misfit):
            return passes
        found.append(passes)
    pieces = [_mains_piece(*found)]
    if own:
        crosses = _crosses(drilling, own)
        if isinstance(crosses, Misfit):
            return crosses
        pieces.append(Piece(crosses, (_end(crosses[0], crosses[0].start), _end(crosses[-1], crosses[-1].stop))))
    return _free_holes(Route(drilling, strung, tuple(pieces)))


def _mains_piece(short: tuple[Pass, ...], long: tuple[Pass, ...]) -> Piece:
    back = tuple(replace(each, start=each.stop, stop=each.start) for each in reversed(short))
    passes = (*back, *long)
    return Piece(passes, (_end(passes[0], passes[0].start), _end(passes[-1], passes[-1].stop)), len(short))


def _end(last: Pass, hole: Hole) -> LooseEnd:
    return LooseEnd(last.strand.of, hole, last.strand)


def _once(strands: Iterable[Strand], drilling: Drilling) -> Misfit | None:
    """Every main and every cross is strung once."""
    wanted = [Strand("mains", k, hand) for hand in HANDS for k in range(drilling.first(hand), drilling.half + 1)]
    wanted += [Strand("crosses", n) for n in range(1, drilling.crosses + 1)]
    found = Counter(strands)
    for strand in found:
        if strand not in set(wanted):
            middle = ", one in the centre" if drilling.mains % 2 else ""
            counts = f"{drilling.half} mains a side{middle} and {drilling.crosses} crosses"
            return Misfit("order", f"There is no {strand}: the pattern has {counts}.")
        if found[strand] > 1:
            return Misfit("order", f"{str(strand).capitalize()} is strung twice.")
    lacking = [strand for strand in wanted if not found[strand]]
    if lacking:
        more = f", nor are {len(lacking) - 1} more" if len(lacking) > 1 else ""
        return Misfit("order", f"{str(lacking[0]).capitalize()} is not strung{more}.")
    return None


def _from_middle(drilling: Drilling, arm: Arm, start: End) -> tuple[Pass, ...] | Misfit:
    """One arm from the middle of the mains outwards."""
    if not arm:
        return ()
    first = arm[0]
    if first.of != "mains" or first.hand is None or first.number != drilling.first(first.hand):
        return Misfit("order", f"{str(first).capitalize()} is not next to the middle, where the mains start.")
    begin, end = (drilling.main_hole(first.hand, first.number, each) for each in (start, opposite(start)))
    return _followed(drilling, arm, Pass(first, begin, end))


def _crosses(drilling: Drilling, own: Arm) -> tuple[Pass, ...] | Misfit:
    """Crosses in a piece of their own, from the left: nobody records the side, and the path is the same but mirrored."""
    first = own[0]
    if first.of != "crosses":
        return Misfit("order", f"The crosses' own piece cannot begin with {first}.")
    return _followed(drilling, own, Pass(first, *_holes(drilling, first)))


def _followed(drilling: Drilling, arm: Arm, first: Pass) -> tuple[Pass, ...] | Misfit:
    passes = [first]
    for strand in arm[1:]:
        at = passes[-1].stop
        start, stop = sorted(_holes(drilling, strand), key=lambda hole: drilling.apart(at, hole))
        if drilling.apart(at, start) > REACH:
            what = (
                f"{str(passes[-1].strand).capitalize()} ends in {at}, and {strand} begins in {start}: "
                f"{drilling.apart(at, start)} holes further round the hoop."
            )
            return Misfit("order", what)
        passes.append(Pass(strand, start, stop))
    return tuple(passes)


def _holes(drilling: Drilling, strand: Strand) -> tuple[Hole, Hole]:
    if strand.hand:
        throat, head = (drilling.main_hole(strand.hand, strand.number, end) for end in ("throat", "head"))
        return throat, head
    left, right = (drilling.cross_hole(hand, strand.number) for hand in ("left", "right"))
    return left, right


def _free_holes(found: Route) -> Route | Misfit:
    """No hole takes two strings unless it is shared."""
    seen: dict[tuple[Hand, int | None], Pass] = {}
    for piece in found.pieces:
        for each in piece.passes:
            for hole in (each.start, each.stop):
                place = (hole.hand, found.drilling.find(hole))
                other = seen.setdefault(place, each)
                if other is not each and not _shared(found.drilling, hole):
                    what = f"{str(hole).capitalize()} takes {other.strand} already, and {each.strand} as well."
                    return Misfit("shared", what)
    return found


def _shared(drilling: Drilling, hole: Hole) -> bool:
    return any(each.hand == hole.hand and drilling.find(each) == drilling.find(hole) for each in drilling.shared)


def tied(found: Route, ties: Sequence[Tie], *, strict: bool = True) -> Route | Misfit:
    """The route with its tie-offs told; ``strict`` False takes of the model's tie-off holes those that there is an end for.

    One told of the mains stands for both sides where both end there. Every end has one knot; a knot has a hole that is
    there and is not the one that its string comes out of; where holes are not numbered none is looked for.
    """
    ends, taken = list(found.ends), set[int]()
    for tie in ties:
        fits = [i for i, end in enumerate(ends) if _fits(found.drilling, tie, end)]
        free = [i for i in fits if i not in taken]
        problem = _tie_problem(found, tie, fits, free)
        if problem and strict:
            return problem
        if problem:
            continue
        alike = len([other for other in ties if (other.of, other.end) == (tie.of, tie.end)])
        for i in free if tie.of == "mains" and tie.hand is None and alike == 1 else free[:1]:
            taken.add(i)
            if found.numbered:
                ends[i] = replace(ends[i], tie=Hole(ends[i].hole.hand, tie.end, tie.number))
    rest = iter(ends)
    return replace(found, pieces=tuple(replace(piece, ends=(next(rest), next(rest))) for piece in found.pieces))


def _fits(drilling: Drilling, tie: Tie, end: LooseEnd) -> bool:
    hand = tie.hand in (None, end.hole.hand)
    return hand and tie.of == end.of and _end_of(drilling, end.hole) == tie.end


def _end_of(drilling: Drilling, hole: Hole) -> End:
    """The end that a hole is nearer to."""
    at = drilling.find(hole)
    return "throat" if at is not None and at < len(drilling.row(hole.hand)) / 2 else "head"


def _tie_problem(found: Route, tie: Tie, fits: Sequence[int], free: Sequence[int]) -> Misfit | None:
    own = [end for end in found.ends if end.of == tie.of]
    if not fits:
        places = [f"in {e.hole}" if found.numbered else f"at the {_end_of(found.drilling, e.hole)}" for e in own]
        where = " and ".join(dict.fromkeys(places))
        what = f"No end of the {tie.of} is at the {tie.end}{f' on the {tie.hand}' if tie.hand else ''}: "
        return Misfit("tie_offs", what + (f"they end {where}." if own else f"no piece ends with {tie.of}."))
    if not free:
        return Misfit("tie_offs", f"'{tie}' is one tie-off more than the {tie.of} have ends at the {tie.end}.")
    what = _no_knot(found.drilling, tie, found.ends[free[0]]) if found.numbered else ""
    return Misfit("tie_offs", what) if what else None


def _no_knot(drilling: Drilling, tie: Tie, end: LooseEnd) -> str:
    """Why an end cannot be tied off in a hole; empty where it can."""
    hole = Hole(end.hole.hand, tie.end, tie.number)
    place, row = drilling.find(hole), drilling.row(hole.hand)
    if place is None:
        return f"There is no {hole} to tie off in: that side has {len(row)} holes in all."
    if row[place].main is None and row[place].cross is None:
        return f"No string runs through {hole}, so nothing can be tied off on it."
    if place == drilling.find(end.hole):
        return f"{str(end.strand).capitalize()} comes out of {hole}, so it cannot be tied off in it."
    return ""


def tie_words(found: Route) -> str:
    """The holes that ends are tied off in, ``mains 6 throat; crosses 5 head and 11 throat``; empty where none is known."""
    said: dict[Side, dict[str, None]] = {"mains": {}, "crosses": {}}
    for end in found.ends:
        if end.tie:
            said[end.of][f"{end.tie.number} {end.tie.end}"] = None
    return "; ".join(f"{of} {' and '.join(holes)}" for of, holes in said.items() if holes)


@dataclass(frozen=True, slots=True)
class Threaded:
    """All that a string's path follows from, small enough to be kept: :meth:`route` follows it.

    ``numbered`` tells whether the holes' numbers are known, which is where the skipped ones are; ``strict`` tells
    tie-offs of this very stringing from those that the model offers, of which those are taken that there is an end for.
    """

    drilling: Drilling
    strung: StrungWay
    order: tuple[Arm, ...] = ()
    ties: tuple[Tie, ...] = ()
    numbered: bool = True
    strict: bool = True

    def route(self) -> Route | Misfit:
        """The whole way of the string with its tie-offs, or why it cannot be strung."""
        return _threaded(self)


@lru_cache(maxsize=512)
def _threaded(told: Threaded) -> Route | Misfit:
    drilling = told.drilling
    whole = told.strung if told.order else completed(told.strung, drilling.half, odd=bool(drilling.mains % 2))
    if isinstance(whole, StrungWay) and drilling.mains % 2:
        whole = replace(whole, centre=_centre_of(told.order) if told.order else whole.centre)
        if whole.centre is None:
            return Misfit("order", f"{str(Strand('mains', 0, 'left')).capitalize()}, number 0, is not strung.")
        drilling = replace(drilling, centre=whole.centre)
    found = route(drilling, whole, told.order) if isinstance(whole, StrungWay) else whole
    if isinstance(found, Misfit):
        return found
    return tied(replace(found, numbered=told.numbered), told.ties, strict=told.strict)


def _centre_of(order: Sequence[Arm]) -> Hand | None:
    """The side that a workshop's own order strings the main in the middle with."""
    return next((strand.hand for arm in order for strand in arm if strand.of == "mains" and strand.number == 0), None)


def steps(found: Route) -> Iterator[tuple[int, Pass]]:
    """The passes in the order of the work with their piece: the short side first, then the long one, then the crosses."""
    for k, piece in enumerate(found.pieces):
        for each in reversed(piece.passes[: piece.before]):
            yield k, replace(each, start=each.stop, stop=each.start)
        for each in piece.passes[piece.before :]:
            yield k, each
