"""Numbers, units and dates as a reader sees them."""

import re
from datetime import date

import pytest
from babel import Locale
from babel.dates import format_date, format_skeleton
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from passport.render.theme.formats import NONE, THIN, Formats, customary, formats_of, raised, shown_language
from passport.workshop.facts.facts import PlayerFacts

F = Formats("en")
LB = 4.4482216152605  # N in a pound-force, exact by definition
KG = 9.80665  # N in a kilogram-force, exact by definition


def plain(text):
    """A text with ordinary spaces in place of narrow ones."""
    return text.replace(THIN, " ")


@pytest.mark.parametrize(
    ("value", "text"),
    [(312.44, "312.4"), (312.45001, "312.5"), (0.0, "0.0"), (-0.04, "0.0"), (-1.25, "−1.2"), (1234.5, "1234.5")],
)
def test_number_has_its_places_and_a_real_minus(value, text):
    """Numbers keep their places, group no thousands, use a minus sign, and never show a minus zero."""
    assert F.number(value) == text


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_an_english_number_is_as_cldr_has_it(value, places):
    """English is written without asking Babel, and is what Babel writes for Great Britain."""
    pattern = f"0.{'0' * places}" if places else "0"
    assert F.number(value, places) == format_decimal(round(value, places) + 0.0, pattern, locale="en_GB").replace(
        "-", "−"
    )


@given(st.dates())
def test_an_english_day_is_as_cldr_has_it(day):
    """English days are what Babel writes for Great Britain."""
    assert F.day(day) == format_date(day, "long", locale="en_GB")
    assert F.short_day(day) == format_date(day, "medium", locale="en_GB")
    assert F.month(day) == format_date(day, "LLL", locale="en_GB")
    assert F.month_year(day) == format_skeleton("yMMM", day, locale="en_GB")
    assert F.day_month(day) == format_skeleton("MMMd", day, locale="en_GB")


@given(st.floats(-5000, 5000), st.integers(0, 3))
def test_number_reads_back(value, places):
    """A printed number is within half a unit of its last place of what it stands for."""
    read = float(F.number(value, places).replace("−", "-"))
    assert abs(read - value) <= 0.5 * 10**-places + 1e-9


@pytest.mark.parametrize(("value", "text"), [(25.0, "25"), (24.96, "25"), (24.94, "24.9"), (None, NONE)])
def test_short_leaves_out_an_empty_decimal(value, text):
    """A figure that is whole at its places is shown without decimals."""
    assert F.short(value) == text


@pytest.mark.parametrize(("value", "text"), [(1.0, "+1.0"), (-1.0, "−1.0"), (0.04, "0.0"), (None, NONE)])
def test_signed_shows_plus_and_minus(value, text):
    """A difference has its sign, nothing has none."""
    assert F.signed(value) == text


def test_units_stand_after_a_narrow_unbreakable_space():
    """A figure and its unit never part at the end of a line."""
    assert THIN == "\u202f"
    assert F.mass(312.44) == "312.4\u202fg"
    assert F.mm(322.5) == "322.5\u202fmm"
    assert F.inertia(311.5) == "311.5\u202fkg·cm²"
    assert F.gauge(1.2) == "1.20\u202fmm"


@pytest.mark.parametrize("shown", [F.mass, F.mm, F.inertia])
def test_what_is_not_known_is_a_dash(shown):
    """A figure that nobody measured is a dash without a unit."""
    assert shown(None) == NONE
    assert F.points(None, 685.8) == NONE
    assert F.day(None) == NONE


@pytest.mark.parametrize(
    ("balance", "text"),
    [(320.0, "7.2 pt HL"), (342.9, "even"), (342.9 + 3.175 * 4, "4.0 pt HH"), (342.9 - 0.1, "even")],
)
def test_points_say_their_side(balance, text):
    """Balance points are eighths of an inch from the middle, head light below it and head heavy above.

    685.8 mm and 320 mm are 7.21 points head light: (342.9 − 320)/3.175 (common practice, no source).
    """
    assert plain(F.points(balance, 685.8)) == text


@pytest.mark.parametrize(
    ("newtons", "lb", "kg"),
    [(25 * LB, "25 lb", "11.3 kg"), (24.5 * KG, "54 lb", "24.5 kg"), (52 * LB, "52 lb", "23.6 kg")],
)
def test_tension_in_both_units(newtons, lb, kg):
    """A tension is shown in pounds and in kilograms, the unit that it was written in first.

    25 lbf = 11.33980925 kgf, 24.5 kgf = 54.013 lbf, 52 lbf = 23.587 kgf (exact definitions of both units).
    """
    assert tuple(map(plain, F.tension(newtons, "25 lb"))) == (lb, kg)
    assert tuple(map(plain, F.tension(newtons))) == (lb, kg)
    for written in ("11.3 kg", "11.3 KG ", "11.3 kgf"):
        assert tuple(map(plain, F.tension(newtons, written))) == (kg, lb)


