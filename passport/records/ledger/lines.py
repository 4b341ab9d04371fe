"""One line of the ledger: what happened to an address, its checksum, and its link in the chain of all lines.

A line is::

    7 2026-11-25 issued YGA836F5BN4WK7S3X0KPS4MK8Y frame 1042-9 https://pass.shop.example 1f0c9a2e 77d0a1b25be03c4f

running number, day, what happened, key, what the key is of, passport number or ``-``, the web address that it was given
out under or ``-``, checksum, link. The checksum is of the line alone, so that a changed line is seen; the link is of
the line and the link before it, so that a lost or moved one is seen. Lines of the first format have no link; the first
line with one stands for all of them. ``closed`` ends an address for good, and so does
``withdrawn``, of one that was given out by mistake. The ledger names nobody.
"""

import hashlib
import re
from dataclasses import dataclass
from datetime import date
from typing import Literal

ISSUED, CLOSED, REOPENED, RENUMBERED, MENDED = "issued", "closed", "reopened", "renumbered", "mended"
WITHDRAWN = "withdrawn"
"""What happens to an address; ``mended`` is of the ledger itself. In the place of a web address it names the file that
it was made anew from, and the links of the last lines that were known of before, with commas between."""
ENDING = frozenset({CLOSED, WITHDRAWN})
"""What ends an address for good."""
Kind = Literal["frame", "player", "ledger"]
NOTHING = "-"
_LINE = re.compile(
    r"(?P<count>[1-9][0-9]{0,8}) (?P<day>\d{4}-\d{2}-\d{2}) (?P<event>[a-z]{2,20}) (?P<key>[0-9A-Z]{20,40}|-) "
    r"(?P<kind>frame|player|ledger) (?P<number>\S{1,20}) (?P<address>\S{1,300})"
)
_LINK = re.compile(r"[0-9a-f]{16}")


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One line: what happened to a key on a day. ``number`` and ``address`` are empty where there is none."""

    event: str
    key: str
    kind: str
    number: str = ""
    address: str = ""
    day: date | None = None
    count: int = 0

    @property
    def said(self) -> tuple[str, str, str, str, str]:
        """What the line says, wherever and whenever it was written."""
        return self.event, self.key, self.kind, self.number, self.address


@dataclass(frozen=True, slots=True)
class Written:
    """A line as it stands in the file: what it says, or None where it cannot be trusted; the link that it ought to
    have, and whether it has that one. A line of the first format carries no link, and ``linked`` is None."""

    line: LedgerLine | None
    link: str
    linked: bool | None = None


def checksum(text: str) -> str:
    """The first eight hexadecimal digits of a line's SHA-256: enough to notice a slip, not to keep out a forger."""
    return _sha256(text)[:8]


def link_of(before: str, body: str) -> str:
    """The link of a line to all lines before it: 16 hexadecimal digits of a SHA-256 over the link before and the line."""
    return _sha256(f"{before}\n{body}")[:16]


def written(event: LedgerLine, day: date, count: int, before: str) -> tuple[str, str]:
    """A line as it is put into the file behind one whose link is ``before``, and its own link."""
    fields = (
        count,
        event.day or day,
        event.event,
        event.key or NOTHING,
        event.kind,
        event.number or NOTHING,
        event.address or NOTHING,
    )
    text = " ".join(map(str, fields))
    body = f"{text} {checksum(text)}"
    link = link_of(before, body)
    return f"{body} {link}", link


def read(raw: str, before: str) -> Written:
    """A line of the file behind one whose link is ``before``.

    The link that goes on is the one that stands there, so that one lost line breaks the chain in one place alone.
    """
    body, _, last = raw.rpartition(" ")
    if _LINK.fullmatch(last):
        return Written(_line(body), last, link_of(before, body) == last)
    return Written(_line(raw), link_of(before, raw))


def _line(body: str) -> LedgerLine | None:
    text, _, check = body.rpartition(" ")
    match = _LINE.fullmatch(text)
    if match is None or checksum(text) != check:
        return None
    try:
        day = date.fromisoformat(match["day"])
    except ValueError:
        return None
    key, number, address = ("" if match[n] == NOTHING else match[n] for n in ("key", "number", "address"))
    return LedgerLine(match["event"], key, match["kind"], number, address, day, int(match["count"]))


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", errors="surrogateescape")).hexdigest()
