"""Whatever a file holds, it is read or refused with a sentence; whatever a table holds, each row comes out somewhere."""

import io
import zipfile
from datetime import date

import workbooks
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.records.tables.cells import Unusable
from passport.records.tables.reading import read_spreadsheet
from passport.workshop.takeover.decisions import ImportDecisions
from passport.workshop.takeover.taking import KnownShop, take_over

TODAY = date(2026, 11, 25)
ROWS = [
    ["Date", "Customer", "Racket", "String", "kg"],
    ["5.3.24", "Ada", "Larch", "Reed 1.25", 24.5],
    [date(2024, 3, 6), "Bo", "Elm", "Reed", "24/23"],
]
FILES = [workbooks.xlsx(ROWS, merge=["B2:B3"]), workbooks.ods(ROWS)]
CELLS = st.one_of(
    st.sampled_from(
        ["", "", "5.3.24", "2024-03-05", "3/4/24", "Ada", "ada", "Ädä", "A. Kern", "Larch 98", "Reed 125", "Reed/Flint", "24", "24/23",
         "53 lb", "Total", "Date", "Customer", "=A1", "#REF!", '"', "I", "x" * 300]
    ),
    st.text(max_size=6),
)  # fmt: skip
HEADS = st.sampled_from(
    [
        "Date",
        "Customer",
        "Vorname",
        "Nachname",
        "Schläger",
        "Racket no",
        "String",
        "Mains",
        "Quer",
        "kg",
        "Tension",
        "Remarks",
        "Marke",
        "Head",
        "",
        "?",
    ]
)


def whole(book):
    """Take a table over; each row that holds something must come out once."""
    found = take_over(book, ImportDecisions(), KnownShop(), TODAY)
    rows = [each.row for each in found.ready] + [*found.open_rows, *found.waiting, *found.left_out]
    places = [(row.sheet, row.number) for row in rows]
    assert len(set(places)) == len(places)
    held = {
        (guess.sheet.name, number)
        for guess in found.guesses if not guess.lacking
        for number, row in enumerate(guess.sheet.rows, start=1) if number > guess.heading and any(cell.text for cell in row)
    }  # fmt: skip
    assert set(places) == held


@settings(max_examples=80)
@given(st.lists(HEADS, min_size=2, max_size=8), st.lists(st.lists(CELLS, max_size=8), max_size=8))
def test_any_cells(head, rows):
    """Under any headings."""
    text = "\n".join(";".join(f'"{cell.replace(chr(34), chr(34) * 2)}"' for cell in row) for row in [head, *rows])
    try:
        book = read_spreadsheet(text.encode("utf-8", errors="replace"))
    except Unusable as unusable:
        assert str(unusable)
    else:
        whole(book)


@settings(max_examples=40)
@given(st.sampled_from(FILES), st.integers(0, 50), st.integers(0, 1 << 20), st.binary(max_size=12), st.integers(0, 12))
def test_any_change_of_a_workbook(data, which, at, new, gone):
    """In one of its parts, some bytes are put in the place of others."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = sorted(parts)[which % len(parts)]
    text = parts[name]
    place = at % (len(text) + 1)
    parts[name] = text[:place] + new + text[place + gone :]
    try:
        book = read_spreadsheet(workbooks.packed(parts))
    except Unusable as unusable:
        assert str(unusable)
    else:
        whole(book)
