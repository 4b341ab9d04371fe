"""One kind of thing in stock: a reel or the sets of one batch, a roll of tape, a tin of grips."""

from typing import Annotated, Self

from pydantic import model_validator

from passport.records.language.worded import worded
from passport.records.schema.base import Day, OneOrMore, Record, Text, refuse
from passport.records.schema.visibility import Private, Public
from passport.records.stockroom.amount import Amount, Measure


class StockEntry(Record):
    """So much on a day: bought, counted on the shelf, or taken for something that is no job."""

    date: Public[Day]
    amount: Public[Amount]
    note: Private[Text] = ""


class StockLot(Record):
    """What there is of one string or part of the catalogue; strings of one ``batch`` are a lot of their own.

    ``bought`` adds, ``taken`` (for what is no job: waste, a sample) takes away, and what was ``counted`` on a day stands at
    the end of that day, whatever was bought and used before. Jobs take from the day of the first entry on. All of it is
    measured alike: strings in metres, or in sets; tape in metres or grams; paste in grams; everything else in pieces.
    The book as a whole is cut off before anything is shown to a player.
    """

    of: Public[Text]
    batch: Private[Text] = ""
    bought: Private[Annotated[tuple[StockEntry, ...], OneOrMore]] = ()
    counted: Private[Annotated[tuple[StockEntry, ...], OneOrMore]] = ()
    taken: Private[Annotated[tuple[StockEntry, ...], OneOrMore]] = ()
    place: Private[Text] = ""
    note: Private[Text] = ""

    @property
    def measure(self) -> Measure:
        """What the lot is measured in."""
        return (*self.bought, *self.counted, *self.taken)[0].amount.measure

    @model_validator(mode="after")
    def _known_and_alike(self) -> Self:
        if not (self.bought or self.counted):
            do = worded("Add 'bought: {date: 2026-11-01, amount: 200 m}', or what was 'counted'.")
            raise refuse("stock-lot", worded("Nothing says how much there is of this lot."), do)
        if len({entry.amount.measure for entry in (*self.bought, *self.counted, *self.taken)}) > 1:
            do = worded("Write all of a lot in metres, all in grams or all in pieces.")
            raise refuse("stock-lot", worded("The amounts of this lot cannot be added up."), do)
        return self
