"""The calendar reminder (RFC 5545): one all-day event that keeps its identity when the site is built again."""

from datetime import UTC, date, datetime, time
from urllib.parse import urlparse

from passport.render.faces.direction import isolated
from passport.render.theme.formats import Formats
from passport.workshop.facts.facts import FrameFacts, ShopFacts

LONGEST_LINE = 75
WEEK_BEFORE, ON_THE_DAY = "-P6DT15H", "PT9H"
"""When a phone speaks up, from the beginning of the day: at nine in the morning a week before, and at nine of the day."""


def restring_reminder(frame: FrameFacts, shop: ShopFacts) -> bytes:
    """The reminder of the day by which a frame is to be restrung; the frame must have strings and such a day."""
    if not frame.due or not frame.stringing:
        message = f"passport {frame.number} has no day by which to restring"
        raise ValueError(message)
    f = Formats(frame.language)
    _ = f.words.gettext
    said = _("Strung on %(date)s by %(shop)s.") % {"date": f.day(frame.stringing.date), "shop": isolated(shop.name)}
    host = urlparse(shop.address).hostname or "passport"
    return reminder(
        uid=f"{frame.key.lower()}-restring@{host}",
        day=frame.due,
        stamp=frame.updated or frame.stringing.date,  # a later reading may have moved the day
        summary=_("Restring %(label)s (%(number)s)") % {"label": isolated(frame.label), "number": frame.number},
        description=f"{said} {shop.phone} {shop.email}".strip(),
        url=f"{shop.address}/{frame.key}/",
    )


def reminder(*, uid: str, day: date, stamp: date, summary: str, description: str, url: str = "") -> bytes:
    """An iCalendar file with one all-day event.

    ``uid`` must stay the same for the same reminder; ``stamp`` is the day on which what it says last changed.
    """
    made = datetime.combine(stamp, time(), UTC)
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//racquet-passport//reminder//EN",
        "CALSCALE:GREGORIAN",
        "BEGIN:VEVENT",
        f"UID:{uid}",
        f"DTSTAMP:{made:%Y%m%dT%H%M%SZ}",
        f"DTSTART;VALUE=DATE:{day:%Y%m%d}",
        f"SUMMARY:{_escaped(summary)}",
        f"DESCRIPTION:{_escaped(description)}",
        *([f"URL:{url}"] if url else []),
        "TRANSP:TRANSPARENT",
        *_alarm(summary, WEEK_BEFORE),
        *_alarm(summary, ON_THE_DAY),
        "END:VEVENT",
        "END:VCALENDAR",
    ]
    return "".join(_folded(line) + "\r\n" for line in lines).encode()


def _alarm(summary: str, trigger: str) -> tuple[str, ...]:
    said = ("ACTION:DISPLAY", f"DESCRIPTION:{_escaped(summary)}", f"TRIGGER:{trigger}")
    return ("BEGIN:VALARM", *said, "END:VALARM")


def _escaped(text: str) -> str:
    for plain, escape in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n"), ("\r", "\\n")):
        text = text.replace(plain, escape)
    return text


def _folded(line: str) -> str:
    """Lines of at most 75 octets, continued with a space; no character is cut in two."""
    pieces, piece, size = [], "", 0
    for character in line:
        width = len(character.encode())
        if size + width > LONGEST_LINE:
            pieces.append(piece)
            piece, size = " ", 1
        piece, size = piece + character, size + width
    return "\r\n".join([*pieces, piece])
