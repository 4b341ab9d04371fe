"""How a frame's string runs, as people write it: holes (``mains 8 at throat and head``, ``8T 9H``), ways (``two pieces,
crosses from the head``), a workshop's own order of the strings, and pulls by zone (``mains last 2 at 49 lb``).

What is written in other words than these stays words: it is shown as it is, and nothing is worked out of it.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Annotated, Final, Literal

from passport.physics.stringing.holes import Hand
from passport.physics.stringing.ways import Arm, Strand, Way
from passport.physics.stringing.zones import Pull, PullZone, Reach
from passport.physics.stringpath import End, Side
from passport.records.language.worded import unsaid, worded
from passport.records.schema.base import OneOrMore, Record, Text, refuse
from passport.records.schema.quantities import PERCENT, TENSION, TextValue, lend_unit, parse, tidy
from passport.records.schema.visibility import Public

NO_HOLES: Final = "none"
"""Stands where somebody looked and there is no such hole."""

_HOLE = re.compile(r"([0-9]{1,2}) ?([TH])?(?![A-Za-z0-9])", re.IGNORECASE)
_WORD = re.compile(r"[0-9]+ ?[TH]?(?![A-Za-z0-9])|[A-Za-z]+|[;,.+&/]|\S", re.IGNORECASE)
_ENDS: Final[dict[str, End]] = {"throat": "throat", "head": "head", "t": "throat", "h": "head"}
_SIDES: Final[dict[str, Side]] = {"mains": "mains", "main": "mains", "crosses": "crosses", "cross": "crosses"}
_LINKS: Final = frozenset({"and", "at", "the", ",", ";", "+", "&", "/", "."})

_WAYS: Final[dict[str, Way]] = {
    "one piece": "one piece", "1 piece": "one piece", "1-piece": "one piece", "1pc": "one piece",
    "two pieces": "two pieces", "2 pieces": "two pieces", "two piece": "two pieces", "2-piece": "two pieces",
    "2pc": "two pieces", "around the world": "around the world", "atw": "around the world",
    "box": "box", "box pattern": "box",
}  # fmt: skip
_START = re.compile(
    r"(mains|crosses) (?:start(?:ing)? )?(?:from |at |in )?(?:the )?(throat|head|top|bottom)(?: down| up)?",
    re.IGNORECASE,
)
_SHORT = re.compile(r"short side (?:on the |is )?(left|right)|(left|right) short side", re.IGNORECASE)
_ARM = re.compile(r"(?:(short|long|left|right|crosses)(?: side)? ?: ?)(.*)", re.IGNORECASE)
_STRANDS = re.compile(
    r"(?:(short|long|left|right) )?(?:(mains?|cross(?:es)?) )?([0-9]{1,2})(?: ?[-–] ?([0-9]{1,2}))?", re.IGNORECASE
)
_EXAMPLE = "two pieces, crosses from the head"
_DIFFERENCE = replace(TENSION, name=unsaid("a difference of tension"), low=0.0, high=120.0, example="2 lb")


@dataclass(frozen=True, slots=True)
class NamedHole:
    """A hole as it was written: of mains or crosses where that was said, its end, number, and side where that was said."""

    of: Side | None
    end: End
    number: int
    hand: Hand | None = None


@lru_cache(maxsize=1024)
def read_holes(text: str) -> tuple[NamedHole, ...] | None:
    """The holes that a text names, ``mains 7 and 9 throat, 8 head`` or ``7T 9T 8H``; None where it says anything else.

    A number goes with the end that follows it, and with further ends until the next number. ``none`` names no hole.
    """
    clean = tidy(text)
    if clean.lower() == NO_HOLES:
        return ()
    reading = _HolesRead()
    understood = all(reading.word(word.lower()) for word in _WORD.findall(clean))
    return tuple(reading.found) if understood and reading.found and not reading.open else None


@dataclass(slots=True)
class _HolesRead:
    """What was read of a text so far: the ``found`` holes from ``group`` on share their numbers, ``numbers`` wait for an
    end while ``open``."""

    found: list[NamedHole] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    of: Side | None = None
    group: int = 0
    open: bool = False

    def word(self, word: str) -> bool:
        """Take one word; whether it was understood where it stands."""
        hole = _HOLE.fullmatch(word)
        if hole:
            return self._number(int(hole[1])) and (not hole[2] or self._end(_ENDS[hole[2]]))
        if word in _SIDES:
            self.of, fits = _SIDES[word], not self.open
            self.numbers = []
            return fits
        if word in ("throat", "head"):
            return self._end(_ENDS[word])
        if word in ("left", "right"):
            return self._hand("left" if word == "left" else "right")
        return word in _LINKS

    def _number(self, number: int) -> bool:
        self.numbers = [*(self.numbers if self.open else ()), number]
        self.open = True
        return number > 0

    def _end(self, end: End) -> bool:
        self.group, self.open = len(self.found), False
        self.found += [NamedHole(self.of, end, number) for number in self.numbers]
        return bool(self.numbers)

    def _hand(self, hand: Hand) -> bool:
        self.found[self.group :] = [replace(hole, hand=hand) for hole in self.found[self.group :]]
        return bool(self.found) and not self.open


@dataclass(frozen=True, slots=True)
class PathText:
    """A way to string as it was written: the way, where mains and crosses start, the short side, or a ``variant``'s name."""

    text: str
    way: Way | None = None
    mains_start: End | None = None
    crosses_start: End | None = None
    short: Hand | None = None
    variant: str = ""


