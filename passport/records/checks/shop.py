"""What a workshop says and shows of itself: an address that cards can lead to, files of its own for the site."""

from collections.abc import Iterator
from datetime import date
from urllib.parse import urlsplit

from passport.records.faults import Fault, Place
from passport.records.load import Content
from passport.records.publicfiles import FOLDER, MOST_BYTES, public_files, taken
from passport.records.schema.workshop import PLACEHOLDER


def address(content: Content, today: date) -> Iterator[Fault]:
    """The address is one of the workshop's own, no longer the one that stands in for it."""
    shop = content.workshop
    if shop and urlsplit(shop.record.address).hostname == urlsplit(PLACEHOLDER).hostname:
        what = "This address only stands in for your own: cards printed now would lead nowhere."
        do = "Write the real web address under which the site will stand, before any card is printed."
        yield Fault(shop.at("address"), "placeholder-address", what, do, "warning")


def public(content: Content, today: date) -> Iterator[Fault]:
    """Each file below ``public`` can stand on the site: an ordinary one, not too large, where the site has none of its own."""
    for path, file in public_files(content.root):
        place = Place(f"{FOLDER}/{path}")
        if taken(path):
            what = f"The site has a file or a folder of its own at '{path.partition('/')[0]}'."
            do = "Give it another name, or put it into a folder of its own."
            yield Fault(place, "public-clash", what, do)
        elif file.is_symlink() or not file.is_file():
            what = "This is a link, or no ordinary file: it would show on the site what lies elsewhere."
            yield Fault(place, "public-file", what, "Put a copy of the file itself here.")
        elif file.stat().st_size > MOST_BYTES:
            what = f"This file has {file.stat().st_size / 1e6:.0f} MB; a site takes {MOST_BYTES / 1e6:.0f} MB at most."
            yield Fault(place, "public-file", what, "Make it smaller, or put it somewhere else and link to it.")
