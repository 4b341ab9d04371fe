"""Names of folders and records from any script."""

import pytest

from passport.records.schema.base import SLUG
from passport.workshop.entry.naming import folded, made_name


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("Żaneta Brzoskwinia", "zaneta-brzoskwinia"),
        ("Zoe\u0308 O'Hara", "zoe-ohara"),
        # ISO 9 and the passports' Latin forms differ in detail; here only letters that all of them share
        ("Ольга", "olga"),
        ("たなか", "tanaka"),  # Hepburn romanisation
        ("Ελένη", "eleni"),  # ISO 843
        ("  ", "player"),
        ("👍", "player"),
        ("NUL", "nul-player"),
    ],
)
def test_a_name_is_made_from_any_script(written, name):
    """Whatever somebody writes becomes a name that a folder may have."""
    assert made_name(written, (), "player") == name
    assert SLUG.fullmatch(name)


def test_no_name_is_made_twice():
    """Two players of one name, or of names that are written alike in Latin letters, get folders of their own."""
    taken: set[str] = set()
    for written in ("Zoë", "Zoe", "ZOE", "x" * 300, "x" * 301):
        name = made_name(written, taken, "player")
        assert SLUG.fullmatch(name)
        assert name not in taken
        taken.add(name)
    assert {"zoe", "zoe-2", "zoe-3"} < taken


def test_spellings_of_one_name_fold_alike():
    """Case, accents, spaces and marks do not tell two names apart."""
    assert folded("Maëlle L.") == folded("MAELLE L") != folded("Maelle")
