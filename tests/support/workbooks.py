"""Spreadsheet files for tests: written by libraries that the importer does not use for it, or packed by hand."""

import io
import zipfile
from collections.abc import Mapping, Sequence

from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import CoveredTableCell, Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook

TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    '<Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
    "</Types>"
)
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELS = f'<Relationships xmlns="{_PACKAGE}"><Relationship Id="r1" Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>'
BOOK = (
    f'<workbook xmlns="{MAIN}" xmlns:r="{_OFFICE}"><sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets></workbook>'
)
BOOK_RELS = f'<Relationships xmlns="{_PACKAGE}"><Relationship Id="r1" Type="{_OFFICE}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>'
ODS = "application/vnd.oasis.opendocument.spreadsheet"
_NAMES = "urn:oasis:names:tc:opendocument:xmlns:"


def packed(parts: Mapping[str, str | bytes]) -> bytes:
    """An archive of some parts."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return held.getvalue()


def xlsx_by_hand(sheet: str, **more: str) -> bytes:
    """A workbook whose one sheet has this XML inside its root element (ECMA-376 part 1, 18.3)."""
    parts = {
        "[Content_Types].xml": TYPES, "_rels/.rels": RELS, "xl/workbook.xml": BOOK, "xl/_rels/workbook.xml.rels": BOOK_RELS,
        "xl/worksheets/sheet1.xml": f'<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="{MAIN}">{sheet}</worksheet>',
    }  # fmt: skip
    return packed({**parts, **more})


def ods_by_hand(table: str, head: str = "") -> bytes:
    """An OpenDocument spreadsheet whose one table has this XML inside (ISO/IEC 26300-1, 9.1)."""
    spaces = " ".join(f'xmlns:{short}="{_NAMES}{short}:1.0"' for short in ("office", "table", "text"))
    body = f'<office:body><office:spreadsheet><table:table table:name="S">{table}</table:table></office:spreadsheet></office:body>'
    content = f'<?xml version="1.0" encoding="UTF-8"?>{head}<office:document-content {spaces}>{body}</office:document-content>'
    return packed({"mimetype": ODS, "content.xml": content})


def xlsx(
    rows: Sequence[Sequence[object]], *, merge: Sequence[str] = (), formats: Mapping[str, str] | None = None
) -> bytes:
    """A workbook of some values; ``merge`` are areas, ``formats`` number formats by cell."""
    book = Workbook()
    sheet = book.active
    for row in rows:
        sheet.append(list(row))
    for area in merge:
        sheet.merge_cells(area)
    for cell, shown in (formats or {}).items():
        sheet[cell].number_format = shown
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


def ods(rows: Sequence[Sequence[object]], *, name: str = "S") -> bytes:
    """An OpenDocument spreadsheet of texts, numbers and days; a tuple is a value that spans so many rows."""
    document = OpenDocumentSpreadsheet()
    table = Table(name=name)
    for row in rows:
        line = TableRow()
        for value in row:
            line.addElement(_ods_cell(value))
        table.addElement(line)
    document.spreadsheet.addElement(table)
    held = io.BytesIO()
    document.write(held)
    return held.getvalue()


def _ods_cell(value: object) -> TableCell:
    span = {}
    if isinstance(value, tuple):
        value, span = value[0], {"numberrowsspanned": value[1], "numbercolumnsspanned": 1}
    if value is None:
        return TableCell()
    if value is ...:
        return CoveredTableCell()
    if isinstance(value, int | float):
        cell = TableCell(valuetype="float", value=str(value), **span)
        text = f"{value}"
    elif hasattr(value, "isoformat"):
        cell = TableCell(valuetype="date", datevalue=value.isoformat(), **span)
        text = value.strftime("%d.%m.%y")
    else:
        text = str(value)
        cell = TableCell(valuetype="string", **span)
    cell.addElement(P(text=text))
    return cell
