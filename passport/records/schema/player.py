"""The player's record: a public name, private contact, what may be shown."""

from typing import Annotated, Literal

from pydantic import Field

from passport.records.schema.base import Day, Key, Number, OneOrMore, Record, Text
from passport.records.schema.visibility import Private, Public


class PlayerContact(Record):
    """How the workshop reaches the player; never shown."""

    email: Private[Text] = ""
    phone: Private[Text] = ""
    address: Private[Text] = ""


Message = Literal["done", "due", "replacement"]
"""What a player is told: the work is done, strings are due, the replacement is built."""
Way = Literal["mail", "text message", "told in person"]


class Notice(Record):
    """That a player was told something about a frame, by its number, on a day."""

    date: Private[Day | None] = None
    what: Private[Message | None] = None
    frame: Private[Number] = ""
    by: Private[Way | None] = None
    to: Private[Text] = ""


class Shows(Record):
    """What the player lets the pages show."""

    history: Public[bool] = True
    photos: Public[bool] = True
    serial: Public[bool] = True


class Player(Record):
    """The whole of player.yaml. ``reading`` is how the name is read aloud, in Latin letters, where its script alone does
    not tell: 山田 花子 is Yamada Hanako by people, and something else by rules. ``units`` is the unit of tensions that
    pages, pieces and messages show the player first, beside the other. ``messages: no`` says that the player wants none, ``hoop: bare`` that no tape is to be on the hoop; ``told`` is what the player was told,
    oldest first. ``sure`` is the remark that somebody was sure of a name or contact that was asked about."""

    name: Public[Text]
    full_name: Private[Text] = ""
    reading: Private[Text] = ""
    contact: Private[PlayerContact] = PlayerContact.model_construct()
    key: Public[Key] = ""
    language: Public[Text] = ""
    units: Public[Literal["lb", "kg"] | None] = None
    shows: Public[Shows] = Shows.model_construct()
    messages: Private[Literal["no"] | None] = None
    hoop: Private[Literal["bare"] | None] = None
    told: Private[Annotated[tuple[Notice, ...], OneOrMore]] = ()
    plays_a_week: Public[Annotated[float, Field(gt=0, le=21)] | None] = None
    private_note: Private[Text] = ""
    sure: Private[Text] = ""
