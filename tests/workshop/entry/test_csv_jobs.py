"""Past spreadsheets, read."""

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from passport.workshop.entry.csv_jobs import TableMap, read_table
from passport.workshop.entry.phrases import Unclear

MAP = TableMap.model_validate(
    {
        "date": "Date",
        "dates": "day.month.year",
        "frame": "Card",
        "columns": {"string": "String", "tension": "Tension", "mass": "Mass", "fit": "Fitted", "note": "Remarks"},
        "units": {"tension": "kg", "mass": "g"},
        "words": {"string": {"DP 125": "deep-petrol-125"}},
    }
)
HEAD = "Card;Date;String;Tension;Mass;Fitted;Remarks"


def rows(text, wanted=MAP):
    """The rows of a table."""
    return read_table(text.encode() if isinstance(text, str) else text, wanted).rows


def only(line):
    """The one row of a table with one."""
    (row,) = rows(f"{HEAD}\n{line}\n")
    return row


@pytest.mark.parametrize(
    ("units", "texts"),
    [
        ({"tension": "lb"}, ("52 lb", "50.5 lb")),
        ({"tension": "lb", "crosses_tension": "kg"}, ("52 lb", "50.5 kg")),
        ({"mass": "g"}, ("52", "50,5")),
    ],
)
def test_the_unit_of_tension_stands_for_both_sides(units, texts):
    """Where mains and crosses have columns of their own, the unit of ``tension`` is theirs unless they have their own."""
    columns = {"mains_tension": "M", "crosses_tension": "X"}
    wanted = TableMap.model_validate({"date": "D", "frame": "C", "columns": columns, "units": units})
    (row,) = rows("C;D;M;X\n1042-9;2024-02-06;52;50,5\n", wanted)
    assert (row.phrases["mains_tension"], row.phrases["crosses_tension"]) == texts


def test_a_row():
    """Words are taken as what they mean, bare figures get their unit, several parts are told apart; the rest is text."""
    row = only('1042-9; 06.02.2024 ;dp  125;24,5/23.5;330.1 g;"tape @ 12; tape @ 3 and 9";"=1+1; ok"')
    assert (row.number, row.frame, row.day, row.problem) == (2, "1042-9", date(2024, 2, 6), "")
    assert row.phrases == {
        "string": "deep-petrol-125",
        "tension": "24.5/23.5 kg",
        "mass": "330.1 g",
        "fit": ["tape @ 12", "tape @ 3 and 9"],
        "note": "=1+1; ok",
    }


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ('"=""1042-9"""', "1042-9"),
        ("'=1+1", "=1+1"),
        ("'tis", "'tis"),
        ("=HYPERLINK(1)", "=HYPERLINK(1)"),
        ("@cmd", "@cmd"),
        ("+44 1632", "+44 1632"),
        ('"two\nlines"', "two\nlines"),
    ],
)
def test_what_looks_like_a_formula_is_text(cell, text):
    """Nothing is worked out; only the wrapping that spreadsheets put around text is taken off."""
    row = only(f"1;06.02.2024;;;;;{cell}")
    assert row.phrases == {"note": text}


@pytest.mark.parametrize(
    ("form", "text", "day"),
    [
        ("day.month.year", "6.2.2024", date(2024, 2, 6)),
        ("month/day/year", "2/6/2024", date(2024, 2, 6)),
        ("year-month-day", "2024-02-06", date(2024, 2, 6)),
        ("year-month-day", "2024-02-06 00:00:00", date(2024, 2, 6)),
        ("day.month.yy", "06.02.24", date(2024, 2, 6)),
    ],
)
def test_dates(form, text, day):
    """Dates are read in the order that the mapping says."""
    wanted = MAP.model_copy(update={"dates": form})
    assert rows(f"{HEAD}\n1;{text};;;1;;\n", wanted)[0].day == day


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("1;31.02.2024;;;1;;", "'31.02.2024' is not a date written as day.month.year."),
        ("1;2024-02-06;;;1;;", "is not a date"),
        ("1;;;;1;;", "It has no date."),
        (";06.02.2024;;;1;;", "It names no frame."),
        ("1;06.02.2024;;;1;;;a", "8 cells under 7 headings"),
    ],
)
def test_a_row_that_does_not_fit(line, problem):
    """A row says why it does not fit, and the others are read all the same."""
    found = rows(f"{HEAD}\n{line}\n2;06.02.2024;;;1;;\n")
    assert problem in found[0].problem
    assert (found[1].number, found[1].frame, found[1].problem) == (3, "2", "")


