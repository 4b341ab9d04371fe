"""What was written beside the steps of a bench sheet, as somebody types it: ``4: 306.1 318.5 290``. Pure.

The columns are those of the sheet: mass in g, balance in mm, swingweight in kg·cm², ``-`` for what was not read. Figures
with their units may stand in any order: ``4: 10.8 oz, 6 pt HL``, a timing behind its name: ``4: 306.1 g, pendulum 240 mm
14.3 s 10 swings``.
"""

import re
from collections.abc import Iterator
from typing import Any, Final

from passport.records.language.worded import unsaid, worded
from passport.workshop.entry.phrases import Unclear, fitted_of, pendulum_of, reader

_NUMBERED: Final = re.compile(r"\s*(?P<number>[0-9]{1,3})\s*(?:[:)]|\.(?=\s))\s*(?P<rest>.+)", re.DOTALL)
_FIGURE: Final = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[-–—]")
_NAMED: Final = re.compile(
    r"(?P<name>mass|balance|swingweight|twistweight|pendulum)\s*:?\s+(?P<value>.+)", re.IGNORECASE
)
_COLUMNS: Final = (("mass", "g"), ("balance", "mm"), ("swingweight", "kgcm2"))
_DO: Final = unsaid(
    "Write the number of the step first, then mass, balance and swingweight as in the sheet: '4: 306.1 318.5 290'."
)


def numbered(text: str) -> tuple[int, str]:
    """The number of a step and what is said of it. Raises `Unclear`."""
    found = _NUMBERED.fullmatch(text)
    if found is None or int(found["number"]) == 0:
        raise Unclear(worded("'{text}' names no step. {do}", text=text.strip(), do=worded(_DO)))
    return int(found["number"]), found["rest"].strip()


def read_after(text: str) -> tuple[int, dict[str, Any]]:
    """What was read after a step, as the data of a reading. Raises `Unclear`."""
    number, rest = numbered(text)
    words = rest.split()
    if all(_FIGURE.fullmatch(word) for word in words):
        return number, dict(_columns(words, text))
    found: dict[str, Any] = {}
    for one in filter(None, (one.strip() for one in re.split(r"[;]|,(?:\s+|$)", rest))):
        name, value = _figure(one, text)
        if name in found:
            raise Unclear(worded("'{text}' gives the {name} twice.", text=text.strip(), name=name))
        found[name] = pendulum_of(value) if name == "pendulum" else value
    return number, found


def done_otherwise(text: str) -> tuple[int, dict[str, str]]:
    """What was put on in a step instead of what was planned: ``6: tungsten-tape @ 3 and 9 = 2.2 g [55 mm]``. Raises
    `Unclear`."""
    number, rest = numbered(text)
    return number, fitted_of(rest)


def weighed_before(text: str) -> tuple[int, str]:
    """What the part of a step weighs: ``9: 24.6 g``, in g where no unit is said. Raises `Unclear`."""
    number, rest = numbered(text)
    mass = f"{rest} g" if _FIGURE.fullmatch(rest) else rest
    _read("mass", mass)
    return number, mass


def _columns(words: list[str], text: str) -> Iterator[tuple[str, str]]:
    if len(words) > len(_COLUMNS):
        raise Unclear(
            worded("'{text}' has more figures than the sheet has columns. {do}", text=text.strip(), do=worded(_DO))
        )
    read = [(name, f"{word} {unit}") for (name, unit), word in zip(_COLUMNS, words, strict=False) if word[0].isdigit()]
    if not read:
        raise Unclear(worded("'{text}' gives no figure. {do}", text=text.strip(), do=worded(_DO)))
    for name, value in read:
        _read(name, value)
        yield name, value


def _figure(one: str, text: str) -> tuple[str, str]:
    """One figure with its quantity: as it is named, else by its unit."""
    named = _NAMED.fullmatch(one)
    if named:
        _read(named["name"].lower(), named["value"])
        return named["name"].lower(), named["value"]
    for name, _ in _COLUMNS:
        try:
            _read(name, one)
        except Unclear:
            continue
        return name, one
    raise Unclear(
        worded(
            "'{one}' in '{text}' is no mass, balance or swingweight with its unit. {do}",
            one=one,
            text=text.strip(),
            do=worded(_DO),
        )
    )


def _read(name: str, value: str) -> None:
    read = reader(name)
    assert read, "quantities have readers"
    read(value)
