"""What string the frames that wait will take, by string and where it comes from. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from passport.physics.uncertainty import Estimate
from passport.records.language.worded import numbered, worded
from passport.records.stockroom.amount import Measure
from passport.workshop.facts.facts import FrameFacts, StrungFacts
from passport.workshop.stockroom.supply import StockSupply
from passport.workshop.stockroom.use import Remainder
from passport.workshop.strings.string_course import PieceCourse, string_course


@dataclass(frozen=True, slots=True)
class StringNeed:
    """What is needed of one string of the catalogue, ``of``, from one kind of supply (``reel``, ``set``, or empty where
    that is not said).

    ``cut`` is what to cut in all, m, with its standard uncertainty; ``sets`` how many sets that is, half a one for the mains
    or the crosses alone (common practice, no source). ``frames`` is how many it is for, ``unknown`` of how many of them
    nobody knows how long the string is. ``left`` says what is left of it by the book of the stock, empty where there is
    none, and ``short`` that this is, or may be, too little.
    """

    of: str
    string: str
    supply: str
    frames: int
    cut: Estimate
    unknown: int
    sets: float = 0.0
    left: str = ""
    short: bool = False


@dataclass(frozen=True, slots=True)
class _Cut:
    """What one frame takes of a string: mm, None where its path is not known; and as sets."""

    frame: str
    strung: StrungFacts
    length: Estimate | None
    sets: float


def string_needs(wanted: Iterable[FrameFacts]) -> tuple[StringNeed, ...]:
    """What the recipes of some frames will take, by string and supply, in the order of the alphabet.

    The uncertainties of the lengths are added, not their squares: what is not known of the string outside the head is
    much the same from frame to frame.
    """
    found: dict[tuple[str, str], list[_Cut]] = {}
    for frame in wanted:
        for cut in _cuts(frame):
            found.setdefault((f"{cut.strung.maker} {cut.strung.name}", cut.strung.supply), []).append(cut)
    return tuple(_need(*key, cuts) for key, cuts in sorted(found.items()))


def with_stock(needs: Iterable[StringNeed], supply: StockSupply) -> tuple[StringNeed, ...]:
    """The same with what is left of each string by the book: sets for what comes from sets, metres for all else."""
    return tuple(_against(need, supply.left.get(need.of, ())) for need in needs)


def _against(need: StringNeed, lots: Iterable[Remainder]) -> StringNeed:
    measure: Measure = "pieces" if need.supply == "set" else "m"
    own = [lot.amount for lot in lots if lot.measure == measure]
    if not own or (measure == "m" and need.unknown == need.frames):
        return need
    left = Estimate(sum(max(0.0, each.value) for each in own), sum(each.u for each in own))
    needed = Estimate(need.sets, 0.0) if measure == "pieces" else need.cut
    surely = left.value - 2 * left.u >= needed.value + 2 * needed.u
    sets = numbered(left.value, "{count:g} set left by the book", "{count:g} sets left by the book")
    said = sets if measure == "pieces" else worded("{length:.1f} m left by the book", length=left.value)
    return replace(need, left=said, short=not surely)


def _need(string: str, supply: str, cuts: list[_Cut]) -> StringNeed:
    known = [cut.length for cut in cuts if cut.length is not None]
    total = Estimate(sum(cut.value for cut in known) / 1000, sum(cut.u for cut in known) / 1000)
    unknown = {cut.frame for cut in cuts if cut.length is None}
    frames, sets = {cut.frame for cut in cuts}, sum(cut.sets for cut in cuts)
    return StringNeed(cuts[0].strung.string, string, supply, len(frames), total, len(unknown), sets)


def _cuts(frame: FrameFacts) -> list[_Cut]:
    """What to cut of each string of a frame."""
    bed = frame.stringing
    if bed is None:
        return []
    sides = [bed.mains] if _alike(bed.mains, bed.crosses) else [bed.mains, bed.crosses]
    found = string_course(frame)
    if found is None:
        return [_Cut(frame.name, strung, None, 1 / len(sides)) for strung in sides]
    if len(sides) == 1:
        cuts = [piece.cut for piece in found.pieces]
        return [_Cut(frame.name, bed.mains, Estimate(sum(c.value for c in cuts), sum(c.u for c in cuts)), 1.0)]
    return [_Cut(frame.name, bed.mains if _of_mains(p) else bed.crosses, p.cut, 0.5) for p in found.pieces]


def _alike(mains: StrungFacts, crosses: StrungFacts) -> bool:
    return (mains.string, mains.supply) == (crosses.string, crosses.supply)


def _of_mains(piece: PieceCourse) -> bool:
    return piece.piece.passes[0].strand.of == "mains"
