"""The workshop's own record: an address that cards can lead to."""

from collections.abc import Iterator
from datetime import date
from urllib.parse import urlsplit

from passport.records.faults import Fault
from passport.records.load import Content
from passport.records.schema.workshop import PLACEHOLDER


def address(content: Content, today: date) -> Iterator[Fault]:
    """The address is one of the workshop's own, no longer the one that stands in for it."""
    shop = content.workshop
    if shop and urlsplit(shop.record.address).hostname == urlsplit(PLACEHOLDER).hostname:
        what = "This address only stands in for your own: cards printed now would lead nowhere."
        do = "Write the real web address under which the site will stand, before any card is printed."
        yield Fault(shop.at("address"), "placeholder-address", what, do, "warning")
