"""A table in CSV: its encoding and the sign between its cells are found out by what stands in it."""

import csv
import io
import re
from collections import Counter
from itertools import islice
from typing import Final

from passport.records.language.worded import worded
from passport.records.tables.cells import Sheet, Spreadsheet, TableCell, Unusable, sheet_of

_SIGNS: Final = (";", ",", "\t", "|")
_SAMPLE: Final = 60
_QUOTED_FORMULA = re.compile(r'="((?:[^"]|"")*)"')
_FORMULA = re.compile(r"=.*[(A-Za-z$].*", re.DOTALL)
_MARKED = re.compile(r"'(?=[=+@-])")
_ERROR = re.compile(r"#(?:REF!|VALUE!|DIV/0!|NAME\?|N/A|NUM!|NULL!|NV|WERT!|BEZUG!)|Err:[0-9]{3}", re.IGNORECASE)


def read_csv(data: bytes, name: str) -> Spreadsheet:
    """The one sheet of a CSV file. Raises `Unusable`."""
    text, encoding = _decoded(data)
    if not text.strip():
        raise Unusable(worded("The table is empty."))
    csv.field_size_limit(1_000_000)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=_sign(text)))
    except csv.Error as error:
        raise Unusable(worded("The table cannot be read: {error}.", error=error)) from None
    return Spreadsheet((_sheet(rows, name),), encoding)


def cell_of(text: str) -> TableCell:
    """A cell of a text. What programs write so that a figure stays a text is taken off; a formula has no result here."""
    clean = text.replace("\r\n", "\n").strip(" \t\r\n\xa0\ufeff")
    quoted = _QUOTED_FORMULA.fullmatch(clean)
    if quoted:
        return TableCell(quoted[1].replace('""', '"').strip())
    if _ERROR.fullmatch(clean):
        return TableCell(clean, "error")
    if _FORMULA.fullmatch(clean):
        return TableCell(clean, "formula")
    return TableCell(_MARKED.sub("", clean, count=1))


def _sheet(rows: list[list[str]], name: str) -> Sheet:
    return sheet_of(name, ([cell_of(text) for text in row] for row in rows))


def _decoded(data: bytes) -> tuple[str, str]:
    marked = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    for encoding in ("utf-16",) if marked else ("utf-8-sig", "cp1252"):
        try:
            return data.decode(encoding), "" if encoding.startswith("utf-8") else encoding
        except UnicodeDecodeError:
            continue
    raise Unusable(
        worded("This is no text in UTF-8 or Windows-1252. Save the table as .xlsx or .ods, or as CSV in UTF-8.")
    )


def _sign(text: str) -> str:
    """The sign that most rows have equally often, and often."""

    def worth(sign: str) -> tuple[int, int]:
        try:
            rows = list(islice(csv.reader(io.StringIO(text, newline=""), delimiter=sign), _SAMPLE))
        except csv.Error:
            return 0, 0
        widths = Counter(len(row) for row in rows if len(row) > 1)
        return max((count * min(width, 5), width) for width, count in widths.items()) if widths else (0, 0)

    return max(_SIGNS, key=worth)
