"""Days as people write them in tables, in several ways in one column: what is ambiguous is decided for the whole column.

``03/04/2024`` is March or April; a column in which ``25/04/2024`` is written the same way tells which. Ways are told apart
by their sign (``/``, ``-``, ``.``), since two hands write into one table. A column that tells nothing is asked about.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Final, Literal

from babel.dates import get_month_names

from passport.records.tables.cells import TableCell
from passport.workshop.takeover.folding import folded

Order = Literal["day first", "month first"]
ORDERS: Final[tuple[Order, ...]] = ("day first", "month first")
_LANGUAGES: Final = ("en", "de", "fr", "es", "it", "nl", "pt")
_EARLIEST: Final = date(1970, 1, 1)
_TIME = re.compile(
    r"[T,]?\s*[0-9]{1,2}[:h][0-9]{2}(?::[0-9]{2})?(?:\.[0-9]+)?\s*(?:[ap]\.?m\.?|uhr|h)?$", re.IGNORECASE
)
_WEEKDAY = re.compile(r"^[^\W\d_]{2,10}[.,]?\s+(?=[0-9]{1,4}\s*[-/.]|[0-9]{1,2}\.?\s+[^\W\d_])")
_YEAR_FIRST = re.compile(r"([12][0-9]{3})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})|([12][0-9]{3})([01][0-9])([0-3][0-9])")
_YEAR_LAST = re.compile(r"([0-9]{1,2})\s*([-/.])\s*([0-9]{1,2})\s*\2\s*([0-9]{4}|[0-9]{2})\.?")
_NAMED = re.compile(
    r"(?:([0-9]{1,2})(?:st|nd|rd|th|er|\.|º|°)?[\s-]*(?:de |of )?([^\W\d_]+)\.?[\s,-]*(?:de |del )?'?([0-9]{4}|[0-9]{2}))"
    r"|(?:([^\W\d_]+)\.?\s*([0-9]{1,2})(?:st|nd|rd|th)?\s*,?\s+'?([0-9]{4}|[0-9]{2}))",
    re.IGNORECASE,
)


class Unsure(ValueError):
    """A cell whose meaning is not plain; a sentence or two for a person: why, and what would fit."""


@dataclass(frozen=True, slots=True)
class DateWay:
    """How days with one sign are written in a column, ``None`` where nothing tells; and what tells it."""

    sign: str
    order: Order | None
    why: str


def written_with(text: str) -> str:
    """The sign of a day that is written in figures with its year last; empty for every other text."""
    match = _YEAR_LAST.fullmatch(_bare(text))
    return match[2] if match else ""


def ways_of(cells: Iterable[tuple[str, TableCell]]) -> tuple[DateWay, ...]:
    """How the days of a column are written, by sign; ``cells`` come with their places, as in ``B7``."""
    seen: dict[str, dict[Order, list[str]]] = {}
    for place, cell in cells:
        match = _YEAR_LAST.fullmatch(_bare(cell.text)) if not cell.day else None
        if match:
            told = seen.setdefault(match[2], {"day first": [], "month first": []})
            first, second = int(match[1]), int(match[3])
            if first > 12 >= second:
                told["day first"].append(f"{place} '{cell.text}'")
            elif second > 12 >= first:
                told["month first"].append(f"{place} '{cell.text}'")
    return tuple(_way(sign, told) for sign, told in sorted(seen.items()))


def _way(sign: str, told: Mapping[Order, list[str]]) -> DateWay:
    days, months = told["day first"], told["month first"]
    if days and months:
        return DateWay(sign, None, f"both ways stand in the column: {days[0]} and {months[0]}")
    if days or months:
        order: Order = "day first" if days else "month first"
        return DateWay(sign, order, f"as {(days or months)[0]} tells")
    if sign == ".":  # common practice, no source: with dots the day stands first in every country that uses them
        return DateWay(sign, "day first", "as days with dots are written")
    return DateWay(sign, None, "no day in the column is later than the 12th, so nothing tells")


def read_day(cell: TableCell, ways: Mapping[str, Order | None], today: date) -> date:
    """The day of a cell. Raises `Unsure` where it holds none, or one that may be another."""
    found = cell.day or _read(_bare(cell.text), ways, today)
    if found > today:
        raise Unsure(f"{found.isoformat()} is in the future. Write the day that is meant, as in 2024-03-05.")
    if found < _EARLIEST:
        raise Unsure(f"{found.isoformat()} is too long ago to be meant. Write the day, as in 2024-03-05.")
    return found


def _bare(text: str) -> str:
    return _WEEKDAY.sub("", _TIME.sub("", text.strip()).strip()) if text else ""


def _read(text: str, ways: Mapping[str, Order | None], today: date) -> date:
    if not text:
        raise Unsure("It has no date. Write the day, as in 2024-03-05.")
    match = _YEAR_FIRST.fullmatch(text)
    if match:
        parts = [part for part in match.groups() if part]
        return _day(int(parts[0]), int(parts[1]), int(parts[2]), text)
    match = _YEAR_LAST.fullmatch(text)
    if match:
        return _in_figures(match, ways, today, text)
    match = _NAMED.fullmatch(text)
    month = _months().get(folded(match[2] or match[4])) if match else None
    if match and month:
        return _day(_year(match[3] or match[6], today), month, int(match[1] or match[5]), text)
    raise Unsure(f"'{text[:40]}' is no day with month and year. Write it as in 2024-03-05.")


def _in_figures(match: re.Match[str], ways: Mapping[str, Order | None], today: date, text: str) -> date:
    first, second, year = int(match[1]), int(match[3]), _year(match[4], today)
    order = ways.get(match[2])
    if first > 12 or second > 12 or first == second:
        # It says by itself which is the month; where the column is otherwise, one of the two is a slip.
        own: Order = "day first" if first > 12 or first == second else "month first"
        if order and own != order and first != second:
            raise Unsure(f"'{text}' would be {own}, and this column is {order}. Write the day, as in 2024-03-05.")
        order = own
    if order is None:
        one, other = (f"{year}-{m:02}-{d:02}" for d, m in ((first, second), (second, first)))
        raise Unsure(f"'{text}' is {one} or {other}, and nothing tells which. Write the day that is meant.")
    day, month = (first, second) if order == "day first" else (second, first)
    return _day(year, month, day, text)


def _year(text: str, today: date) -> int:
    if len(text) == 4:
        return int(text)
    return int(text) + (2000 if int(text) <= today.year % 100 else 1900)


def _day(year: int, month: int, day: int, text: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise Unsure(f"There is no day '{text[:40]}' in the calendar. Write it as in 2024-03-05.") from None


@lru_cache(maxsize=1)
def _months() -> dict[str, int]:
    """The months' names and short forms in the languages that tables are kept in; what means two months means none."""
    found: dict[str, set[int]] = {}
    for language in _LANGUAGES:
        for width in ("wide", "abbreviated"):
            for context in ("format", "stand-alone"):
                for number, name in get_month_names(width, context, language).items():
                    found.setdefault(folded(str(name)), set()).add(int(number))
    found.setdefault("sept", set()).add(9)
    found.setdefault("marz", set()).add(3)
    found.setdefault("maerz", set()).add(3)
    return {name: numbers.pop() for name, numbers in found.items() if len(numbers) == 1}
