"""Words and figures as they are said at the bench: a part fitted somewhere, a repair, a tension for mains and crosses."""

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta

from pydantic import TypeAdapter, ValidationError
from pydantic_core import PydanticCustomError

from passport.physics import units as u
from passport.records.language.worded import unsaid, worded
from passport.records.schema.balance import parse_balance
from passport.records.schema.base import Day, Record, slug_of
from passport.records.schema.places import parse_place
from passport.records.schema.quantities import (
    ANGLE,
    GAUGE,
    INERTIA,
    LENGTH,
    MASS,
    MINUTES,
    PERCENT,
    RING,
    SECONDS,
    SPOT,
    TENSION,
    Dimension,
    bare_unit,
    lend_unit,
    parse,
    parse_temperature,
    tidy,
)
from passport.records.schema.stringpattern import read_zones
from passport.records.schema.workshop import Method

_FIT = re.compile(r"(?P<part>[^@=]+?)\s*@\s*(?P<place>[^=]+?)\s*(?:=\s*(?P<rest>.+))?")
_REPAIR = re.compile(
    r"(?P<what>[a-z ]+?)\s*(?:=\s*(?P<part>[^@:]+?)\s*)?(?:@\s*(?P<where>[^:]+?)\s*)?(?::\s*(?P<note>.+))?", re.I
)
_HANDLE = re.compile(
    r"(?P<sleeves>[0-9]+) sleeves?"
    r"|(?P<circumference>[0-9].*?)(?: round)?(?: over the (?P<over>base grip|overgrip))?"
    r"|(?:overgrip )?wound (?:(?P<wound>right-handed|left-handed)(?: from the (?P<wound_from>butt|top))?)"
    r"|(?:overgrip )?wound from the (?P<from_alone>butt|top)"
    r"|overlap (?P<overlap>.+)"
    r"|covered (?:to )?(?P<covered>.+)",
    re.I,
)
_HANDLE_DO = unsaid(
    "Write it as in '112 mm over the overgrip, 2 sleeves, wound right-handed from the butt, overlap 3 mm, covered 190 mm'."
)
_BETWEEN = re.compile(r"\s*[,\[\]]+\s+|\s+\[|(?<=[A-Za-z\"″])\s+(?=[0-9])")
NOTHING = "-"
"""Said where the last stringing had something that this one has not."""
_DAY: TypeAdapter[date] = TypeAdapter(Day)
_NUMBERS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_UNITS = {"lb": u.N_PER_LBF, "kg": u.N_PER_KGF}
_SPOKEN = {"pound": "lb", "lb": "lb", "lbf": "lb", "kilo": "kg", "kg": "kg", "kgf": "kg"}
_DOWN = frozenset({"looser", "lower", "less", "softer", "down"})
_UP = frozenset({"tighter", "higher", "more", "firmer", "up"})
_CHANGE = re.compile(
    rf"(?P<sign>[+-])? ?(?P<amount>[0-9]+(?:[.,][0-9]+)?|half an?|an?|{'|'.join(_NUMBERS[1:])}) ?"
    rf"(?P<unit>pounds?|lbs?|lbf|kilos?|kgs?|kgf)\.?(?: (?P<word>{'|'.join(sorted(_DOWN | _UP))}))?",
    re.IGNORECASE,
)
"""A change of tension: ``two pounds looser``, ``-2 lb``, ``+1 kg``."""


_SWUNG = re.compile(r"[\s,;]*(?P<figure>[0-9]+(?:[.,][0-9]+)?)\s*(?P<unit>[A-Za-z°\"″]+)")
_SWUNG_UNITS = {"s": ("time", SECONDS), "deg": ("amplitude", ANGLE), "°": ("amplitude", ANGLE)}
"""What a figure with this unit is; with any other it is the edge's distance."""
_SWUNG_DO = unsaid("Write the edge's distance from the butt, the time and the swings: '240 mm 14.3 s 10 swings 8 deg'.")


