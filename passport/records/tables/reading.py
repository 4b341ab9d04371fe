"""Bytes of a spreadsheet file to its cells, whatever its name ends in: what it is, is told by what stands in it."""

from passport.records.language.worded import unsaid, worded
from passport.records.tables.cells import Spreadsheet, Unusable
from passport.records.tables.csvtable import read_csv
from passport.records.tables.odstable import read_ods
from passport.records.tables.packed import LARGEST, unpacked
from passport.records.tables.xlsxtable import read_xlsx

_ODS = b"application/vnd.oasis.opendocument.spreadsheet"
_SAVE = unsaid("Save it as .xlsx, .ods or .csv in the program it comes from.")


def read_spreadsheet(data: bytes, name: str = "table") -> Spreadsheet:
    """The sheets of a file in CSV, Office Open XML or OpenDocument; ``name`` is what a CSV file's sheet is called.

    No formula is worked out, no link followed. Raises `Unusable`.
    """
    if len(data) > LARGEST:
        raise Unusable(
            worded(
                "The table is {data:.0f} MB large; {largest:.0f} MB are read. Split it.",
                data=len(data) / 1e6,
                largest=LARGEST / 1e6,
            )
        )
    if data[:4] == b"\xd0\xcf\x11\xe0":
        raise Unusable(worded("This is an old workbook (.xls), or one with a password. {save}", save=worded(_SAVE)))
    if data[:5] == b"%PDF-":
        raise Unusable(worded("This is a PDF: what it shows are no cells. {save}", save=worded(_SAVE)))
    if data[:2] != b"PK":
        return read_csv(data, name)
    parts = unpacked(data)
    if parts.get("mimetype", b"").strip().startswith(_ODS):
        return read_ods(parts)
    if "[Content_Types].xml" in parts and any(part.startswith("xl/") for part in parts):
        return read_xlsx(parts)
    raise Unusable(worded("This file is packed, but no spreadsheet. {save}", save=worded(_SAVE)))