def read_path(text: str) -> PathText:
    """``two pieces, crosses from the head`` or a variant's name with what differs. Raises the error of a bad value."""
    clean = tidy(text)
    said: dict[str, str] = {}
    for phrase in filter(None, (each.strip() for each in re.split(r"[,;]", clean))):
        for name, value in _phrase(phrase):
            if said.setdefault(name, value) != value:
                what = worded(
                    "'{clean}' says two things of {spoken}: '{said}' and '{value}'.",
                    clean=clean[:60],
                    spoken=worded(_SPOKEN[name]),
                    said=said[name],
                    value=value,
                )
                raise refuse("string-path", what, worded("Keep the one that is right."))
    if not said:
        raise refuse(
            "string-path",
            worded("This names no way to string a frame."),
            worded("Write it as in '{example}'.", example=_EXAMPLE),
        )
    return PathText(clean, **said)  # type: ignore[arg-type]  # the values are those of the tables above


_SPOKEN: Final = {
    "way": unsaid("the way"),
    "mains_start": unsaid("where the mains start"),
    "crosses_start": unsaid("where the crosses start"),
    "short": unsaid("the short side"),
    "variant": unsaid("the variant"),
}


def _phrase(phrase: str) -> Iterator[tuple[str, str]]:
    low, start, short = phrase.lower(), _START.fullmatch(phrase), _SHORT.fullmatch(phrase)
    if low in _WAYS:
        yield "way", _WAYS[low]
    elif start:
        end = {"top": "head", "bottom": "throat"}.get(start[2].lower(), start[2].lower())
        yield f"{start[1].lower()}_start", end
    elif short:
        yield "short", (short[1] or short[2]).lower()
    elif re.fullmatch(r"[\w][\w' -]{0,40}", phrase) and not re.match(r"(?:mains?|cross(?:es)?|short)\b", low):
        yield "variant", phrase
    else:
        do = worded(
            "Write the way, where mains and crosses start, and the short side, as in '{example}, short side left'.",
            example=_EXAMPLE,
        )
        raise refuse("string-path", worded("'{phrase}' is no part of a way to string a frame.", phrase=phrase[:40]), do)


def read_order(text: str, short: Hand = "left") -> tuple[Arm, ...]:
    """A workshop's own order, ``short: mains 1-7; long: mains 1-8, cross 19, short main 8, crosses 1-18``.

    The two sides that leave the middle of the mains, the short one first (or left and right), then ``crosses:`` where
    they are a piece of their own. Mains are numbered from the centre, crosses from the head. Raises a bad value's error.
    """
    arms: dict[str, Arm] = {}
    long: Hand = "right" if short == "left" else "left"
    hands: dict[str, Hand] = {"short": short, "long": long, "left": "left", "right": "right"}
    for part in filter(None, (each.strip() for each in tidy(text).split(";"))):
        arm = _ARM.fullmatch(part)
        if not arm or arm[1].lower() in arms:
            raise _no_order(part)
        name = arm[1].lower()
        arms[name] = tuple(_strands(arm[2], hands.get(name), hands))
    names = [*arms]
    if sorted(names[:2]) not in (["long", "short"], ["left", "right"]) or names[2:] not in ([], ["crosses"]):
        raise _no_order(text)
    first, second = ("short", "long") if "short" in arms else ("left", "right")
    return (arms[first], arms[second], *(arms[name] for name in names[2:]))


def _strands(text: str, own: Hand | None, hands: dict[str, Hand]) -> Iterator[Strand]:
    of: Side = "mains" if own else "crosses"
    for part in filter(None, (each.strip() for each in text.split(","))):
        found = _STRANDS.fullmatch(part)
        if not found:
            raise _no_order(part)
        if found[2]:
            of = "mains" if found[2].lower().startswith("main") else "crosses"
        hand = hands[found[1].lower()] if found[1] else own
        first, last = int(found[3]), int(found[4] or found[3])
        step = 1 if last >= first else -1
        for number in range(first, last + step, step):
            yield Strand(of, number, hand if of == "mains" else None)