class Unclear(ValueError):
    """What was said cannot be turned into a job; a sentence or two for a person."""


def in_words(error: PydanticCustomError) -> str:
    """What is wrong with a value and what to do, as one text."""
    context = error.context or {}
    return f"{context.get('what', error)} {context.get('do', '')}".strip()


def pair(text: str, dimension: Dimension | None) -> tuple[str, str]:
    """One text for mains and crosses, or two: ``52/50 lb``, ``52 lb / 50 lb``, ``B23 / B24`` (spaces where no unit)."""
    if dimension is None:
        one, slash, other = text.partition(" / ")
        return (one.strip(), other.strip()) if slash else (text, text)
    try:
        parse(text, dimension)
    except PydanticCustomError:
        one, slash, other = text.partition("/")
        if slash and one.strip() and other.strip():
            return lend_unit(one.strip(), other.strip())
    return text, text


def pendulum_of(text: str) -> dict[str, str | int]:
    """A frame that was timed as a pendulum: ``240 mm 14.3 s 10 swings 8 deg``, the edge's distance from the butt, the time
    of so many full swings (of one, where their number is not said), and how far to each side, in any order. Raises `Unclear`.
    """
    found, end = list[tuple[str, str]](), 0
    while one := _SWUNG.match(text, end):
        figure, unit, end = one["figure"].replace(",", "."), one["unit"], one.end()
        if unit.lower() in ("swing", "swings"):
            found.append(("swings", figure))
        else:
            name, dimension = _SWUNG_UNITS.get(unit.lower(), ("pivot", SPOT))
            found.append((name, parse(f"{figure} {unit}", dimension).text))
    said = dict(found)
    whole = {"pivot", "time"} <= said.keys() and len(said) == len(found) and said.get("swings", "1").isdecimal()
    if not whole or text[end:].strip(" ,;."):
        raise Unclear(worded("'{text}' is no timing of a pendulum. {swung_do}", text=text, swung_do=worded(_SWUNG_DO)))
    timed: dict[str, str | int] = {"pivot": said["pivot"]}
    timed |= {"time": said["time"], "swings": int(said["swings"])} if "swings" in said else {"period": said["time"]}
    return timed | ({"amplitude": said["amplitude"]} if "amplitude" in said else {})


def fitted_of(text: str) -> dict[str, str]:
    """A fitted part: ``tungsten-tape @ 3 and 9 = 2.2 g [55 mm]``; mass and length may be left out.

    Raises `Unclear`.
    """
    match = _FIT.fullmatch(text.strip())
    if match is None:
        raise Unclear(
            worded(
                "'{text}' does not say what was fitted where. Write it as 'tungsten-tape @ 3 and 9 = 2.2 g [55 mm]'.",
                text=text,
            )
        )
    try:
        parse_place(match["place"])
    except PydanticCustomError as error:
        raise Unclear(in_words(error)) from None
    tree = {"part": match["part"], "place": " ".join(match["place"].split())}
    found = dict(_amount(one, text) for one in _BETWEEN.split((match["rest"] or "").strip(" []")) if one)
    return tree | {name: found[name] for name in ("length", "mass") if name in found}


def _amount(one: str, text: str) -> tuple[str, str]:
    for name, dimension in (("mass", MASS), ("length", LENGTH)):
        try:
            return name, parse(one, dimension).text
        except PydanticCustomError:
            continue
    raise Unclear(
        worded(
            "'{one}' in '{text}' is neither a mass nor a length. Write it as in '= 2.2 g [55 mm]'.", one=one, text=text
        )
    )


def repair_of(text: str) -> dict[str, str]:
    """A repair: ``bumper = marlpit-98-bumper @ 1 o'clock: worn through``; all but the first word may be left out.

    Raises `Unclear`.
    """
    match = _REPAIR.fullmatch(text.strip())
    if match is None:
        raise Unclear(
            worded("'{text}' is not a repair. Write it as in 'bumper = marlpit-98-bumper: worn through'.", text=text)
        )
    return {name: value.strip() for name, value in match.groupdict().items() if value}


