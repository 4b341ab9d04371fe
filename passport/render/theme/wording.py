"""The words for kinds of things that facts only name, where a sum of widths or a drawing needs them before a template."""

import re

from pydantic_core import PydanticCustomError

from passport.records.schema.places import parse_place
from passport.render.theme.formats import Formats
from passport.render.theme.words import SOURCE
from passport.workshop.facts.facts import QuantityName

_LETTERS = re.compile(r"[^\W\d_]+")
_TIME = re.compile(r"([0-9]{1,2})(?:[:.]([0-9]{1,2}))?")


def quantity(name: QuantityName, f: Formats) -> str:
    """One of the four quantities, as it stands at the beginning of a line."""
    _ = f.words.gettext
    names: dict[QuantityName, str] = {
        "mass": _("Mass"),
        "balance": _("Balance"),
        "swingweight": _("Swingweight"),
        "twistweight": _("Twistweight"),
    }
    return names[name]


def place(text: str, f: Formats) -> str:
    """Where a part sits: ``10 and 2 o’clock``, ``along the handle``, ``20 to 60 mm from the butt``.

    A text that is no place is given back as it is.
    """
    try:
        found = parse_place(text)
    except PydanticCustomError:
        return text
    if found.hour is not None:
        return _hours(text, f)
    return _span(found.span, f) if found.span else _named(found.name, f)


def holes(text: str, f: Formats) -> str:
    """Skips and tie-offs such as ``mains 6 throat; crosses 5 head`` in the reader's language.

    A text with any other word in it is given back as it is: those are the workshop's own.
    """
    _ = f.words.gettext
    known = {
        "mains": _("mains"),
        "crosses": _("crosses"),
        "throat": _("throat"),
        "head": _("head"),
        "and": _("and"),
        "at": "",
    }
    words = [word.lower() for word in _LETTERS.findall(text)]
    if f.words.language == SOURCE or any(word not in known for word in words):
        return text
    return " ".join(_LETTERS.sub(lambda found: known[found[0].lower()], text).split())


def _named(name: str, f: Formats) -> str:
    _ = f.words.gettext
    return {
        "under the bumper": _("under the bumper"),
        "throat": _("throat"),
        "top of the handle": _("top of the handle"),
        "along the handle": _("along the handle"),
        "inside the handle": _("inside the handle"),
        "butt cap": _("butt cap"),
    }[name]


def _hours(text: str, f: Formats) -> str:
    _ = f.words.gettext
    hours = [_clock(*found) for found in _TIME.findall(text)]
    if len(hours) == 1:
        return _("%(hour)s o’clock") % {"hour": hours[0]}
    return _("%(first)s and %(second)s o’clock") % {"first": hours[0], "second": hours[1]}


def _clock(hour: str, rest: str) -> str:
    """``10:30`` also where ``10.5`` was written."""
    if not rest:
        return hour
    return (
        f"{hour}:{rest}" if len(rest) == 2 and rest not in ("25", "75") else f"{hour}:{60 * float(f'0.{rest}'):02.0f}"
    )


def _span(span: tuple[float, float], f: Formats) -> str:
    _, (low, high) = f.words.gettext, span
    if low == high:
        return _("%(place)s from the butt") % {"place": f.mm(low)}
    return _("%(low)s to %(high)s from the butt") % {"low": f.short(low), "high": f.mm(high)}
