"""A spreadsheet in OpenDocument (ISO/IEC 26300, the elements ``table:table``, ``table-row`` and ``table-cell``).

It is read as a stream: rows and cells may say that they repeat a million times, and only what holds something is kept.
"""

import re
from collections.abc import Iterator
from datetime import date
from io import BytesIO
from typing import Any, Final

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import ParseError, iterparse

from passport.records.language.worded import worded
from passport.records.tables.cells import (
    EMPTY,
    MOST_COLUMNS,
    MOST_ROWS,
    Sheet,
    Spreadsheet,
    TableCell,
    Unusable,
    letters,
    number_text,
    sheet_of,
    spread,
)

_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_CALC = "{urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0}"
_UNIT = re.compile(r"[-+]?[0-9][0-9.,\s]*([A-Za-zµ°²·/€£$%]{1,8})\.?")
_ERROR = re.compile(r"#[A-Z/0!?]+[!?]?|Err:[0-9]{3}")
_MOST_MERGED: Final = 20_000


def read_ods(parts: dict[str, bytes]) -> Spreadsheet:
    """The sheets of an OpenDocument file's unpacked parts. Raises `Unusable`."""
    try:
        return Spreadsheet(tuple(_sheets(parts.get("content.xml", b""))))
    except (ParseError, DefusedXmlException) as error:
        raise Unusable(
            worded("This spreadsheet is damaged. Open it in the program it comes from, and save it anew.")
        ) from error


def _sheets(text: bytes) -> Iterator[Sheet]:
    rows: list[list[TableCell]] = []
    merged: list[tuple[int, int, int]] = []
    name = ""
    depth = 0
    for event, element in iterparse(BytesIO(text), events=("start", "end"), forbid_dtd=True):
        if element.tag == f"{_TABLE}table":
            depth += 1 if event == "start" else -1
            if event == "start" and depth == 1:
                name, rows, merged = element.get(f"{_TABLE}name", ""), [], []
            elif event == "end" and depth == 0:
                yield _done(name, rows, merged)
                element.clear()
        elif event == "end" and depth == 1 and element.tag == f"{_TABLE}table-row":
            _add(element, rows, merged, name)
            element.clear()


def _done(name: str, rows: list[list[TableCell]], merged: list[tuple[int, int, int]]) -> Sheet:
    for column, first, last in merged:
        rows.extend([] for _ in range(min(last, MOST_ROWS) + 1 - len(rows)))
        spread(rows, column, first, min(last, MOST_ROWS))
    return sheet_of(name, rows)


def _add(element: Any, rows: list[list[TableCell]], merged: list[tuple[int, int, int]], name: str) -> None:
    """Put a row behind the others, as often as it repeats; an empty one is only counted."""
    cells = list(_cells(element, len(rows), merged, name))
    while cells and not cells[-1].text:
        cells.pop()
    times = _times(element, "number-rows-repeated")
    if len(rows) + times > MOST_ROWS:
        if cells:
            raise Unusable(
                worded(
                    "The sheet '{name}' has more than {most_rows:,} rows. Split the table.",
                    name=name[:40],
                    most_rows=MOST_ROWS,
                )
            )
        # Programs end a sheet with an empty row that repeats to its last one.
        times = max(0, min(times, MOST_ROWS - len(rows)))
    rows.extend(list(cells) for _ in range(times))


def _cells(row: Any, number: int, merged: list[tuple[int, int, int]], name: str) -> Iterator[TableCell]:
    column = 0
    for element in row:
        if element.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        cell = _cell(element) if element.tag == f"{_TABLE}table-cell" else EMPTY
        times = _times(element, "number-columns-repeated")
        if column + times > MOST_COLUMNS:
            if cell.text:
                where = f"{letters(min(column + times, 16_384) - 1)}{number + 1}"
                raise Unusable(
                    worded(
                        "The sheet '{name}' has something up to {where}; {most_columns} columns are read. Take it out.",
                        name=name[:40],
                        where=where,
                        most_columns=MOST_COLUMNS,
                    )
                )
            times = max(0, MOST_COLUMNS - column)
        rows = _times(element, "number-rows-spanned")
        if rows > 1 and len(merged) < _MOST_MERGED:
            merged.append((column, number, number + rows - 1))
        yield from (cell for _ in range(times))
        column += times


def _times(element: Any, name: str) -> int:
    said = element.get(f"{_TABLE}{name}", "1")
    return int(said) if said.isascii() and said.isdigit() and 0 < len(said) < 9 else 1


def _cell(element: Any) -> TableCell:
    kind, shown = element.get(f"{_OFFICE}value-type", ""), _shown(element)
    formula = element.get(f"{_TABLE}formula", "")
    if element.get(f"{_CALC}value-type") == "error" or (formula and _ERROR.fullmatch(shown)):
        return TableCell(shown or "#ERR", "error")
    if formula and not kind:
        return TableCell(formula.removeprefix("of:")[:80], "formula")
    if kind in ("float", "currency", "percentage"):
        return _number(element.get(f"{_OFFICE}value", ""), shown, kind)
    if kind == "date":
        return _date(element.get(f"{_OFFICE}date-value", ""), shown)
    return TableCell(shown)


def _number(value: str, shown: str, kind: str) -> TableCell:
    unit = _UNIT.fullmatch(shown) if kind != "percentage" else None
    try:
        text = number_text(float(value))
    except ValueError:
        return TableCell(shown)
    return TableCell(f"{text} {unit[1]}" if unit else text, "number")


def _date(value: str, shown: str) -> TableCell:
    try:
        day = date.fromisoformat(value[:10])
    except ValueError:
        return TableCell(shown)
    return TableCell(day.isoformat(), "date", day)


def _shown(element: Any) -> str:
    """The text of a cell's paragraphs; a remark that is attached to it is none of them."""
    lines = ["".join(_letters(child)) for child in element if child.tag == f"{_TEXT}p"]
    return "\n".join(lines).strip(" \t\r\n\xa0")


def _letters(element: Any) -> Iterator[str]:
    yield element.text or ""
    for child in element:
        if child.tag == f"{_TEXT}s":
            yield " " * min(_spaces(child), 100)
        elif child.tag in (f"{_TEXT}tab", f"{_TEXT}line-break"):
            yield " "
        elif child.tag != f"{_OFFICE}annotation":
            yield from _letters(child)
        yield child.tail or ""


def _spaces(element: Any) -> int:
    said = element.get(f"{_TEXT}c", "1")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 5 else 1