def handle_of(text: str) -> dict[str, str]:
    """How the handle is built up: ``112 mm over the overgrip, 2 sleeves, wound right-handed from the butt, overlap 3 mm,
    covered 190 mm``; each may be left out, and a word by itself is its shape.

    Raises `Unclear`.
    """
    tree: dict[str, str] = {}
    for phrase in (" ".join(one.split()) for one in re.split(r"[,;]\s+", text.strip())):
        for name, value in _of_handle(phrase, text) if phrase else ():
            if name in tree:
                raise Unclear(worded("'{text}' says {name} twice.", text=text, name=name.replace("_", " ")))
            tree[name] = value
    if not tree:
        raise Unclear(worded("'{text}' says nothing of a handle. {handle_do}", text=text, handle_do=worded(_HANDLE_DO)))
    return tree


def method_of(text: str) -> dict[str, str]:
    """How the strings were pulled where that was not the workshop's way: ``machine: drop weight; dwell: 5 s``, by the keys
    of a method.

    Raises `Unclear`.
    """
    tree: dict[str, str] = {}
    for phrase in filter(None, (one.strip() for one in text.split(";"))):
        name, colon, value = (word.strip() for word in phrase.partition(":"))
        name = name.lower().replace("-", "_").replace(" ", "_")
        if not colon or not value or name not in Method.model_fields or name in tree:
            keys = ", ".join(key for key in Method.model_fields if key != "since")
            raise Unclear(
                worded(
                    "'{phrase}' says nothing new of a method. Write 'machine: drop weight; dwell: 5 s', by: {keys}.",
                    phrase=phrase,
                    keys=keys,
                )
            )
        tree[name] = value
    if not tree:
        raise Unclear(worded("This says nothing of a method. Write it as in 'machine: drop weight; dwell: 5 s'."))
    return tree


def _of_handle(phrase: str, text: str) -> Iterator[tuple[str, str]]:
    """The fields that one phrase of a handle says."""
    found = _HANDLE.fullmatch(phrase)
    if found is None:
        if not re.fullmatch(r"[^\W\d]+( [^\W\d]+)?", phrase):
            raise Unclear(
                worded(
                    "'{phrase}' in '{text}' says nothing of a handle. {handle_do}",
                    phrase=phrase,
                    text=text,
                    handle_do=worded(_HANDLE_DO),
                )
            )
        yield "shape", phrase
        return
    for name, value in found.groupdict().items():
        if value and name in ("circumference", "overlap", "covered"):
            try:
                yield name, parse(value, LENGTH).text
            except PydanticCustomError as error:
                raise Unclear(in_words(error)) from None
        elif value:
            yield name.replace("from_alone", "wound_from"), value.lower()


def known_as(name_or_words: str, table: Mapping[str, Record]) -> str:
    """The catalogue's own name for what somebody calls a string or part: its name, however spelt; else what was said."""
    low = " ".join(name_or_words.lower().split())
    for name, record in table.items():
        called, maker = str(getattr(record, "name", "")).lower(), str(getattr(record, "maker", "")).lower()
        if low in (name, called, f"{maker} {called}") or slug_of(name_or_words) == name:
            return name
    return name_or_words


def day_of(text: str, today: date) -> date:
    """A day as it is said: ``2026-11-25``, ``today`` or ``yesterday``. Raises `Unclear`."""
    known = {"today": today, "yesterday": today - timedelta(days=1)}
    if text.strip().lower() in known:
        return known[text.strip().lower()]
    try:
        return _DAY.validate_python(text.strip())
    except ValidationError as error:
        context = error.errors()[0].get("ctx", {})
        raise Unclear(f"{context.get('what', error)} {context.get('do', '')}".strip()) from None


