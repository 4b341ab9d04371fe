"""A workbook in Office Open XML (ECMA-376), read by openpyxl cell by cell: of a formula its stored result, nothing else.

The library's streaming way is taken: it makes no pictures, charts or merged areas, whose declared sizes cost nothing to
forge. Merged areas are read beside it.
"""

import re
import warnings
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from io import BytesIO
from itertools import islice, zip_longest
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
    column_of,
    number_text,
    sheet_of,
    spread,
)
from passport.records.tables.packed import repacked

_WIDEST: Final = 1_024
"""Cells of a row that are looked at: behind them nothing may stand, and what is only coloured there is not read."""
_LAST_ROW: Final = 1_048_576
_AREA = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7}):\$?([A-Z]{1,3})\$?([0-9]{1,7})")
_QUOTED = re.compile(r'"\s*([A-Za-zµ°²·/€£$%]{1,8})\.?\s*"')


def read_xlsx(parts: dict[str, bytes]) -> Spreadsheet:
    """The sheets of a workbook's unpacked parts. Raises `Unusable`."""
    from openpyxl import load_workbook  # only where a workbook is read: it is slow to load

    kept = {name: text for name, text in parts.items() if not name.startswith(("xl/externalLinks/", "customXml/"))}
    try:
        with warnings.catch_warnings():
            # What the library leaves out of a workbook's looks is nothing that is read here.
            warnings.simplefilter("ignore")
            formulas = load_workbook(repacked(kept), read_only=True, keep_links=False)
            results = load_workbook(repacked(kept), read_only=True, keep_links=False, data_only=True)
            sheets = [
                _sheet(sheet, results[sheet.title], parts)
                for sheet in formulas.worksheets
                if hasattr(sheet, "iter_rows")
            ]
    except Unusable:
        raise
    except Exception as error:
        # A file that was made to be wrong brings any error out of a library; it is one message for a person.
        raise Unusable(
            worded("This workbook cannot be read ({name}). Save it anew, or as .ods or CSV.", name=type(error).__name__)
        ) from error
    return Spreadsheet(tuple(sheets))


def _sheet(sheet: Any, result: Any, parts: dict[str, bytes]) -> Sheet:
    rows = [list(row) for row in _rows(sheet, result)]
    for column, first, last in _merged(parts.get(str(getattr(sheet, "_worksheet_path", "")), b"")):
        spread(rows, column, first, last)
    return sheet_of(str(sheet.title), rows, hidden=sheet.sheet_state != "visible")


def _rows(sheet: Any, result: Any) -> Iterator[list[TableCell]]:
    sheet.reset_dimensions()  # as declared they cost nothing to forge
    result.reset_dimensions()
    pairs = zip_longest(sheet.iter_rows(), result.iter_rows(), fillvalue=())
    for number, (written, shown) in enumerate(pairs, start=1):
        # The library makes an empty row for each number that is left out.
        if number > _LAST_ROW:
            raise Unusable(
                worded(
                    "The sheet '{title}' counts more rows than any program does. Save it anew.", title=sheet.title[:40]
                )
            )
        if not (written or shown):
            if number <= MOST_ROWS:
                yield []
            continue
        row = [_cell(one, other) for one, other in islice(zip_longest(written, shown), _WIDEST)]
        if len(written) > _WIDEST and any(cell.value is not None for cell in written[_WIDEST:]):
            raise Unusable(
                worded(
                    "Row {number} of '{title}' is wider than what is read. Take out what stands there.",
                    number=number,
                    title=sheet.title[:40],
                )
            )
        if number <= MOST_ROWS or any(cell.text for cell in row):
            yield row


def _cell(written: Any, shown: Any) -> TableCell:
    formula = written is not None and written.data_type == "f"
    value = shown.value if shown is not None else None
    if formula and value is None:
        return TableCell(_formula(written.value), "formula")
    if value is None:
        return EMPTY
    if shown.data_type == "e":
        return TableCell(str(value), "error")
    return value_cell(value, str(getattr(shown, "number_format", "") or ""))


def _formula(value: object) -> str:
    return str(getattr(value, "text", None) or value or "=")[:80]


def value_cell(value: object, shown_as: str = "") -> TableCell:
    """The cell of a value: a text, a number with the unit that its format puts behind it, a day, yes or no."""
    if isinstance(value, bool):
        return TableCell("yes" if value else "no")
    if isinstance(value, int | float):
        unit = _QUOTED.search(shown_as.partition(";")[0])
        text = number_text(value)
        return TableCell(f"{text} {unit[1]}" if unit else text, "number")
    if isinstance(value, datetime):
        return TableCell(value.date().isoformat(), "date", value.date())
    if isinstance(value, date):
        return TableCell(value.isoformat(), "date", value)
    if isinstance(value, time | timedelta):
        return TableCell(str(value))
    return TableCell(" ".join(str(value).split(" ")).strip(" \t\r\n\xa0"))


def _merged(text: bytes) -> Iterator[tuple[int, int, int]]:
    """Column, first and last row, 0 and up, of each merged area that is higher than one row."""
    if b"mergeCell" not in text:
        return
    try:
        for _, element in iterparse(BytesIO(text), forbid_dtd=True):
            area = _AREA.fullmatch(element.get("ref", "")) if element.tag.endswith("}mergeCell") else None
            if area:
                column, first, last = column_of(area[1]), int(area[2]) - 1, int(area[4]) - 1
                if column is not None and column < MOST_COLUMNS and first < last:
                    yield column, first, min(last, MOST_ROWS)
            element.clear()
    except (ParseError, DefusedXmlException) as error:
        raise Unusable(worded("This workbook is damaged. Save it anew.")) from error
