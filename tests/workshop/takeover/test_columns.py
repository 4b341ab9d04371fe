"""Columns guessed from headings in several languages and from what stands below them."""

import pytest

from passport.records.tables.cells import sheet_of
from passport.records.tables.csvtable import cell_of
from passport.workshop.takeover.columns import guessed


def sheet(*rows):
    """A sheet of texts."""
    return sheet_of("S", [[cell_of(text) for text in row.split(";")] for row in rows])


def fields(guess):
    """What each column holds, in order."""
    return [column.field for column in guess.columns]


@pytest.mark.parametrize(
    ("heading", "row", "held"),
    [
        ("Date;Customer;Racket;String;Tension (lbs);Remarks", "5.3.24;Ada;Larch;Reed;52;x", "date customer racquet string tension remark"),
        ("Datum;Kunde;Schläger;Saite;kg;Bemerkung", "5.3.24;Ada;Larch;Reed;24;x", "date customer racquet string tension remark"),
        ("Date;Nom;Raquette;Cordage;Tension;Prix", "5.3.24;Ada;Larch;Reed;24;20", "date customer racquet string tension price"),
        ("Fecha;Cliente;Raqueta;Cuerda;Tensión;Observaciones", "5.3.24;Ada;Larch;Reed;24;x", "date customer racquet string tension remark"),
        ("Datum;Vorname;Nachname;Schläger;Längs;Quer;Härte", "5.3.24;Ada;K;L;Reed;Flint;24", "date first_name last_name racquet mains crosses tension"),
        ("Datum;Name;Schläger;Saite;Längs;Quer", "5.3.24;Ada;L;Reed;24;23", "date customer racquet string mains_tension crosses_tension"),
        ("Datum;Kunde;Schläger;Bespannung;Gewicht", "5.3.24;Ada;L;Reed;24", "date customer racquet string tension"),
        ("Datum;Kunde;Schläger;Bespannung;Gewicht", "5.3.24;Ada;L;24/23;331", "date customer racquet tension mass"),
        ("When;Name;Shoe size;Telephone", "5.3.24;Ada;42;01632 960001", "ignore customer ignore phone"),
    ],
)  # fmt: skip
def test_headings_of_four_languages(heading, row, held):
    """Where a heading means two things, what stands below it decides."""
    expected = held.split()
    found = fields(guessed(sheet(heading, row, row)))
    # a column of days under a heading that is not known is one of days all the same
    assert found == (["date", *expected[1:]] if expected[0] == "ignore" else expected)


def test_the_heading_may_stand_below_a_title():
    """Titles and empty lines above it are passed over; units are taken from headings."""
    guess = guessed(sheet("Our book", "", "Date;Customer;Racket;String;Tension (kg)", "5.3.24;Ada;L;Reed;24"))
    assert (guess.heading, guess.units) == (3, {"tension": "kg"})
    assert guess.lacking == ()


def test_what_is_lacking_is_said():
    """A table without a customer tells of no job."""
    assert guessed(sheet("Date;String", "5.3.24;Reed")).lacking == ("customer",)
    assert guessed(sheet("a;b", "c;d")).lacking == ("date", "customer")


def test_what_a_person_says_goes_first():
    """By the column's letters; the others are guessed around it."""
    rows = ("Date;Name;For;Tension", "5.3.24;Ada;Bo;24", "6.3.24;Ada;Cy;24")
    assert fields(guessed(sheet(*rows)))[1] == "customer"
    assert fields(guessed(sheet(*rows), said={"C": "customer", "B": "ignore"}))[1:3] == ["ignore", "customer"]


def test_units_that_nothing_tells_stay_open():
    """24 may be kilograms or pounds; 52 is pounds; a mass of 331 is grams."""
    rows = [f"5.3.24;Ada;{tension};331" for tension in ("24", "25")]
    assert guessed(sheet("Date;Customer;Tension;Mass", *rows)).units == {"tension": "", "mass": "g"}
    assert guessed(sheet("Date;Customer;Tension", "5.3.24;Ada;52")).units == {"tension": "lb"}
