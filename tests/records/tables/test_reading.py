"""Spreadsheets of three forms become the same cells; what is no table is refused with a word on it."""

from datetime import date

import pytest
import workbooks

from passport.records.tables.cells import TableCell, Unusable, column_of, letters
from passport.records.tables.packed import LARGEST
from passport.records.tables.reading import read_spreadsheet

ROWS = [["Date", "Name", "kg"], [date(2024, 3, 5), "Ada", 24.5], [None, None, None], ["7.3.24", "Bo", "24/23"]]


def cells(data):
    """The cells of the first sheet."""
    return read_spreadsheet(data).sheets[0].rows


@pytest.mark.parametrize("data", [workbooks.xlsx(ROWS), workbooks.ods(ROWS)], ids=["xlsx", "ods"])
def test_a_workbook_becomes_cells(data):
    """Texts, numbers and days come as what they are; an empty row stays a row, so that numbers of rows are right."""
    assert cells(data) == (
        (TableCell("Date"), TableCell("Name"), TableCell("kg")),
        (TableCell("2024-03-05", "date", date(2024, 3, 5)), TableCell("Ada"), TableCell("24.5", "number")),
        (),
        (TableCell("7.3.24"), TableCell("Bo"), TableCell("24/23")),
    )


def test_csv_has_the_same_rows():
    """In CSV everything is text."""
    found = cells(b"Date;Name;kg\n2024-03-05;Ada;24,5\n;;\n7.3.24;Bo;24/23\n")
    assert [[cell.text for cell in row] for row in found] == [
        ["Date", "Name", "kg"], ["2024-03-05", "Ada", "24,5"], [], ["7.3.24", "Bo", "24/23"],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest", "old workbook"),
        (b"%PDF-1.7 rest", "PDF"),
        (b"", "empty"),
        (b"  \n\n", "empty"),
        (b"PK\x03\x04 no archive", "damaged"),
        (workbooks.packed({"letter.xml": "<a/>"}), "no spreadsheet"),
        (b"a" * (LARGEST + 1), "MB"),
    ],
)
def test_what_is_no_table_is_refused(data, words):
    """Each with what it is."""
    with pytest.raises(Unusable, match=words):
        read_spreadsheet(data)


def test_columns_have_the_letters_of_spreadsheets():
    """A to Z, then AA (ECMA-376 part 1, 18.18.62: references such as XFD1, the 16,384th column)."""
    assert [letters(n) for n in (0, 25, 26, 51, 52, 701, 702, 16_383)] == [
        "A",
        "Z",
        "AA",
        "AZ",
        "BA",
        "ZZ",
        "AAA",
        "XFD",
    ]
    assert [column_of(name) for name in ("A", "z", "AA", "", "7")] == [0, 25, 26, None, None]
