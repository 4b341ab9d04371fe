"""What a field of a record offers to choose from, in the shop's language; the record has the words of its format."""

from passport.render.theme.formats import Formats
from passport.workshop.facts.spoken_names import name_said


def choice(field: str, value: str, f: Formats) -> tuple[str, str]:
    """How one of the ``field``'s words is called, and the language that this is in: the word itself where it is a unit, or
    somebody's own name, or the house has no other for it."""
    words = _of_one_field(f).get((field, value)) or _of_any(f).get(value)
    if words:
        return words, f.words.language
    spoken = name_said(value)
    return spoken, "en" if spoken == value else f.words.language


def _of_one_field(f: Formats) -> dict[tuple[str, str], str]:
    """Words that mean something else in another field."""
    _ = f.words.gettext
    return {
        ("what", "done"): _("the work is done"), ("what", "due"): _("strings are due"),
        ("what", "replacement"): _("the replacement is built"),
        ("by", "mail"): _("by e-mail"), ("by", "text message"): _("by text message"),
        ("by", "told in person"): _("told in person"), ("by", "maker"): _("by the maker"), ("by", "shop"): _("by the shop"),
        ("status", "active"): _("in play"), ("supply", "set"): _("in sets"), ("supply", "reel"): _("from the reel"),
        ("came_as", "file"): _("as a file"), ("came_as", "page"): _("from the page"), ("came_as", "tag"): _("from the tag"),
        ("came_as", "history"): _("as a history"), ("material", "other"): _("other material"),
        ("throat", "open"): _("open throat"), ("throat", "shaft"): _("a shaft"),
        ("security", "none"): _("no encryption"),
    }  # fmt: skip


def _of_any(f: Formats) -> dict[str, str]:
    _ = f.words.gettext
    return {
        "yes": _("yes"), "no": _("no"), "unknown": _("unknown"), "broken": _("broken"), "lost": _("lost"),
        "retired": _("retired"), "throat": _("throat"), "head": _("head"), "left": _("left"), "right": _("right"),
        "constant pull": _("constant pull"), "lockout": _("lockout machine"), "drop weight": _("drop weight"),
        "by machine": _("pre-stretched by the machine"), "by hand": _("pre-stretched by hand"),
        "starting knot": _("starting knot"), "starting clamp": _("starting clamp"),
        "woven ahead": _("crosses woven one ahead"), "one by one": _("crosses woven one by one"), "none": _("none"),
        "found": _("found"), "clear": _("clear"), "dull": _("dull"), "sound": _("sound"), "worn": _("worn"),
        "missing": _("missing"), "chipped": _("chipped"), "whole": _("whole"), "cut out": _("cut out"),
        "right-handed": _("right-handed"), "left-handed": _("left-handed"), "butt": _("from the butt"),
        "top": _("from the top"), "before": _("before"), "after": _("after"), "strung": _("strung"), "bare": _("bare"),
        "level": _("level"), "tip down": _("tip down"), "nylon": _("nylon"), "polyester": _("polyester"),
        "aramid": _("aramid"), "gut": _("natural gut"), "tennis": _("Tennis"), "squash": _("Squash"),
        "badminton": _("Badminton"), "racketball": _("Racketball"), "ellipse": _("an ellipse"),
        "rounder": _("rounder than an ellipse"), "squarer": _("squarer than an ellipse"), "egg": _("shaped like an egg"),
        "teardrop": _("shaped like a drop"), "tape": _("tape"), "silicone": _("silicone"), "putty": _("putty"),
        "sleeve": _("sleeve"), "base grip": _("base grip"), "overgrip": _("overgrip"), "butt cap": _("butt cap"),
        "grommets": _("grommets"), "bumper": _("bumper"), "damper": _("damper"), "head tape": _("head tape"),
        "string savers": _("string savers"), "power pad": _("power pad"), "leather strip": _("leather strip"),
        "pallet foam": _("pallet foam"), "mass": _("mass"), "balance": _("balance"), "swingweight": _("swingweight"),
        "twistweight": _("twistweight"), "points": _("points"), "other": _("something else"),
    }  # fmt: skip
