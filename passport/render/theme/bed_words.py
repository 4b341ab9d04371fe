"""How a frame is strung, in words: only what is recorded, what follows from it, and the maker's pattern, named as such."""

import math
from collections.abc import Callable
from typing import Any

from passport.render.theme.formats import KEEP, Formats
from passport.render.theme.wording import handle, holes
from passport.workshop.facts.facts import FrameFacts, StringingFacts, ZoneFacts


def pattern(frame: FrameFacts) -> str:
    """``16 × 19``, with spaces that do not break; empty where nobody recorded it."""
    shape = frame.shape
    return "" if shape.is_assumed("mains", "crosses") else f"{shape.mains}{KEEP}×{KEEP}{shape.crosses}"


def work(bed: StringingFacts, f: Formats) -> tuple[str, ...]:
    """``1 piece``, ``around the world`` and ``2 knots``, as far as they are recorded or follow from what is."""
    _, ngettext = f.words.functions
    said = []
    if bed.pieces is not None:
        said.append(ngettext("%(num)s piece", "%(num)s pieces", bed.pieces) % {"num": bed.pieces})
    if bed.way:
        said.append({"around the world": _("around the world"), "box": _("box pattern")}.get(bed.way, bed.way))
    if bed.knots is not None:
        said.append(ngettext("%(num)s knot", "%(num)s knots", bed.knots) % {"num": bed.knots})
    return tuple(said)


def method(bed: StringingFacts, f: Formats) -> str:
    """``constant pull, slow, 3 s held, tie-offs 10 % higher``: how it was pulled, in one line; empty where nobody said."""
    _, said = f.words.gettext, bed.method
    known = {
        "constant pull": _("constant pull"),
        "lockout": _("lockout machine"),
        "drop weight": _("drop weight"),
        "by machine": _("pre-stretched by the machine"),
        "by hand": _("pre-stretched by hand"),
        "starting knot": _("starting knot"),
        "starting clamp": _("starting clamp"),
        "woven ahead": _("crosses woven one ahead"),
        "one by one": _("crosses woven one by one"),
    }
    held = _("held for %(seconds)s s") % {"seconds": f.short(said.dwell)} if said.dwell else ""
    more = _("tie-offs %(amount)s %% higher") % {"amount": f.short(said.tie_offs)} if said.tie_offs else ""
    words = (said.machine, said.speed, held, said.prestretch, more, said.start, said.knots, said.crosses, said.supports)
    return f.comma.join(known.get(word, word) for word in words if word).replace(" %", f"{KEEP}%")


def head_check(bed: StringingFacts, f: Formats) -> str:
    """``tension head checked 7 Oct 2026: set 50.1 lb, pulled 50 lb``; empty where no check was in force."""
    found = bed.method.head
    if found is None:
        return ""
    amounts = {"set": f.tension(found.set, found.written)[0], "pulled": f.tension(found.pulled, found.written)[0]}
    said = f.words.gettext("tension head checked %(date)s: set %(set)s, pulled %(pulled)s")
    return said % {"date": f.short_day(found.day), **amounts}


def pulled(bed: StringingFacts, f: Formats) -> str:
    """The method, and the tension head's check beside it."""
    return f.semicolon.join(text for text in (method(bed, f), head_check(bed, f)) if text)


def zones(bed: StringingFacts, f: Formats) -> tuple[str, ...]:
    """``last 2 mains each side 49 lb/22.2 kg``: what was pulled otherwise than the rest of its side, a phrase a zone."""
    return tuple(f"{_zone(zone, f)} {_zone_pull(zone, f)}" for zone in bed.zones)


def _zone(zone: ZoneFacts, f: Formats) -> str:
    """Which strings a zone holds."""
    _, ngettext = f.words.functions
    count = zone.stop
    if zone.reach == "numbered":
        low, high = sorted((zone.start, zone.stop))
        span = f"{low}" if low == high else f"{low}–{high}"
        if zone.of == "mains":
            text = ngettext("main %(span)s from the centre", "mains %(span)s from the centre", high - low + 1)
        else:
            text = ngettext("cross %(span)s from the head", "crosses %(span)s from the head", high - low + 1)
        return text % {"span": span}
    said = {
        ("mains", "first"): ngettext("first main each side", "first %(num)s mains each side", count),
        ("mains", "last"): ngettext("last main each side", "last %(num)s mains each side", count),
        ("mains", "outer"): ngettext("outermost main each side", "outermost %(num)s mains each side", count),
        ("crosses", "first"): ngettext("first cross", "first %(num)s crosses", count),
        ("crosses", "last"): ngettext("last cross", "last %(num)s crosses", count),
        ("crosses", "outer"): ngettext("outermost cross at each end", "outermost %(num)s crosses at each end", count),
    }
    return said[zone.of, zone.reach] % {"num": count}


