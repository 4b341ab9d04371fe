"""What was seen of a frame when it came in, and how it was handed back. All of it stays at the bench."""

from typing import Literal, Self

from pydantic import model_validator

from passport.records.language.worded import worded
from passport.records.schema.base import Day, Record, Text, refuse
from passport.records.schema.quantities import Ring
from passport.records.schema.stringpattern import read_holes
from passport.records.schema.visibility import Private

Wear = Literal["sound", "worn", "broken", "missing"]


class Condition(Record):
    """What was looked at when a frame came in; what nobody looked at is left out, and nothing is claimed of it.

    ``hoop`` is how the tapped hoop sounds. ``grommets_at`` are the holes whose grommets are not sound, as in ``9T 10H``.
    ``ring`` is the reading of the strings that were in it, ``advised`` what the player was told and ``decided`` what the
    player wanted then. ``photo`` is a file in the photos folder, which no page shows.
    """

    crack: Private[Literal["none", "found"] | None] = None
    crack_at: Private[Text] = ""
    hoop: Private[Literal["clear", "dull"] | None] = None
    grommets: Private[Wear | None] = None
    grommets_at: Private[Text] = ""
    bumper: Private[Wear | None] = None
    paint: Private[Literal["sound", "chipped"] | None] = None
    grip: Private[Wear | None] = None
    strings: Private[Literal["whole", "broken", "cut out"] | None] = None
    ring: Private[Ring | None] = None
    photo: Private[Text] = ""
    note: Private[Text] = ""
    advised: Private[Text] = ""
    decided: Private[Text] = ""

    @model_validator(mode="after")
    def _where_goes_with_what(self) -> Self:
        if self.crack_at and self.crack != "found":
            raise refuse(
                "condition",
                worded("'crack_at' says where, but no crack is said to be found."),
                worded("Add 'crack: found'."),
            )
        if self.grommets_at and self.grommets in (None, "sound"):
            do = worded("Add 'grommets: worn', 'broken' or 'missing', or leave the holes out.")
            raise refuse("condition", worded("'grommets_at' names holes, but no grommet is said to be worn."), do)
        if self.grommets_at and read_holes(self.grommets_at) is None:
            do = worded("Write their numbers from the centre with the end, as in '9 at throat and head' or '9T 10H'.")
            raise refuse(
                "string-holes", worded("'{grommets_at}' names no holes.", grommets_at=self.grommets_at[:60]), do
            )
        return self


class Handover(Record):
    """How a frame was handed back: when, ``to`` whom, what was ``paid`` and what is still ``owed``."""

    date: Private[Day | None] = None
    to: Private[Text] = ""
    paid: Private[Text] = ""
    owed: Private[Text] = ""