@pytest.mark.parametrize(
    ("amount", "unit", "text"), [(585, "hz", "585 Hz"), (18.6, "lb", "18.6 lb"), (9.5, "kg", "9.5 kg")]
)
def test_a_reading_keeps_the_readers_unit(amount, unit, text):
    """An acoustic reading is never turned into another unit."""
    assert plain(F.ring(amount, unit)) == text


def test_dates_have_the_month_in_words():
    """Dates cannot be misread: the month is a word, the day stands before it."""
    assert F.day(date(2026, 10, 12)) == "12 October 2026"
    assert F.short_day(date(2026, 10, 2)) == "2 Oct 2026"


@pytest.mark.parametrize(
    ("language", "long"), [("fr", "1ᵉʳ mars 2026"), ("fr-CA", "1ᵉʳ mars 2026"), ("de", "1. März 2026")]
)
def test_french_says_the_first_of_a_month_as_an_ordinal(language, long):
    """French writes ``1ᵉʳ``, in drawings ``1er``, for the first and plain numbers for all other days (French usage, from memory)."""
    shape = Formats(language)
    assert shape.day(date(2026, 3, 1)) == long
    assert "1ᵉʳ" not in shape.day(date(2026, 3, 11)) + shape.short_day(date(2026, 3, 21)) + shape.day_month(
        date(2026, 3, 31)
    )
    assert ("1ᵉʳ mars" in shape.short_day(date(2026, 3, 1)) and shape.day_month(date(2026, 3, 1)) == "1er mars") == (
        "1ᵉʳ" in long
    )


@pytest.mark.parametrize(
    ("language", "long", "short"),
    [
        ("it", "1º marzo 2026", "1º mar 2026"),
        ("pt", "1º de março de 2026", "1º de mar. de 2026"),
        ("pt-BR", "1º de março de 2026", "1º de mar. de 2026"),
        ("pt-PT", "1 de março de 2026", "01/03/2026"),
    ],
)
def test_italy_and_brazil_write_the_first_as_an_ordinal(language, long, short):
    """``1º`` for the first, plain numbers for all other days; Portugal writes a plain 1 (usage, from memory)."""
    shape = Formats(language)
    assert (shape.day(date(2026, 3, 1)), shape.short_day(date(2026, 3, 1))) == (long, short)
    assert "º" not in shape.day(date(2026, 3, 11)) + shape.short_day(date(2026, 3, 21)) + shape.day_month(
        date(2026, 3, 31)
    )


@pytest.mark.parametrize("language", ["zz", "", "en", "en-GB", "nl"])
def test_a_page_is_in_one_language(language):
    """A reader of a language that the pages do not exist in gets English words, dates and decimals alike."""
    assert shown_language(language) == "en"
    assert Formats(language).number(1.5) == "1.5"
    assert Formats(language).day(date(2026, 5, 1)) == "1 May 2026"


@pytest.mark.parametrize(
    ("language", "number", "long", "short", "month"),
    [
        ("de", "1,5", "2. März 2026", "02.03.2026", "2. März"),
        ("de-AT", "1,5", "2. März 2026", "02.03.2026", "2. März"),
        ("fr", "1,5", "2 mars 2026", "2 mars 2026", "2 mars"),
        ("es", "1,5", "2 de marzo de 2026", "2 mar 2026", "2 mar"),
        ("it", "1,5", "2 marzo 2026", "2 mar 2026", "2 mar"),
        ("pt", "1,5", "2 de março de 2026", "2 de mar. de 2026", "2 de mar."),
        ("id", "1,5", "2 Maret 2026", "2 Mar 2026", "2 Mar"),
        ("en-US", "1.5", "March 2, 2026", "Mar 2, 2026", "Mar 2"),
    ],
)
def test_numbers_and_dates_have_the_languages_form(language, number, long, short, month):
    """Decimal mark, the order of day and month, and full stops are those of the language (CLDR, from memory)."""
    f, day = Formats(language), date(2026, 3, 2)
    assert (f.number(1.5), f.day(day), f.short_day(day), f.day_month(day)) == (number, long, short, month)


