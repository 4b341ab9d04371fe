"""Workbooks in Office Open XML: stored results, formats with units, merged cells, and files that were made to do harm."""

import time
from datetime import date

import pytest
import workbooks

from passport.records.tables.cells import TableCell, Unusable
from passport.records.tables.reading import read_spreadsheet
from passport.records.tables.xlsxtable import value_cell


def rows(data):
    """The rows of the first sheet."""
    return read_spreadsheet(data).sheets[0].rows


def test_of_a_formula_the_stored_result_is_read():
    """By ECMA-376 part 1, 18.3.1.40 and 18.3.1.96 the cell holds the formula in ``f`` and its last result in ``v``."""
    sheet = (
        '<sheetData><row r="1"><c r="A1"><f>2*12</f><v>24</v></c><c r="B1" t="str"><f>"a"</f><v>a</v></c>'
        '<c r="C1"><f>HYPERLINK("http://elsewhere.example")</f></c><c r="D1" t="e"><f>1/0</f><v>#DIV/0!</v></c></row></sheetData>'
    )
    first = rows(workbooks.xlsx_by_hand(sheet))[0]
    assert [cell.kind for cell in first] == ["number", "text", "formula", "error"]
    assert [cell.text for cell in first] == ["24", "a", '=HYPERLINK("http://elsewhere.example")', "#DIV/0!"]


def test_a_formula_without_a_result_is_one():
    """A program that writes formulas works none out; nor does this one."""
    assert rows(workbooks.xlsx([["x", "=2*12"]]))[0][1] == TableCell("=2*12", "formula")


def test_the_unit_of_a_format_belongs_to_the_figure():
    """``0.0 "kg"`` shows 24.5 kg, so that is what somebody wrote; a format without a text adds nothing."""
    found = rows(workbooks.xlsx([[24.5, 53, 18]], formats={"A1": '0.0 "kg"', "B1": '0" lbs"', "C1": "#,##0.00"}))[0]
    assert [cell.text for cell in found] == ["24.5 kg", "53 lbs", "18"]


def test_a_merged_cell_counts_for_all_its_rows():
    """Downwards it does, and says so; to the right it is a title and stands alone."""
    found = rows(workbooks.xlsx([["Title", None], ["Ada", 24], [None, 25], ["Bo", 26]], merge=["A1:B1", "A2:A3"]))
    assert found[0] == (TableCell("Title"),)
    assert [(row[0].text, row[0].spread) for row in found[1:]] == [("Ada", False), ("Ada", True), ("Bo", False)]


def test_what_a_library_says_of_looks_reaches_nobody(capsys):
    """A workbook without styles is read without a word; the tests take every warning for an error."""
    styles = f'<styleSheet xmlns="{workbooks.MAIN}"><cellXfs count="1"><xf/></cellXfs></styleSheet>'
    data = workbooks.xlsx_by_hand(
        '<sheetData><row r="1"><c r="A1"><v>24</v></c></row></sheetData>', **{"xl/styles.xml": styles}
    )
    assert rows(data)[0] == (TableCell("24", "number"),)
    assert capsys.readouterr().err == ""


def test_numbers_are_as_somebody_types_them():
    """A binary fraction's last digits are nobody's."""
    assert [value_cell(value).text for value in (0.1 + 0.2, 24.0, 1e3, True, date(2024, 1, 2))] == [
        "0.3", "24", "1000", "yes", "2024-01-02",
    ]  # fmt: skip


HOSTILE = {
    "one cell at the far corner": '<dimension ref="A1:XFD1048576"/><sheetData><row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>',
    "a merged area of all cells": '<sheetData><row r="1"><c r="A1"><v>1</v></c></row></sheetData><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>',
    "a declared size": '<dimension ref="A1:XFD1048576"/><sheetData><row r="1"><c r="A1"><v>1</v></c></row></sheetData>',
    "a row beyond all": '<sheetData><row r="99999999999"><c r="A99999999999"><v>1</v></c></row></sheetData>',
    "a broken reference": '<sheetData><row r="1"><c r="!!"><v>1</v></c></row></sheetData>',
    "an unclosed element": "<sheetData><row>",
    "a huge number": '<sheetData><row r="1"><c r="A1"><v>1e999</v></c><c r="B1"><v>nan</v></c></row></sheetData>',
    "a date far away": '<sheetData><row r="1"><c r="A1" t="d"><v>9999999-01-01</v></c></row></sheetData>',
    "a string that is not there": '<sheetData><row r="1"><c r="A1" t="s"><v>7000</v></c></row></sheetData>',
}


@pytest.mark.parametrize("sheet", HOSTILE.values(), ids=HOSTILE)
def test_a_sheet_that_claims_to_be_huge_takes_no_time(sheet):
    """C9: whatever a sheet says of its size, it is read or refused within seconds, and few cells come of it."""
    start = time.process_time()
    try:
        found = rows(workbooks.xlsx_by_hand(sheet))
    except Unusable as refused:
        assert str(refused)
    else:
        assert sum(map(len, found)) <= 20_001
    assert time.process_time() - start < 8


def test_links_to_other_files_are_not_followed():
    """C9: of a cell that takes its value from another workbook the stored one is read, and the link is dropped."""
    link = (
        '<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><externalBook/></externalLink>'
    )
    sheet = '<sheetData><row r="1"><c r="A1"><f>[1]S!A1</f><v>24</v></c></row></sheetData>'
    data = workbooks.xlsx_by_hand(sheet, **{"xl/externalLinks/externalLink1.xml": link})
    assert rows(data)[0] == (TableCell("24", "number"),)
