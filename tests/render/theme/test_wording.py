"""The words for places and quantities that facts only name."""

import pytest

from passport.records.schema.places import parse_place
from passport.render.theme.formats import Formats
from passport.render.theme.wording import holes, place, quantity

EN, DE, FR, ES = (Formats(language) for language in ("en", "de", "fr", "es"))


@pytest.mark.parametrize(
    ("text", "english", "german"),
    [
        ("3 and 9", "3 and 9 o’clock", "3 und 9 Uhr"),
        ("10:30 & 1:30 o'clock", "10:30 and 1:30 o’clock", "10:30 und 1:30 Uhr"),
        ("10.5 and 1.5", "10:30 and 1:30 o’clock", "10:30 und 1:30 Uhr"),
        ("12", "12 o’clock", "12 Uhr"),
        ("under the bumper", "under the bumper", "unter dem Kopfschutz"),
        ("Throat", "throat", "Herz"),
        ("20 mm to 60 mm", "20 to 60\u202fmm from the butt", "20 bis 60\u202fmm vom Griffende"),
        ("352.5 mm", "352.5\u202fmm from the butt", "352,5\u202fmm vom Griffende"),
        ("2 and 10", "2 and 10 o’clock", "2 und 10 Uhr"),
        ("12:15 and 11.75", "12:15 and 11:45 o’clock", "12:15 und 11:45 Uhr"),
    ],
)
def test_places(text, english, german):
    """A place is said in the reader's language whichever way it was written."""
    found = parse_place(text)
    assert (place(found, EN), place(found, DE)) == (english, german)


def test_a_text_of_a_shops_own_template():
    """What is no place stays as it is."""
    assert place("<b>somewhere</b>", EN) == place("<b>somewhere</b>", DE) == "<b>somewhere</b>"


def test_quantities_are_named():
    """Each of the four quantities has its own name in every language."""
    for f in (EN, DE, FR, ES):
        assert len({quantity(name, f) for name in ("mass", "balance", "swingweight", "twistweight")}) == 4


@pytest.mark.parametrize(
    ("text", "german"),
    [
        ("mains 8 at throat and head", "längs 8 Herz und Kopf"),
        ("mains 6 throat; crosses 5 head and 11 throat", "längs 6 Herz; quer 5 Kopf und 11 Herz"),
        ("see the drawing", "see the drawing"),
        ("", ""),
    ],
)
def test_holes(text, german):
    """Skips and tie-offs in the trade's few words are said in the reader's language, other texts are left alone."""
    assert holes(text, DE) == german
    assert holes(text, EN) == text
