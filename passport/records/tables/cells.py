"""What was read of a spreadsheet: sheets of cells, each the text that stands there and what kind of thing it is."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Final, Literal

from passport.records.language.worded import worded

Kind = Literal["text", "number", "date", "error", "formula"]
"""``formula`` is one of which the file holds no result, ``error`` one whose result is an error."""

MOST_ROWS: Final = 20_000
MOST_COLUMNS: Final = 200
LONGEST: Final = 4_000
"""Signs of a cell; a remark is shorter, and a longer text is a slip or an attack."""


class Unusable(ValueError):
    """A file that is not read as a table; a sentence or two for a person: why, and what to do."""


@dataclass(frozen=True, slots=True)
class TableCell:
    """One cell: its text with plain spaces at neither end, its kind, and the day where it holds one.

    A number's text has a point for a decimal sign, and the unit that the cell is shown with where its format has one.
    ``spread`` says that the value stands in a merged cell above and counts for this row, too.
    """

    text: str = ""
    kind: Kind = "text"
    day: date | None = None
    spread: bool = False


EMPTY: Final = TableCell()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its rows as they stand, the first one being row 1, without empty cells at their ends."""

    name: str
    rows: tuple[tuple[TableCell, ...], ...]
    hidden: bool = False

    def cell(self, row: int, column: int) -> TableCell:
        """The cell of a row, 1 and up, and a column, 0 and up; an empty one where none was read."""
        cells = self.rows[row - 1] if row <= len(self.rows) else ()
        return cells[column] if column < len(cells) else EMPTY


@dataclass(frozen=True, slots=True)
class Spreadsheet:
    """A file's sheets, and the encoding of a text file where it was not UTF-8."""

    sheets: tuple[Sheet, ...]
    encoding: str = ""


def letters(column: int) -> str:
    """A column's letters, ``A`` for 0 and ``AA`` for 26."""
    head, last = divmod(column, 26)
    return (letters(head - 1) if head else "") + chr(ord("A") + last)


def column_of(name: str) -> int | None:
    """The column of some letters, 0 for ``A``; None where they name none that is read."""
    number = 0
    for sign in name.strip().upper():
        if not "A" <= sign <= "Z" or number > MOST_COLUMNS:
            return None
        number = number * 26 + ord(sign) - ord("A") + 1
    return number - 1 if number else None


def number_text(value: float) -> str:
    """A number as somebody would type it: 15 digits at most, so that 0.1 + 0.2 is 0.3."""
    return f"{value:.15g}"


def sheet_of(name: str, rows: Iterable[Iterable[TableCell]], *, hidden: bool = False) -> Sheet:
    """A sheet of some rows. Raises `Unusable` where it has more rows or columns than are read, or a text is too long."""
    kept: list[tuple[TableCell, ...]] = []
    filled = 0
    for number, row in enumerate(rows, start=1):
        cells = list(row)
        while cells and not cells[-1].text:
            cells.pop()
        if cells:
            _bounded(name, number, cells)
            kept.extend(() for _ in range(number - 1 - len(kept)))
            kept.append(tuple(cells))
            filled += 1
    return Sheet(name, tuple(kept), hidden)


def _bounded(name: str, number: int, cells: list[TableCell]) -> None:
    if number > MOST_ROWS:
        raise Unusable(
            worded(
                "The sheet '{name}' has something in row {number:,}; {most_rows:,} rows are read. Split the table.",
                name=name[:40],
                number=number,
                most_rows=MOST_ROWS,
            )
        )
    if len(cells) > MOST_COLUMNS:
        raise Unusable(
            worded(
                "Row {number} of '{name}' has something in column {letters}; {most_columns} columns are "
                "read. Take out what stands there.",
                number=number,
                name=name[:40],
                letters=letters(len(cells) - 1),
                most_columns=MOST_COLUMNS,
            )
        )
    for column, cell in enumerate(cells):
        if len(cell.text) > LONGEST:
            raise Unusable(
                worded(
                    "Cell {letters}{number} of '{name}' holds {cell:,} signs; {longest:,} are read. Shorten it.",
                    letters=letters(column),
                    number=number,
                    name=name[:40],
                    cell=len(cell.text),
                    longest=LONGEST,
                )
            )


def spread(rows: list[list[TableCell]], column: int, first: int, last: int) -> None:
    """Let a merged cell's value count for each of its rows, 0 and up: the rows ``first`` + 1 to ``last`` get it."""
    if first >= len(rows) or column >= len(rows[first]):
        return
    value = replace(rows[first][column], spread=True)
    for row in rows[first + 1 : last + 1]:
        row.extend(EMPTY for _ in range(column + 1 - len(row)))
        row[column] = value
