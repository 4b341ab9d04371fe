"""Tensions and measures as shops write them in a cell."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.records.tables.cells import TableCell
from passport.workshop.takeover.dates import Unsure
from passport.workshop.takeover.figures import BY_SIZE, bare_amounts, figure, is_tension, tensions, unit_of_column


@pytest.mark.parametrize(
    ("text", "unit", "mains", "crosses"),
    [
        ("24", "kg", "24 kg", ""), ("24,5", "kg", "24.5 kg", ""), ("24kg", "", "24 kg", ""), ("24 KG.", "lb", "24 kg", ""),
        ("55/53", "lb", "55 lb", "53 lb"), ("25-26", "kg", "25 kg", "26 kg"), ("24x25", "kg", "24 kg", "25 kg"),
        ("24,5 / 23,5 kg", "", "24.5 kg", "23.5 kg"), ("52 lbs/50 lbs", "", "52 lb", "50 lb"), ("52lbs / 50", "", "52 lb", "50 lb"),
        ("24½", "kg", "24.5 kg", ""), ("24 1/2", "kg", "24.5 kg", ""), ("24/24", "kg", "24 kg", ""), ("53#", "", "53 lb", ""),
        ("M 26 C 25", "kg", "26 kg", "25 kg"), ("längs 24 / quer 23", "kg", "24 kg", "23 kg"), ("26M/25C", "kg", "26 kg", "25 kg"),
        ("24", BY_SIZE, "24 kg", ""), ("53/51", BY_SIZE, "53 lb", "51 lb"), ("11–10.5", "kg", "11 kg", "10.5 kg"),
    ],
)  # fmt: skip
def test_a_tension_in_many_ways(text, unit, mains, crosses):
    """Mains stand first (common practice, no source); a unit that is said counts for both."""
    pulled = tensions(TableCell(text), unit)
    assert (pulled.mains, pulled.crosses) == (mains, crosses)


@pytest.mark.parametrize(
    ("cell", "unit", "words"),
    [
        (TableCell("24 softer"), "kg", "no tension"), (TableCell("ca. 24"), "kg", "no tension"), (TableCell("24?"), "kg", "no tension"),
        (TableCell("24"), "", "no unit"), (TableCell("53"), "kg", "53 lb would"), (TableCell("240"), "kg", "cannot be"),
        (TableCell("2,4"), "kg", "cannot be"), (TableCell("2024-10-11", "date", date(2024, 10, 11)), "kg", "10-11"),
        (TableCell("24/23/22"), "kg", "no tension"), (TableCell("25 or 26"), "kg", "no tension"), (TableCell("-24"), "kg", "no tension"),
    ],
)  # fmt: skip
def test_what_is_no_plain_tension(cell, unit, words):
    """Nothing is cut off and nothing is guessed."""
    with pytest.raises(Unsure, match=words):
        tensions(cell, unit)
    assert is_tension(TableCell("24/23"))
    assert not is_tension(TableCell("Reed 125"))


def test_bare_figures_tell_their_unit_only_where_all_are_large():
    """24 may be either; what is said with a unit is not bare. 45 kg is more than any racquet takes."""
    assert bare_amounts([TableCell("24"), TableCell("53/51"), TableCell("25 kg")]) == [24, 53, 51]
    assert [unit_of_column(bare) for bare in ([53, 51], [24, 53], [])] == ["lb", "", ""]


@pytest.mark.parametrize(
    ("text", "unit", "read"),
    [("331,5", "g", "331.5 g"), ("331 g", "", "331 g"), ("580Hz", "", "580 Hz"), ("32.1 cm", "mm", "32.1 cm")],
)
def test_a_measure(text, unit, read):
    """A unit that is said wins."""
    assert figure(TableCell(text), unit, "331 g") == read


def test_a_measure_that_is_none():
    """Without a unit, or with words."""
    for text in ("331", "about 331 g", "heavy"):
        with pytest.raises(Unsure):
            figure(TableCell(text), "", "331 g")


@given(st.text(max_size=15), st.sampled_from(["kg", "lb", "", BY_SIZE]))
def test_any_text_is_a_tension_or_a_sentence(text, unit):
    """Whatever stands there."""
    try:
        pulled = tensions(TableCell(text), unit)
    except Unsure as unsure:
        assert str(unsure)
    else:
        assert pulled.mains.split()[1] in ("kg", "lb", "N")
