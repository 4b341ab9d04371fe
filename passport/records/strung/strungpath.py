"""The string's path as the records tell it: a job, the variant that it names, and the model's pattern, put together."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from passport.physics.stringing.holes import HANDS, Drilling, Hole
from passport.physics.stringing.route import Threaded, Tie
from passport.physics.stringing.ways import PIECES, Arm, Misfit, StrungWay, Way, completed
from passport.physics.stringpath import End
from passport.records.schema.base import UNKNOWN
from passport.records.schema.catalogue import Pattern
from passport.records.schema.frame import Stringing
from passport.records.schema.stringpattern import NamedHole, Variant, read_holes, read_order

_BY_PIECES: Final[dict[int, Way]] = {1: "one piece", 2: "two pieces"}


@dataclass(frozen=True, slots=True)
class ToldPath:
    """How a frame's string runs, as far as it was told.

    ``way`` is what is known of it; ``threaded`` what can be followed, None where too little is known for that;
    ``recorded`` whether the job itself says so, and not the maker's pattern.
    """

    way: StrungWay
    threaded: Threaded | None = None
    recorded: bool = False


def variant_of(stringing: Stringing, pattern: Pattern | None) -> Variant | None:
    """The variant of the pattern that a job names, None where it names none or one that is not there."""
    name = stringing.path.variant.casefold() if stringing.path else ""
    return next((v for v in (pattern.variants if pattern else ()) if name and v.name.casefold() == name), None)


def spelled_out(stringing: Stringing, pattern: Pattern | None) -> Stringing:
    """The stringing with what the variant that it names says; what the job says itself stands above that."""
    variant = variant_of(stringing, pattern)
    if variant is None:
        return stringing
    told, pieces = variant.path, _own_pieces(variant)
    if told and told.way:
        pieces = PIECES.get(told.way, pieces)
    said = {
        "pieces": pieces,
        "mains_start": told.mains_start if told else None,
        "crosses_start": told.crosses_start if told else None,
        "short": told.short if told else None,
        "tie_offs": variant.tie_offs or None,
    }
    return stringing.model_copy(
        update={name: value for name, value in said.items() if value is not None and not getattr(stringing, name)}
    )


def _own_pieces(variant: Variant) -> int | None:
    order = own_order(variant, StrungWay())
    return (2 if len(order) > 2 else 1) if order else None


def own_order(variant: Variant | None, way: StrungWay) -> tuple[Arm, ...]:
    """The order of the strings that a variant spells out, empty where it does not."""
    if variant is None or not variant.order:
        return ()
    try:
        return read_order(variant.order, way.short or "left")
    except ValueError:
        return ()


def told_path(stringing: Stringing, pattern: Pattern | None) -> ToldPath:
    """How the string of a job runs: as the job says, else as the maker's pattern asks."""
    whole, variant = spelled_out(stringing, pattern), variant_of(stringing, pattern)
    named = (variant.path.way if variant and variant.path else None) or (stringing.path.way if stringing.path else None)
    pieces = whole.worked_out[0]
    own = StrungWay(
        way="own" if variant and variant.order else named or (_BY_PIECES[pieces] if pieces else None),
        mains_start=_end(whole.mains_start, None),
        crosses_start=_end(whole.crosses_start, None),
        short=whole.short,
    )
    if pattern is None:
        return ToldPath(own)
    way = replace(
        own,
        mains_start=_end(whole.mains_start, pattern.mains_start),
        crosses_start=_end(whole.crosses_start, pattern.crosses_start),
    )
    order = own_order(variant, way)
    told = threaded(pattern, way, order, whole.skips or pattern.skips)
    if told is None:
        return ToldPath(way)
    ties = _ties(whole.tie_offs)
    told = replace(told, ties=ties) if whole.tie_offs else replace(told, ties=_ties(pattern.tie_offs), strict=False)
    return ToldPath(way, told, recorded=_determined(own, order, pattern.mains))


def against_warranty(stringing: Stringing, pattern: Pattern | None) -> str:
    """What the maker's warranty asks for, where the job is known to be another way; else nothing."""
    wish = pattern.warranty if pattern else None
    if wish is None:
        return ""
    told, pieces = told_path(stringing, pattern).way, spelled_out(stringing, pattern).worked_out[0]
    wished = PIECES.get(wish.way) if wish.way else None
    starts = ((wish.mains_start, told.mains_start), (wish.crosses_start, told.crosses_start), (wished, pieces))
    return wish.text if any(asked and done and asked != done for asked, done in starts) else ""


def threaded(pattern: Pattern, way: StrungWay, order: tuple[Arm, ...], skips: str) -> Threaded | None:
    """What can be followed of a way in a pattern; None where too little is known."""
    if not _determined(way, order, pattern.mains):
        return None
    return Threaded(drilling_of(pattern, skips), way, order, numbered=read_holes(skips) is not None)


def _determined(way: StrungWay, order: tuple[Arm, ...], mains: int) -> bool:
    """Whether the whole path follows from a way, or that it cannot be."""
    if order:
        return way.mains_start is not None
    if way.way in (None, "own"):
        return False
    whole = completed(way, mains // 2, odd=bool(mains % 2))
    return isinstance(whole, Misfit) or (whole.mains_start is not None and whole.crosses_start is not None)


def drilling_of(pattern: Pattern, skips: str = "") -> Drilling:
    """The holes of a pattern, as far as they are named; ``skips`` instead of its own."""
    skipped = read_holes(skips or pattern.skips) or ()
    left_out = (read_holes(pattern.blocked) or ()) + tuple(hole for hole in skipped if hole.of == "crosses")
    return Drilling(
        pattern.mains,
        pattern.crosses,
        tuple(_both(tuple(hole for hole in skipped if hole.of != "crosses"))),
        tuple(_both(left_out)),
        tuple(_both(read_holes(pattern.shared) or ())),
    )


def _both(holes: tuple[NamedHole, ...]) -> Iterator[Hole]:
    """The holes of both sides where none was said."""
    for hole in holes:
        for hand in (hole.hand,) if hole.hand else HANDS:
            yield Hole(hand, hole.end, hole.number)


def _ties(text: str) -> tuple[Tie, ...]:
    """The tie-offs that a text names of mains and crosses; none where it is in other words."""
    holes = read_holes(text) or ()
    named = tuple(Tie(hole.of, hole.end, hole.number, hole.hand) for hole in holes if hole.of)
    return named if len(named) == len(holes) else ()


def _end(said: str | None, by_maker: End | None) -> End | None:
    if said == UNKNOWN:
        return None
    return by_maker if said is None else "head" if said == "head" else "throat"
