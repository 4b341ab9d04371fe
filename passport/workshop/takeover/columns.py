"""Which column of a table holds what: guessed from headings and from what stands below them, for a person to agree to."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Final

from passport.records.tables.cells import Sheet, TableCell, letters
from passport.workshop.takeover.dates import Order, Unsure, read_day, ways_of
from passport.workshop.takeover.fields import BY_NAME, FIELDS_OF_TABLES, IGNORED, NEEDED, TENSIONS, WITH_UNITS
from passport.workshop.takeover.figures import bare_amounts, is_tension, unit_of_column
from passport.workshop.takeover.folding import folded

_LOOKED_AT: Final = 30
"""Rows among which the headings stand."""
_UNIT = re.compile(
    r"[(\[/]?\s*\b(kg|kp|kgs|kilos?|lbs?|pounds?|hz|g|gr|gramm?|mm|cm|in|kgcm2|kg·?cm²)\b\s*[)\]]?", re.IGNORECASE
)
_USUAL = {"kp": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "lbs": "lb", "pound": "lb", "pounds": "lb", "hz": "Hz",
          "gr": "g", "gram": "g", "gramm": "g", "kg·cm²": "kgcm2", "kgcm²": "kgcm2"}  # fmt: skip
_EMAIL = re.compile(r"\S+@\S+\.\S+")
_PHONE = re.compile(r"\+?[0-9][0-9 /()-]{6,}")
_ANY_ORDER: Final[dict[str, Order | None]] = {"/": "day first", "-": "day first", ".": "day first"}


@dataclass(frozen=True, slots=True)
class TableColumn:
    """One column: its place, heading, what it holds (``ignore`` for nothing that is taken), and how many cells it has."""

    at: int
    heading: str
    field: str
    cells: int
    samples: tuple[str, ...]
    guessed: bool = True

    @property
    def letters(self) -> str:
        """The column as a spreadsheet names it."""
        return letters(self.at)


@dataclass(frozen=True, slots=True)
class TableGuess:
    """How a sheet is read: the row of its headings (0 where there is none), its columns, the units of bare figures.

    A unit is empty where nothing tells it. ``lacking`` are fields without which no job can be read.
    """

    sheet: Sheet
    heading: int
    columns: tuple[TableColumn, ...]
    units: dict[str, str]

    @property
    def lacking(self) -> tuple[str, ...]:
        """What no column holds and every job needs."""
        have = {column.field for column in self.columns}
        named = bool(have & {"customer", "last_name"})
        return tuple(name for name in NEEDED if name not in have and not (name == "customer" and named))

    def at(self, field: str) -> tuple[TableColumn, ...]:
        """The columns that hold a field."""
        return tuple(column for column in self.columns if column.field == field)

    def below(self, column: int) -> Iterator[tuple[str, TableCell]]:
        """The cells below a heading that hold something, with their places."""
        for number in range(self.heading + 1, len(self.sheet.rows) + 1):
            cell = self.sheet.cell(number, column)
            if cell.text:
                yield f"{letters(column)}{number}", cell


def guessed(
    sheet: Sheet, *, heading: int | None = None, said: dict[str, str] | None = None, units: dict[str, str] | None = None
) -> TableGuess:
    """How a sheet is likely meant; ``said`` is what a person has said of columns, by their letters, ``units`` of units."""
    row = _heading(sheet) if heading is None else heading
    width = max((len(cells) for cells in sheet.rows), default=0)
    first = TableGuess(sheet, row, (), {})
    named = [(at, sheet.cell(row, at).text if row else "") for at in range(width)]
    cells = {at: [cell for _, cell in first.below(at)] for at in range(width)}
    chosen = _assigned(named, cells, said or {})
    columns = tuple(
        TableColumn(
            at, heading, chosen.get(at, IGNORED), len(cells[at]), _samples(cells[at]), letters(at) not in (said or {})
        )
        for at, heading in named
        if cells[at] or heading
    )
    guess = TableGuess(sheet, row, columns, {})
    return TableGuess(sheet, row, columns, _units(guess) | (units or {}))


def is_heading(cells: Sequence[TableCell]) -> bool:
    """Whether a row names columns: at least two known headings, and no more than a few other texts."""
    texts = [cell.text for cell in cells if cell.text]
    known = sum(bool(_meanings(text)) for text in texts)
    return known >= 2 and known * 2 >= len(texts) and not any(cell.day or cell.kind == "number" for cell in cells)


def _heading(sheet: Sheet) -> int:
    """The row of the headings, 1 and up; 0 where there is none."""
    best, found = 1, 0
    for number, cells in enumerate(sheet.rows[:_LOOKED_AT], start=1):
        known = len({meaning for cell in cells if cell.text for meaning in _meanings(cell.text)[:1]})
        if known > best and is_heading(cells):
            best, found = known, number
    return found


@lru_cache(maxsize=1024)
def _meanings(heading: str) -> tuple[str, ...]:
    """The fields that a heading may mean, the likeliest first: the whole of it, or it with its unit or number taken off."""
    whole = _plain(heading)
    bare = _plain(_UNIT.sub(" ", heading))
    found = [field.name for field in FIELDS_OF_TABLES for form in (whole,) if form and form in field.words]
    found += [field.name for field in FIELDS_OF_TABLES if bare and bare in field.words and field.name not in found]
    if not found and len(bare.split()) in (2, 3):
        words = bare.split()
        found = [
            field.name for field in FIELDS_OF_TABLES if any(word in field.words for word in words if len(word) > 2)
        ]
    return tuple(found)


def _plain(heading: str) -> str:
    return " ".join(re.sub(r"[^a-z0-9 ]", " ", folded(heading)).split())


def _assigned(
    named: Sequence[tuple[int, str]], cells: dict[int, list[TableCell]], said: dict[str, str]
) -> dict[int, str]:
    """A field for each column, each once but those that may be several: what is said first, then the surest guesses."""
    result = {at: said[letters(at)] for at, _ in named if letters(at) in said}
    taken = {name for name in result.values() if name in BY_NAME and not BY_NAME[name].many}
    wishes = sorted(
        (-worth, order, at, name)
        for at, heading in named
        if at not in result
        for order, (name, worth) in enumerate(_wishes(heading, cells[at]))
    )
    for worth, _, at, name in wishes:
        if worth < 0 and at not in result and name not in taken:
            result[at] = name
            if not BY_NAME[name].many:
                taken.add(name)
    return result


def _wishes(heading: str, cells: list[TableCell]) -> Iterator[tuple[str, float]]:
    """What a column may hold, each with how well heading and cells speak for it."""
    meanings = _meanings(heading) if heading else ()
    for rank, name in enumerate(meanings):
        yield from ((other, 10 - rank + fit) for other, fit in _fitting(name, cells))
    if not meanings and cells:
        share = _share(cells, _is_day)
        if share > 0.7:
            yield "date", 3 + share
        if _share(cells, lambda cell: bool(_EMAIL.fullmatch(cell.text))) > 0.7:
            yield "email", 3.0


def _fitting(name: str, cells: list[TableCell]) -> Iterator[tuple[str, float]]:
    """A field, or the one that is meant by that heading over such cells, with how well the cells fit."""
    if not cells:
        yield name, -3.0
        return
    tension, day = _share(cells, is_tension), _share(cells, _is_day)
    if name == "date":
        yield name, 3 * day - (4 if day < 0.3 else 0)
    elif name in ("string", "mains", "crosses") and tension > 0.6:
        yield {"string": "tension", "mains": "mains_tension", "crosses": "crosses_tension"}[name], tension
    elif name in TENSIONS:
        big = _share(cells, _heavy)
        yield ("mass", big) if big > 0.6 else (name, 2 * tension - (4 if tension < 0.3 else 0))
    elif name in WITH_UNITS:
        yield name, _share(cells, lambda cell: any(c.isdigit() for c in cell.text)) - 0.5
    elif name == "phone":
        yield name, _share(cells, lambda cell: bool(_PHONE.fullmatch(cell.text)))
    elif name in ("customer", "racquet", "string"):
        figures = _share(cells, lambda cell: cell.kind == "number" or cell.day is not None)
        yield name, 1 - 8 * figures if figures > 0.6 else 1.0
    else:
        yield name, 0.0


def _share(cells: Iterable[TableCell], fits: Callable[[TableCell], bool]) -> float:
    known = list(cells)[:400]
    return sum(map(fits, known)) / len(known) if known else 0.0


def _is_day(cell: TableCell) -> bool:
    try:
        read_day(cell, _ANY_ORDER, date.max)
    except Unsure as unsure:
        return "would be" in str(unsure) or "calendar" in str(unsure)
    return True


def _heavy(cell: TableCell) -> bool:
    match = re.match(r"[0-9]{3}(?![0-9])", cell.text)
    return bool(match) and not cell.day


def _samples(cells: list[TableCell]) -> tuple[str, ...]:
    seen = dict.fromkeys(" ".join(cell.text.split())[:24] for cell in cells[:50])
    return tuple(seen)[:3]


def _units(guess: TableGuess) -> dict[str, str]:
    """The unit of each column's bare figures: its heading's, or what their size leaves no doubt of; else nothing."""
    found = {}
    for field in WITH_UNITS:
        for column in guess.at(field):
            cells = [cell for _, cell in guess.below(column.at)]
            unit = _UNIT.search(column.heading)
            said = _USUAL.get(unit[1].lower(), unit[1].lower()) if unit else ""
            if field in TENSIONS:
                bare = bare_amounts(cells)
                if bare:
                    found[field] = said if said in ("kg", "lb") else unit_of_column(bare)
            else:
                found[field] = said or _by_size(field, cells)
    return found


def _by_size(field: str, cells: list[TableCell]) -> str:
    numbers = [
        float(match[0].replace(",", ".")) for cell in cells if (match := re.match(r"[0-9]+(?:[.,][0-9]+)?", cell.text))
    ]
    middle = sorted(numbers)[len(numbers) // 2] if numbers else 0.0
    ranges = {
        "mass": (("g", 50, 450),), "swingweight": (("kgcm2", 50, 450),), "ring": (("Hz", 250, 1500),),
        "balance": (("mm", 200, 450), ("cm", 20, 45)),
    }  # fmt: skip
    return next((unit for unit, low, high in ranges[field] if low <= middle <= high), "")


def decided_ways(guess: TableGuess, said: dict[str, Order]) -> tuple[tuple[str, Order | None, str], ...]:
    """How days are written in a table's column of days, by sign: what a person said, else what the column tells."""
    columns = guess.at("date")
    ways = ways_of(pair for column in columns for pair in guess.below(column.at))
    return tuple(
        (way.sign, said.get(way.sign, way.order), "as the review list says" if way.sign in said else way.why)
        for way in ways
    )
