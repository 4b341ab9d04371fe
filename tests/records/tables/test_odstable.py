"""OpenDocument spreadsheets (ISO/IEC 26300-1, chapters 9 and 19): repeats, spans, formulas, remarks, and hostile ones."""

import time

import pytest
import workbooks

from passport.records.tables.cells import TableCell, Unusable
from passport.records.tables.reading import read_spreadsheet


def rows(table):
    """The rows of a table written by hand."""
    return read_spreadsheet(workbooks.ods_by_hand(table)).sheets[0].rows


def text(value, more=""):
    """A cell with a text."""
    return f'<table:table-cell office:value-type="string" {more}><text:p>{value}</text:p></table:table-cell>'


def repeated(name, times):
    """An attribute that counts."""
    return f'table:{name}="{times}"'


def test_cells_and_rows_that_repeat_are_written_out():
    """19.675 and 19.677: a repeated cell or row stands as often as it says; the empty end of a sheet is not kept."""
    twice = f'<table:table-row table:number-rows-repeated="2">{text("a", repeated("number-columns-repeated", 3))}</table:table-row>'
    end = '<table:table-row table:number-rows-repeated="1048574"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    assert [[cell.text for cell in row] for row in rows(twice + end)] == [["a"] * 3] * 2


def test_a_cell_over_several_rows_counts_for_each():
    """19.678: a spanned cell's value stands in its first row; the others are covered."""
    found = read_spreadsheet(workbooks.ods([["Who", "kg"], [("Ada", 2), 24], [..., 25]])).sheets[0].rows
    assert [(row[0].text, row[0].spread) for row in found[1:]] == [("Ada", False), ("Ada", True)]


def test_values_results_and_errors():
    """19.384 and 19.642: the value counts, not how it is shown; a formula without a value has no result."""
    line = (
        '<table:table-cell office:value-type="float" office:value="24.5"><text:p>24,5</text:p></table:table-cell>'
        '<table:table-cell office:value-type="float" office:value="24.5"><text:p>24,50 kg</text:p></table:table-cell>'
        '<table:table-cell table:formula="of:=2*12" office:value-type="float" office:value="24"><text:p>24</text:p></table:table-cell>'
        '<table:table-cell table:formula="of:=[.Z9]"/>'
        '<table:table-cell table:formula="of:=1/0" office:value-type="string"><text:p>#DIV/0!</text:p></table:table-cell>'
        '<table:table-cell office:value-type="date" office:date-value="2024-03-05T10:00:00"><text:p>05.03.24</text:p></table:table-cell>'
        '<table:table-cell office:value-type="string"><office:annotation><text:p>aside</text:p></office:annotation><text:p>a<text:s text:c="2"/>b</text:p></table:table-cell>'
    )
    found = rows(f"<table:table-row>{line}</table:table-row>")[0]
    assert [cell.text for cell in found] == ["24.5", "24.5 kg", "24", "=[.Z9]", "#DIV/0!", "2024-03-05", "a  b"]
    assert [cell.kind for cell in found] == ["number", "number", "number", "formula", "error", "date", "text"]


HOSTILE = {
    "a text a million times down": f'<table:table-row table:number-rows-repeated="1048576">{text("a")}</table:table-row>',
    "a text to the last column": f"<table:table-row>{text('a', repeated('number-columns-repeated', 16384))}</table:table-row>",
    "more repeats than there are numbers": f'<table:table-row table:number-rows-repeated="{"9" * 4000}">{text("a")}</table:table-row>',
    "a span over all rows": f"<table:table-row>{text('a', repeated('number-rows-spanned', 1048576))}</table:table-row>",
    "deep nesting": "<table:table-row>"
    + "<table:table-cell>" * 3000
    + "</table:table-cell>" * 3000
    + "</table:table-row>",
}


@pytest.mark.parametrize("table", HOSTILE.values(), ids=HOSTILE)
def test_a_table_that_claims_to_be_huge_takes_no_time(table):
    """C9: repeats and spans cost nothing to write, so they are bounded where they are written out."""
    start = time.process_time()
    try:
        found = rows(table)
    except Unusable as refused:
        assert str(refused)
    else:
        assert sum(map(len, found)) <= 20_001
    assert time.process_time() - start < 8


def test_an_empty_cell_is_none():
    """A cell without a value."""
    assert rows(f"<table:table-row><table:table-cell/>{text('b')}</table:table-row>")[0] == (
        TableCell(),
        TableCell("b"),
    )