def minutes_of(text: str) -> str:
    """A time since stringing: minutes where no unit is said."""
    bare = text.strip()
    return f"{bare} min" if re.fullmatch(r"[0-9]+(?:[.,][0-9]+)?", bare) else bare


def is_change(text: str) -> bool:
    """Whether a text says by how much a tension changes, and not what it is."""
    return _change(text) is not None


def pulled_from(text: str, last: str) -> str:
    """The tension that is meant where the ``last`` one was as written: ``two pounds looser``, ``-2 lb``, ``1 kg up``.

    In the unit of the last one, to the tenth. Raises `Unclear` where the last one is not known or nothing is left of it.
    """
    change = _change(text)
    if change is None:
        raise Unclear(
            worded("'{text}' says no change of a tension. Write it as in '2 lb looser' or '+1 kg'.", text=text)
        )
    if not last:
        raise Unclear(
            worded(
                "'{text}': no last tension is on record to start from. Say the tension itself, as in '52 lb'.",
                text=text,
            )
        )
    try:
        old = parse(last, TENSION)
        factor = TENSION.units[bare_unit(old.unit)]
        amount = round(old.amount + change / factor, 1)
        return parse(f"{amount:g} {old.unit}", TENSION).text
    except PydanticCustomError:
        raise Unclear(
            worded("'{text}' from {last} is no tension that a racquet is strung with.", text=text, last=last)
        ) from None


def _change(text: str) -> float | None:
    """The change in N; None where the text says none."""
    found = _CHANGE.fullmatch(tidy(text))
    if found is None or bool(found["sign"]) == bool(found["word"]):
        return None
    word = found["amount"].lower()
    amount = 0.5 if word.startswith("half") else float(word.replace(",", ".")) if word[0].isdigit() else count_of(word)
    unit = _UNITS[_SPOKEN[found["unit"].lower().removesuffix("s")]]
    down = found["sign"] == "-" if found["sign"] else found["word"].lower() in _DOWN
    return amount * unit * (-1 if down else 1)


def count_of(word: str) -> int:
    """A number that is said in figures or as a word; 0 where it is neither."""
    if word.isdecimal():
        return int(word)
    return 1 if word in ("a", "an") else _NUMBERS.index(word) if word in _NUMBERS else 0


def _pull(text: str) -> object:
    """One tension, or what it changes by."""
    return is_change(text) or parse(text, TENSION)


_READERS: dict[str, Callable[[str], object]] = {
    "mass": lambda text: parse(text, MASS),
    "balance": parse_balance,
    "swingweight": lambda text: parse(text, INERTIA),
    "twistweight": lambda text: parse(text, INERTIA),
    "axis": lambda text: parse(text, LENGTH),
    "pendulum": pendulum_of,
    "ring": lambda text: parse(text, RING),
    "minutes": lambda text: parse(minutes_of(text), MINUTES),
    "temperature": parse_temperature,
    "played": lambda text: parse(text, MINUTES),
    "tension": lambda text: is_change(text) or [parse(one, TENSION) for one in pair(text, TENSION)],
    "gauge": lambda text: [parse(one, GAUGE) for one in pair(text, GAUGE)],
    "prestretch": lambda text: [parse(one, PERCENT) for one in pair(text, PERCENT)],
    "mains_tension": _pull,
    "crosses_tension": _pull,
    "zones": read_zones,
    "fit": fitted_of,
    "handle": handle_of,
    "method": method_of,
    "repair": repair_of,
}


def reader(name: str) -> Callable[[str], object] | None:
    """What reads the text of a field and raises `Unclear` where it will not do; None where any text will."""
    read = _READERS.get(name.removeprefix("before_"))
    if read is None:
        return None

    def reading(text: str) -> object:
        try:
            return None if text == NOTHING else read(text)
        except PydanticCustomError as error:
            raise Unclear(in_words(error)) from None

    return reading
