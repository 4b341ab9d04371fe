"""The player's record: a public name, private contact, what may be shown."""

from typing import Annotated

from pydantic import Field

from passport.records.schema.base import Key, Record, Text
from passport.records.schema.visibility import Private, Public


class PlayerContact(Record):
    """How the workshop reaches the player; never shown."""

    email: Private[Text] = ""
    phone: Private[Text] = ""
    address: Private[Text] = ""


class Shows(Record):
    """What the player lets the pages show."""

    history: Public[bool] = True
    photos: Public[bool] = True
    serial: Public[bool] = True


class Player(Record):
    """The whole of player.yaml. ``sure`` is the remark that somebody was sure of a name or contact that was asked about."""

    name: Public[Text]
    full_name: Private[Text] = ""
    contact: Private[PlayerContact] = PlayerContact()
    key: Public[Key] = ""
    language: Public[Text] = ""
    shows: Public[Shows] = Shows()
    plays_a_week: Public[Annotated[float, Field(gt=0, le=21)] | None] = None
    private_note: Private[Text] = ""
    sure: Private[Text] = ""