@pytest.mark.parametrize(
    ("language", "said"),
    [("en", "7.2 points head light"), ("de", "7,2 Punkte grifflastig"), ("fr", "7,2 points en manche")],
)
def test_balance_points_are_said_in_words(language, said):
    """685.8 mm long and balanced at 320 mm is 7.21 points head light: (342.9 − 320)/3.175 (common practice, no source)."""
    assert Formats(language).points_said(320.0, 685.8) == said
    assert Formats(language).points_said(None, 685.8) == NONE
    assert not any(c.isdigit() for c in Formats(language).points_said(342.9, 685.8))


def test_a_region_has_the_words_of_its_language():
    """A reader in Austria gets the German words; letter case and the underscore of some systems do not matter."""
    assert {shown_language(tag) for tag in ("de", "de-AT", "DE", "de_CH", "de-Latn-CH")} == {"de"}


@pytest.mark.parametrize(("language", "stop"), [("ja", "。"), ("zh", "。"), ("ar", "."), ("fr", "."), ("eo", ".")])
def test_sentences_of_parts_end_as_the_language_has_it(language, stop):
    """Japanese and Chinese end a sentence with their own full stop, also where the code puts it together."""
    assert Formats(language).stop == stop


@pytest.mark.parametrize(
    ("language", "unit"),
    [("de", "kg"), ("fr-CA", ""), ("es", "kg"), ("es-MX", ""), ("pt", ""), ("pt-PT", "kg"), ("pl:de", "kg"), ("en", ""),
     ("en-DE", "kg"), ("ja", ""), ("id", ""), ("ar", ""), ("xx", "")],
)  # fmt: skip
def test_strings_are_spoken_of_in_the_unit_of_the_place(language, unit):
    """On the European continent in kg (common practice, no source); elsewhere what was recorded decides."""
    assert customary(language) == unit


@pytest.mark.parametrize(
    ("language", "chosen", "written", "shown"),
    [
        ("de", "", "52 lb", ("23,6 kg", "52 lb")),
        ("de", "lb", "24 kg", ("52,9 lb", "24,0 kg")),
        ("en", "", "24 kg", ("24.0 kg", "52.9 lb")),
        ("en", "", "52 lb", ("52 lb", "23.6 kg")),
        ("en", "kg", "52 lb", ("23.6 kg", "52 lb")),
        ("ar", "", "24 kg", ("24.0 kg", "52.9 lb")),
    ],
)
def test_a_tension_stands_first_in_the_readers_unit(language, chosen, written, shown):
    """The unit that was chosen stands first, else the custom's, else the one that was written; the other always beside it."""
    f = formats_of(PlayerFacts("", "", language, (), (), units=chosen))
    value = float(written.split()[0]) * (9.80665 if "kg" in written else 4.4482216152605)  # ISO 80000-4, NIST SP 811
    said = tuple(re.sub("[\u2066-\u2069]", "", text).replace(THIN, " ") for text in f.tension(value, written))
    assert said == shown


@pytest.mark.parametrize(
    ("language", "comma", "semicolon"),
    [
        ("en", ", ", "; "),
        ("de", ", ", "; "),
        ("fr", ", ", "\u202f; "),
        ("ja", "、", "；"),
        ("zh", "、", "；"),
        ("ar", "، ", "؛ "),
    ],
)
def test_what_stands_between_the_parts_of_a_list(language, comma, semicolon):
    """The signs of the language; commas as CLDR's patterns for lists of units or words have them."""
    assert (Formats(language).comma, Formats(language).semicolon) == (comma, semicolon)


@pytest.mark.parametrize(
    ("language", "kind"),
    [
        ("en", "standard"),
        ("de", "standard"),
        ("fr", "standard"),
        ("ja", "standard"),
        ("zh", "standard"),
        ("ar", "unit-short"),
    ],
)
def test_commas_are_those_of_cldr(language, kind):
    """Between the first and the second of three things CLDR writes the same sign."""
    start = Locale(language).list_patterns[kind]["start"]
    assert start.removeprefix("{0}").startswith(Formats(language).comma)


def test_raised_letters_are_markup_where_there_is_any():
    """In text ``<sup>``; plain letters in drawings, titles, choices, fields and attributes."""
    first = "1ᵉʳ"
    kept = (
        f"<svg><text>{first}</text></svg>",
        f"<option>{first}</option>",
        f"<textarea>{first}</textarea>",
        f'<a title="{first}">',
    )
    for markup in kept:
        assert raised(markup) == markup.replace(first, "1er")
    assert raised(f"<p>{first} mars</p>") == "<p>1<sup>er</sup> mars</p>"