@pytest.mark.parametrize("text", ["-2", "-2 kg", "1 kg looser"])
def test_a_change_of_tension_is_no_tension_of_a_table(text):
    """What is understood over a counter is more likely a slip in a table, and is never taken for one."""
    assert "is no tension but what one changes by" in only(f"1042-9;06.02.2024;DP 125;{text};;;").problem


def test_rows_are_counted_as_a_spreadsheet_counts():
    """Empty rows are passed over but counted, short ones are filled up, a cell of several lines is one row."""
    found = rows(f'{HEAD}\n;;;\n1;06.02.2024;;;;;"a\nb"\n\n2;06.02.2024;;24\n')
    assert [(row.number, row.frame) for row in found] == [(3, "1"), (5, "2")]


@pytest.mark.parametrize("sign", [";", ",", "\t", "|"])
def test_the_sign_between_cells_is_found(sign):
    """Semicolon, comma, tab and bar are told by the headings; a byte order mark and capitals make no difference."""
    text = "\ufeff" + f"{HEAD.upper()}\n1;06.02.2024;;;1;;\n".replace(";", sign)
    table = read_table(text.encode(), MAP)
    assert (table.delimiter, table.rows[0].frame) == (sign, "1")


@pytest.mark.parametrize(
    ("encoding", "read_as"),
    [("utf-8", "utf-8"), ("utf-8-sig", "utf-8"), ("cp1252", "cp1252"), ("utf-16", "utf-16")],
)
def test_encodings(encoding, read_as):
    """UTF-8 with and without a mark, Windows-1252 and UTF-16 are told apart."""
    table = read_table(f"{HEAD}\n1;06.02.2024;;;;;Größe 4 – gut\n".encode(encoding), MAP)
    assert table.encoding == read_as
    assert table.rows[0].phrases == {"note": "Größe 4 – gut"}


def test_an_encoding_that_is_named():
    """The mapping's encoding stands above guessing."""
    wanted = MAP.model_copy(update={"encoding": "cp1251"})
    assert rows(f"{HEAD}\n1;06.02.2024;;;;;да\n".encode("cp1251"), wanted)[0].phrases == {"note": "да"}
    with pytest.raises(Unclear, match="not text in klingon"):
        rows(HEAD, MAP.model_copy(update={"encoding": "klingon"}))


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "no column 'Date'|is empty"),
        (b"Card;Date;Mass\n", "no column 'String'"),
        (f"{HEAD};Mass\n".encode(), "more than one column 'Mass'"),
        (b"\x81\x8d\x8f", "not text"),
        (b"x" * 20_000_001, "20 MB"),
    ],
)
def test_what_is_no_such_table(data, problem):
    """A table without its headings, or no table at all, is refused in words."""
    with pytest.raises(Unclear, match=problem):
        rows(data)


def test_two_columns_name_a_frame():
    """Player and label together name the frame."""
    wanted = TableMap.model_validate(
        {"date": "D", "player": "P", "label": "L", "columns": {"mass": "M"}, "units": {"mass": "g"}}
    )
    (row,) = rows("P,L,D,M\nAda,Main,2024-02-06,331\n", wanted)
    assert (row.frame, row.phrases) == ("Ada Main", {"mass": "331 g"})


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"columns": {"tention": "T"}}, "tention"),
        ({"units": {"weight": "g"}}, "weight"),
        ({"dates": "%d.%m.%Y"}, "how dates are written"),
        ({"dates": "day.month"}, "how dates are written"),
        ({"colums": {}}, "colums"),
    ],
)
def test_a_mapping_with_a_slip(change, word):
    """A field that no job has, a form of dates that is none and an unknown key are refused."""
    with pytest.raises(ValidationError, match=re.escape(word)):
        TableMap.model_validate({"date": "D", "frame": "F", "columns": {"mass": "M"}} | change)


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data):
    """Whatever stands in the file, it is read as rows or refused in words."""
    try:
        table = read_table(HEAD.encode() + b"\n" + data, MAP)
    except Unclear:
        return
    assert all(row.problem or row.phrases is not None for row in table.rows)
