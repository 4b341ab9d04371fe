"""What a plan may use and where: materials on hand, how strips are cut, how many places, and what the player does not want."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from passport.records.language.worded import numbered, worded
from passport.records.schema.places import FittedPlace
from passport.workshop.facts.spoken_names import all_of
from passport.workshop.stockroom.supply import StockSupply

_ROUNDING: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Wishes:
    """What limits a plan beside the places of the model.

    ``only`` these materials, each with the g that there are of it (None: enough); all in stock where it is empty.
    ``on_hand``: of nothing more than the book of the stock has. ``shortest`` strip of tape, mm; ``strip`` is the length
    of which tape is used in whole pieces, mm. ``symmetrical``: nothing on one side of the hoop only. ``bare_hoop``:
    nothing on the hoop. ``places``: in at most so many.
    """

    only: Mapping[str, float | None] = field(default_factory=dict)
    on_hand: bool = False
    shortest: float = 0.0
    strip: float = 0.0
    symmetrical: bool = False
    bare_hoop: bool = False
    places: int | None = None

    def allows(self, place: FittedPlace) -> bool:
        """Whether something may go to a place at all."""
        hoop = place.hour is not None or place.name == "under the bumper"
        return not (self.bare_hoop and hoop) and not (self.symmetrical and place.side)

    def takes(self, part: str, length: float | None) -> bool:
        """Whether a material may be used, as a strip ``length`` mm long (None: it is no strip)."""
        if self.only and part not in self.only:
            return False
        if length is None:
            return True
        whole = not self.strip or abs(length / self.strip - round(length / self.strip)) < _ROUNDING
        return whole and length > self.shortest - _ROUNDING

    def amounts(self, supply: StockSupply) -> dict[str, float]:
        """How much there is of the materials whose amount is known and counts, g."""
        found = {part: grams for part, grams in self.only.items() if grams is not None}
        for part, lots in supply.left.items() if self.on_hand else ():
            record = supply.parts.get(part)
            per_metre = record.per_length.value if record and record.per_length else 0.0
            known = {"g": 1.0, "m": per_metre}
            if record and part not in found and all(lot.measure in known for lot in lots):
                found[part] = sum(max(0.0, lot.amount.value) * known[lot.measure] for lot in lots)
        return found

    def texts(self, names: Mapping[str, str]) -> Iterator[str]:
        """The wishes in words; ``names`` are those of the materials."""
        if self.bare_hoop:
            yield worded("nothing on the hoop")
        if self.symmetrical:
            yield worded("nothing on one side only")
        if self.places is not None:
            yield numbered(self.places, "at most {count} place", "at most {count} places")
        if self.only:
            told = (
                names[part] if grams is None else worded("{part} ({mass:.1f} g)", part=names[part], mass=grams)
                for part, grams in self.only.items()
            )
            yield worded("only {materials}", materials=all_of(list(told)))
        if self.on_hand:
            yield worded("no more than the book of the stock has")
        if self.shortest:
            yield worded("no strip shorter than {length:g} mm", length=self.shortest)
        if self.strip:
            yield worded("whole strips of {length:g} mm", length=self.strip)

    def note(self, names: Mapping[str, str]) -> str:
        """The wishes as a sentence; empty where there are none."""
        told = list(self.texts(names))
        return worded("Planned with: {wishes}.", wishes="; ".join(told)) if told else ""


FREE: Final = Wishes()
"""No limit beside the places."""
