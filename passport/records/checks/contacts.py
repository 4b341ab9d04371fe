"""A player can be reached: what stands there as a telephone or an address of mail looks like one."""

import re
from collections.abc import Iterator
from datetime import date

from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.load import Content

_FEWEST_DIGITS = 4
"""Of a telephone number, extensions of one house among them (common practice, no source)."""
_MAIL = re.compile(r"[^@\s]+@[^@\s]+\.[^@\s.]+")


def readable(content: Content, today: date) -> Iterator[Fault]:
    """A telephone number has digits, an address of mail has an @ with a domain behind it, unless somebody is sure."""
    for entry in content.players.values():
        if entry.record.sure:
            continue
        contact = entry.record.contact
        if contact.phone and len(re.sub(r"[^0-9]", "", contact.phone)) < _FEWEST_DIGITS:
            what = worded("This is no telephone number.")
            yield Fault(entry.at("contact", "phone"), "bad-contact", what, worded("Write its digits."), "warning")
        if contact.email and not _MAIL.fullmatch(contact.email):
            what = worded("This is no address of mail.")
            yield Fault(
                entry.at("contact", "email"),
                "bad-contact",
                what,
                worded("Write it as in 'name@mail.example'."),
                "warning",
            )
