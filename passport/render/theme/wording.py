"""The words for things that facts only name, where a width or a drawing needs them before a template has them.

These are the four quantities, places, fitted parts, and holes.
"""

import re
from dataclasses import dataclass

from passport.records.schema.places import FittedPlace
from passport.render.theme.formats import KEEP, THIN, Formats
from passport.render.theme.words import SOURCE
from passport.workshop.facts.facts import HandleFacts, PartFacts, QuantityName

_LETTERS = re.compile(r"[^\W\d_]+")


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


def first_tagline(f: Formats) -> str:
    """What a new workshop says of itself until it says something better."""
    return f.words.gettext("Strung to your recipe.")


def place(where: FittedPlace | str, f: Formats) -> str:
    """Where a part sits: ``10 and 2 o’clock``, ``along the handle``, ``20 to 60 mm from the butt``.

    A text, as a shop's own template may give, is given back as it is.
    """
    if isinstance(where, str):
        return where
    if where.hours:
        return _hours(where, f)
    return _span(where.span, f) if where.span else _named(where.name, f)


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
        "between the mains": _("between the mains"),
        "on the string bed": _("on the string bed"),
    }[name]


def _hours(where: FittedPlace, f: Formats) -> str:
    """The hours of a place, both of a pair of which only one was written, so that one alone is told apart."""
    _ = f.words.gettext
    hours = (*where.hours, 12 - where.hours[0]) if where.mirrored and len(where.hours) == 1 else where.hours
    first, *others = map(_clock, hours)
    if where.side:
        return _("%(hour)s o’clock only") % {"hour": first}
    if not others:
        return _("%(hour)s o’clock") % {"hour": first}
    return _("%(first)s and %(second)s o’clock") % {"first": first, "second": others[0]}


def _clock(hour: float) -> str:
    """``10:30`` also where ``10.5`` was written; 12 for 0."""
    whole, minutes = divmod(round(60 * hour), 60)
    return f"{whole or 12}:{minutes:02}" if minutes else f"{whole or 12}"


def _span(span: tuple[float, float], f: Formats) -> str:
    _, (low, high) = f.words.gettext, span
    if low == high:
        return _("%(place)s from the butt") % {"place": f.mm(low)}
    return _("%(low)s to %(high)s from the butt") % {"low": f.short(low), "high": f.mm(high)}


def handle(built: HandleFacts | None, f: Formats) -> str:
    """``112 mm round over the overgrip, 2 sleeves, overgrip wound right-handed``: as far as it was written down."""
    return f.comma.join(handle_phrases(built, f))


def handle_phrases(built: HandleFacts | None, f: Formats) -> tuple[str, ...]:
    """The same, a phrase for each thing that was written down."""
    if built is None:
        return ()
    _, ngettext = f.words.functions
    known = {
        "base grip": _("%(length)s round over the base grip"),
        "overgrip": _("%(length)s round over the overgrip"),
        "": _("%(length)s round"),
        "right-handed": _("overgrip wound right-handed"),
        "left-handed": _("overgrip wound left-handed"),
        "butt": _("wound from the butt"),
        "top": _("wound from the top"),
    }
    count = built.sleeves
    said = (
        "" if built.circumference is None else known[built.over] % {"length": f.mm(built.circumference)},
        built.shape,
        "" if count is None else ngettext("%(num)s sleeve", "%(num)s sleeves", count) % {"num": count},
        built.wound and known[built.wound],
        built.wound_from and known[built.wound_from],
        "" if built.overlap is None else _("overlap %(length)s") % {"length": f.mm(built.overlap)},
        "" if built.covered is None else _("covered to %(length)s from the butt") % {"length": f.mm(built.covered)},
    )
    return tuple(word for word in said if word)


@dataclass(frozen=True, slots=True)
class PartText:
    """A fitted part in words: its mass, its name, its cut length and place."""

    mass: str
    name: str
    where: str


def part_text(part: PartFacts, f: Formats, *, grips_placed: bool = True) -> PartText:
    """A fitted part in words: how long it is cut, its place (an hour on the hoop), what was noted of it.

    A grip is along the handle, and needs no saying so where ``grips_placed`` is False.
    """
    said = grips_placed or part.kind not in ("base grip", "overgrip") or part.place.name != "along the handle"
    mass = "" if part.mass is None else f.mass(part.mass)
    return PartText(
        mass, part.name, f.comma.join(w for w in (_cut(part, f), place(part.place, f) if said else "", part.note) if w)
    )


def _cut(part: PartFacts, f: Formats) -> str:
    """The length to which a part is cut, and how many of it, where somebody wrote it down."""
    if not part.length or not part.is_fact("length"):
        return ""
    length = f"{f.short(part.length, 0)}{THIN}mm"
    return length if part.count == 1 else f"{part.count}{KEEP}×{KEEP}{length}"
