"""What string the frames that wait will take, by string and where it comes from. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass

from passport.physics.uncertainty import Estimate
from passport.workshop.facts.facts import FrameFacts, StrungFacts
from passport.workshop.strings.string_course import PieceCourse, string_course


@dataclass(frozen=True, slots=True)
class StringNeed:
    """What is needed of one string from one kind of supply (``reel``, ``set``, or empty where that is not said).

    ``cut`` is what to cut in all, m, with its standard uncertainty; ``frames`` how many it is for, ``unknown`` of how many
    of them nobody knows how long the string is.
    """

    string: str
    supply: str
    frames: int
    cut: Estimate
    unknown: int


def string_needs(wanted: Iterable[FrameFacts]) -> tuple[StringNeed, ...]:
    """What the recipes of some frames will take, by string and supply, in the order of the alphabet.

    The uncertainties of the lengths are added, not their squares: what is not known of the string outside the head is
    much the same from frame to frame.
    """
    found: dict[tuple[str, str], list[tuple[str, Estimate | None]]] = {}
    for frame in wanted:
        for strung, cut in _cuts(frame):
            key = f"{strung.maker} {strung.name}", strung.supply
            found.setdefault(key, []).append((frame.name, cut))
    return tuple(_need(*key, cuts) for key, cuts in sorted(found.items()))


def _need(string: str, supply: str, cuts: list[tuple[str, Estimate | None]]) -> StringNeed:
    known = [cut for _, cut in cuts if cut is not None]
    total = Estimate(sum(cut.value for cut in known) / 1000, sum(cut.u for cut in known) / 1000)
    unknown = {name for name, cut in cuts if cut is None}
    return StringNeed(string, supply, len({name for name, _ in cuts}), total, len(unknown))


def _cuts(frame: FrameFacts) -> list[tuple[StrungFacts, Estimate | None]]:
    """Each string of a frame with what to cut of it, mm; None where its path is not known."""
    bed = frame.stringing
    if bed is None:
        return []
    sides = [bed.mains] if _alike(bed.mains, bed.crosses) else [bed.mains, bed.crosses]
    found = string_course(frame)
    if found is None:
        return [(strung, None) for strung in sides]
    if len(sides) == 1:
        cuts = [piece.cut for piece in found.pieces]
        return [(bed.mains, Estimate(sum(cut.value for cut in cuts), sum(cut.u for cut in cuts)))]
    return [(bed.mains if _of_mains(piece) else bed.crosses, piece.cut) for piece in found.pieces]


def _alike(mains: StrungFacts, crosses: StrungFacts) -> bool:
    return (mains.maker, mains.name, mains.supply) == (crosses.maker, crosses.name, crosses.supply)


def _of_mains(piece: PieceCourse) -> bool:
    return piece.piece.passes[0].strand.of == "mains"
