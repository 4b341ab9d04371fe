"""Days as people write them: by name, in figures, in several ways in one column; ambiguous ones by the whole column."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.records.tables.cells import TableCell
from passport.workshop.takeover.dates import Unsure, read_day, ways_of

TODAY = date(2026, 11, 25)
WAYS = {"/": "day first", "-": "day first", ".": "day first"}
DAY = date(2024, 3, 5)


@pytest.mark.parametrize(
    "text",
    ["2024-03-05", "2024/3/5", "20240305", "5.3.2024", "05.03.24", "5/3/24", "05-03-2024", "5. März 2024", "5 March 2024",
     "March 5, 2024", "5th March 2024", "5 mars 2024", "5 de marzo de 2024", "5 marzo 2024", "05-Mar-24", "Tue 5.3.24",
     "mar. 5/3/24", "5.3.2024 14:30", "2024-03-05 00:00:00", "2024-03-05T10:15:00"],
)  # fmt: skip
def test_one_day_in_many_ways(text):
    """The names of months are those of Unicode's CLDR; years of two digits are the last hundred."""
    assert read_day(TableCell(text), WAYS, TODAY) == DAY


@pytest.mark.parametrize(
    ("text", "words"),
    [("", "no date"), ("last week", "no day"), ("31.02.2024", "calendar"), ("5.3.", "no day"), ("5.3.2062", "future"),
     ("1.1.1899", "too long ago"), ("3/25/2024", "would be month first"), ("March", "no day"), ("45356", "no day")],
)  # fmt: skip
def test_what_is_no_plain_day_says_what_would_fit(text, words):
    """Each with an example of what to write."""
    with pytest.raises(Unsure, match=words) as unsure:
        read_day(TableCell(text), WAYS, TODAY)
    assert "2024-03-05" in str(unsure.value) or "in the future" in str(unsure.value)


def test_an_ambiguous_day_names_both():
    """Where nothing tells, both days are said."""
    with pytest.raises(Unsure, match=r"2024-03-04 or 2024-04-03"):
        read_day(TableCell("4/3/2024"), {"/": None}, TODAY)
    assert read_day(TableCell("4/4/2024"), {"/": None}, TODAY) == date(2024, 4, 4)
    assert read_day(TableCell("25/3/2024"), {"/": None}, TODAY) == date(2024, 3, 25)


def column(*texts):
    """Cells with their places."""
    return [(f"B{row}", TableCell(text)) for row, text in enumerate(texts, start=2)]


def test_a_column_tells_which_comes_first_for_each_sign():
    """Strokes may be an American's and dots a German's in one column."""
    ways = {way.sign: way for way in ways_of(column("3/4/24", "3/25/24", "1.2.24", "4-5-24", "2024-06-07"))}
    assert {sign: way.order for sign, way in ways.items()} == {"/": "month first", ".": "day first", "-": None}
    assert "B3 '3/25/24'" in ways["/"].why
    assert "nothing tells" in ways["-"].why


def test_a_column_that_tells_both_decides_nothing():
    """Both witnesses are named."""
    (way,) = ways_of(column("25/3/24", "3/25/24", "1/2/24"))
    assert way.order is None
    assert "B2" in way.why
    assert "B3" in way.why


@given(st.dates(date(1990, 1, 1), TODAY), st.sampled_from(["%d.%m.%Y", "%d/%m/%Y", "%Y-%m-%d", "%d %B %Y", "%d-%b-%Y"]))
def test_what_the_standard_library_writes_is_read_back(day, form):
    """Each day in each form."""
    assert read_day(TableCell(day.strftime(form)), WAYS, TODAY) == day


@given(st.text(max_size=20))
def test_any_text_is_a_day_or_a_sentence(text):
    """Nothing else comes out."""
    try:
        assert read_day(TableCell(text), WAYS, TODAY) <= TODAY
    except Unsure as unsure:
        assert str(unsure).endswith((".", "meant."))