def _zone_pull(zone: ZoneFacts, f: Formats) -> str:
    """What a zone was pulled with, in both units, from its first string to its last."""
    first, last = zone.pulls
    if zone.reach == "numbered" and zone.start > zone.stop:
        first, last = last, first  # as the strings are named, from the low number to the high one
    said = ["/".join(f.tension(pull, zone.written)) for pull in (first, last)]
    if said[0] == said[1]:
        return said[0]
    return f.words.gettext("from %(first)s to %(last)s") % {"first": said[0], "last": said[1]}


def fingerprint(bed: StringingFacts, f: Formats) -> str:
    """``578 Hz, 15 min after stringing, the same if within ±3 Hz``: in one line; empty where nobody read it then."""
    found, _ = bed.fingerprint, f.words.gettext
    if found is None:
        return ""
    said = [f.ring(found.amount, found.unit), age(found.age, f)]
    if found.within is not None:
        said.append(_("the same if within ± %(within)s") % {"within": f.ring(_up(found.within), found.unit)})
    return f.comma.join(said).replace("± ", "±")  # of one figure alone, not between two


def read_with(bed: StringingFacts, f: Formats) -> str:
    """What the reading right after stringing was taken with: the reader, what was set at it, the temperature."""
    found, _ = bed.fingerprint, f.words.gettext
    if found is None:
        return ""
    warm = f"{f.short(found.temperature)}{KEEP}°C" if found.temperature is not None else ""
    return f.semicolon.join(word for word in (found.reader, found.setting, warm) if word)


def _up(within: float) -> float:
    """A figure rounded up to the tenth that is shown, so that nothing inside it is said to be outside."""
    return math.ceil(within * 10 - 1e-6) / 10


def age(minutes: float, f: Formats) -> str:
    """``15 min after stringing``, ``24 h after stringing``."""
    _ = f.words.gettext
    if minutes < 120:
        return _("%(n)s\N{NARROW NO-BREAK SPACE}min after stringing") % {"n": round(minutes)}
    return _("%(n)s\N{NARROW NO-BREAK SPACE}h after stringing") % {"n": round(minutes / 60)}


def starts(bed: StringingFacts, f: Formats) -> str:
    """``start: mains throat, crosses head``, as far as it is known; empty where nothing is."""
    _ = f.words.gettext
    both = _("start: mains %(mains)s, crosses %(crosses)s")
    return _starts(bed, f, both, _("start: mains %(mains)s"), _("start: crosses %(crosses)s"))


def starts_said(bed: StringingFacts, f: Formats) -> str:
    """``Mains start at the throat, crosses at the head``, as far as it is known; empty where nothing is."""
    _ = f.words.gettext
    both = _("Mains start at the %(mains)s, crosses at the %(crosses)s")
    return _starts(bed, f, both, _("Mains start at the %(mains)s"), _("Crosses start at the %(crosses)s"))


def by_maker(bed: StringingFacts, name: str, f: Formats) -> str:
    """Skips or tie-offs in the reader's language; those that only the maker's pattern tells say so."""
    text = holes(getattr(bed, name), f)
    return _named(text, bed.is_from_model(name), f) if text else ""


def _starts(bed: StringingFacts, f: Formats, both: str, mains: str, crosses: str) -> str:
    """Where the stringing starts, in the text of the three that names what is known of it."""
    _ = f.words.gettext
    ends = {"throat": _("throat"), "head": _("head")}
    known = {"mains": ends.get(bed.mains_start, ""), "crosses": ends.get(bed.crosses_start, "")}
    text = both if all(known.values()) else mains if known["mains"] else crosses if known["crosses"] else ""
    by_maker = any(bed.is_from_model(name) for name in ("mains_start", "crosses_start"))
    return _named(text % known, by_maker, f) if text else ""


def _named(text: str, from_model: bool, f: Formats) -> str:
    """A text that says where it is from, if not from the frame's own record."""
    return f"{text} ({f.words.gettext('maker’s pattern')})" if from_model else text


FILTERS: dict[str, Callable[..., Any]] = {
    "pattern": pattern,
    "work": work,
    "method": method,
    "pulled": pulled,
    "zones": zones,
    "fingerprint": fingerprint,
    "read_with": read_with,
    "starts": starts,
    "starts_said": starts_said,
    "by_maker": by_maker,
    "handle": handle,
}
"""The same as filters of templates, and how the handle is built up."""