def _no_order(text: str) -> Exception:
    do = worded("Write it as in 'short: mains 1-7; long: mains 1-8, cross 19, short main 8, crosses 1-18'.")
    return refuse("string-path", worded("'{text}' is no order of mains and crosses.", text=text.strip()[:60]), do)


PathWords = Annotated[PathText, TextValue(read_path, _EXAMPLE, pattern=r"[A-Za-z]")]
"""A way to string a frame, in words."""


_ZONE = re.compile(
    r"(?:(mains?|cross(?:es)?) )?(?:(first|last|outer)(?: ([0-9]{1,2}))?|([0-9]{1,2})(?: ?[-–] ?([0-9]{1,2}))?)"
    r"(?: (mains?|cross(?:es)?))?(?: ?: ?| ?= ?| at | )([+-]? ?[0-9].*)",
    re.IGNORECASE,
)
_ZONES_EXAMPLE = "mains last 2 at 49 lb; crosses first 4 -2 lb"


@dataclass(frozen=True, slots=True)
class ZonedPulls:
    """Pulls by zone as they were written, ``unit`` the first that was named, ``%`` where no other was."""

    text: str
    zones: tuple[PullZone, ...]
    unit: str = "%"

    def of(self, side: Side) -> tuple[PullZone, ...]:
        """The zones of the mains or the crosses."""
        return tuple(zone for zone in self.zones if zone.of == side)

    def moved(self, mains: float, crosses: float) -> "ZonedPulls":
        """The same zones where the mains are pulled with so much more N, and the crosses with so much."""
        return replace(self, zones=tuple(zone.moved(mains if zone.of == "mains" else crosses) for zone in self.zones))


def read_zones(text: str) -> ZonedPulls:
    """Pulls by zone, ``mains last 2 at 49 lb; crosses 1-6 24 lb to 26 lb``. Raises an error of a bad value.

    ``first`` and ``last`` as the strings are pulled, ``outer`` at the edge, numbers from the centre (mains) or the head
    (crosses); a pull of its own, rising or falling to another one, or ``+2 lb``, ``-5 %`` beside the rest of its side.
    """
    clean, zones, unit = tidy(text), list[PullZone](), ""
    of: Side | None = None
    for part in filter(None, (each.strip() for each in re.split(r";|,(?= )", clean))):
        found = _ZONE.fullmatch(part)
        side = (found[1] or found[6] or "") if found else ""
        of = _SIDES.get(side.lower(), of)
        if not found or of is None or found[3] in ("0", "00"):
            do = worded(
                "Name mains or crosses, which of them, and the pull, as in '{zones_example}'.",
                zones_example=_ZONES_EXAMPLE,
            )
            raise refuse("string-zones", worded("'{part}' names no zone with its pull.", part=part[:60]), do)
        pulls, written = _pulls(found[7])
        unit = unit or written
        reach: Reach = found[2].lower() if found[2] else "numbered"  # type: ignore[assignment]  # one of the three
        start = int(found[4] or 1)
        zones.append(PullZone(of, reach, int(found[3] or found[5] or start), pulls, start))
    if not zones:
        raise refuse(
            "string-zones",
            worded("This names no zone."),
            worded("Write it as in '{zones_example}'.", zones_example=_ZONES_EXAMPLE),
        )
    return ZonedPulls(clean, tuple(zones), unit or "%")


def _pulls(text: str) -> tuple[tuple[Pull, Pull], str]:
    """A pull, or the first and the last of several, with the unit that it is written in; empty for a percentage."""
    if text[0] not in "+-":
        one, _, other = text.partition(" to ")
        first, last = (parse(each, TENSION) for each in (lend_unit(one, other) if other else (one, one)))
        return (Pull(first.value), Pull(last.value)), first.unit
    sign, amount = (-1 if text[0] == "-" else 1), text[1:].strip()
    if amount.endswith("%"):
        share = sign * parse(amount, PERCENT).value / 100
        return (Pull(share=share), Pull(share=share)), ""
    found = parse(amount, _DIFFERENCE)
    return (Pull(more=sign * found.value), Pull(more=sign * found.value)), found.unit


ZoneText = Annotated[ZonedPulls, TextValue(read_zones, _ZONES_EXAMPLE, pattern=r"[0-9]")]
"""Pulls by zone, in words and figures."""


class Variant(Record):
    """One way to string a model: a short form as ``path``, or the shop's own ``order``; ``by`` the maker or the shop.

    ``tie_offs`` are the holes of this way, where they are not all of the pattern's.
    """

    name: Public[Text]
    path: Public[PathWords | None] = None
    order: Public[Text] = ""
    tie_offs: Public[Text] = ""
    by: Public[Literal["maker", "shop"] | None] = None


Variants = Annotated[tuple[Variant, ...], OneOrMore]
"""The ways to string a model, by name."""
