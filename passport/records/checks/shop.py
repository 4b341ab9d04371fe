"""What a workshop says and shows of itself, and keeps for itself: an address that cards can lead to, files of its own for
the site, the book of its stock."""

from collections.abc import Iterator
from datetime import date, timedelta
from urllib.parse import urlsplit

from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.publicfiles import FOLDER, MOST_BYTES, public_files, taken
from passport.records.schema.catalogue import Part
from passport.records.schema.workshop import PLACEHOLDER
from passport.records.stockroom.amount import Measure
from passport.records.stockroom.lot import StockLot
from passport.records.yaml.validation_messages import closest

_STOCK = "stock-lot"


def address(content: Content, today: date) -> Iterator[Fault]:
    """The address is one of the workshop's own, no longer the one that stands in for it."""
    shop = content.workshop
    if shop and urlsplit(shop.record.address).hostname == urlsplit(PLACEHOLDER).hostname:
        what = worded("This address only stands in for your own: cards printed now would lead nowhere.")
        do = worded("Write the real web address under which the site will stand, before any card is printed.")
        yield Fault(shop.at("address"), "placeholder-address", what, do, "warning")


def public(content: Content, today: date) -> Iterator[Fault]:
    """Each file below ``public`` can stand on the site: an ordinary one, not too large, where the site has none of its own."""
    for path, file in public_files(content.root):
        place = Place(f"{FOLDER}/{path}")
        if taken(path):
            what = worded(
                "The site has a file or a folder of its own at '{partition}'.", partition=path.partition("/")[0]
            )
            do = worded("Give it another name, or put it into a folder of its own.")
            yield Fault(place, "public-clash", what, do)
        elif file.is_symlink() or not file.is_file():
            what = worded("This is a link, or no ordinary file: it would show on the site what lies elsewhere.")
            yield Fault(place, "public-file", what, worded("Put a copy of the file itself here."))
        elif file.stat().st_size > MOST_BYTES:
            what = worded(
                "This file has {st_size:.0f} MB; a site takes {most_bytes:.0f} MB at most.",
                st_size=file.stat().st_size / 1e6,
                most_bytes=MOST_BYTES / 1e6,
            )
            yield Fault(place, "public-file", what, worded("Make it smaller, or put it somewhere else and link to it."))


def lots(content: Content, today: date) -> Iterator[Fault]:
    """No lot is of something unknown, in a measure that jobs do not take it in, twice the same, or of a day to come."""
    seen: dict[tuple[str, str], str] = {}
    for name, entry in content.lots.items():
        lot = entry.record
        yield from _lot_of(content, entry)
        other = seen.setdefault((lot.of, lot.batch), name)
        if other != name:
            what = worded("'{other}' is a lot of the same already.", other=other)
            do = worded("Write what was bought into that one, or name the batch, where the jobs name it.")
            yield Fault(entry.at("batch" if lot.batch else "of"), _STOCK, what, do)
        for key in ("bought", "counted", "taken"):
            for i, each in enumerate(getattr(lot, key)):
                if each.date > today + timedelta(days=1):
                    what = worded("{date} is after today, {today}.", date=each.date, today=today)
                    yield Fault(entry.at(key, i, "date"), "future-date", what, worded("Correct the date."))


def _lot_of(content: Content, entry: Entry[StockLot]) -> Iterator[Fault]:
    lot, place = entry.record, entry.at("of")
    if lot.of in content.strings or f"string {lot.of}" in content.unread:
        yield from _measured(entry, ("m", "pieces"), worded("A string is cut in metres or taken in sets"))
        return
    part = content.parts.get(lot.of)
    if part:
        yield from _measured(entry, *_taken(part.record))
        if lot.batch:
            what = worded("A part is fitted without its batch, so jobs take from no batch of it.")
            yield Fault(
                entry.at("batch"), "part-batch", what, worded("Take the batch out, or write it into 'note'."), "warning"
            )
    elif not ({f"part {lot.of}", "strings", "parts"} & content.unread):
        near = closest(lot.of, [*content.strings, *content.parts])
        what = worded("'{of}' is no string and no part of the catalogue.", of=lot.of[:60])
        yield Fault(place, _STOCK, what, near or worded("Add it to catalogue/strings.yaml or catalogue/parts.yaml."))


def _taken(part: Part) -> tuple[tuple[Measure, ...], str]:
    if part.per_length or part.kind == "tape":
        return (("m", "g") if part.per_length else ("m",)), worded("Tape is cut in metres, or weighed in grams")
    if part.kind in ("silicone", "putty"):
        return ("g",), worded("Paste is weighed in grams")
    return ("pieces",), worded("This part is fitted in pieces")


def _measured(entry: Entry[StockLot], fits: tuple[Measure, ...], how: str) -> Iterator[Fault]:
    lot = entry.record
    if lot.measure not in fits:
        key = "bought" if lot.bought else "counted"
        first = getattr(lot, key)[0].amount
        do = worded(
            "Write the amounts of this lot in {fits}.",
            fits=worded(" or in ").join(
                {"m": worded("metres"), "g": worded("grams"), "pieces": worded("pieces")}[m] for m in fits
            ),
        )
        yield Fault(
            entry.at(key, 0, "amount"),
            _STOCK,
            worded("{how}, so '{first}' is no amount of it.", how=how, first=first.text),
            do,
        )
