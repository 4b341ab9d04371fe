"""Names as they are compared: what makes no difference, what is asked about, what is plainly another."""

import pytest

from passport.workshop.takeover.folding import alike, folded, gauge_in, same_key, turned, without_gauge


@pytest.mark.parametrize(
    ("one", "other"),
    [("Anna Kern", "ANNA  kern"), ("Anna-Lena Kern", "Anna Lena Kern"), ("O'Lorn", "O’Lorn"), ("Kern, Anna", "kern anna"),
     ("Larch 98", "larch-98"), ("Straße", "STRASSE")],
)  # fmt: skip
def test_case_spaces_and_punctuation_make_no_difference(one, other):
    """Unicode's own case folding decides (the Unicode Standard, 3.13: ß folds to ss)."""
    assert same_key(one) == same_key(other)


@pytest.mark.parametrize(
    ("one", "other", "why"),
    [
        ("Maëlle L.", "Maelle L.", "accents"),
        ("Jörg Ümlin", "Joerg Uemlin", "accents"),
        ("Мирослава", "Miroslava", "script"),
        ("Kern Anna", "Anna Kern", "order"),
        ("Larch98", "Larch 98", "spaces"),
        ("M. Lorne", "Maëlle Lorne", "shortened"),
        ("Maëlle L.", "Maëlle Lorne", "shortened"),
        ("Anna Kern", "Anna Kern jun.", "lacks"),
        ("Kern", "Anna Kern", "lacks"),
        ("Gisbert Dragomar", "Gisbert Dragomaree", "letters"),
        ("Marie Lorne", "Maria Lorne", "letters"),
    ],
)
def test_what_two_names_may_differ_in_and_mean_the_same(one, other, why):
    """Each is a question, whichever way round."""
    assert why in alike(one, other)
    assert why in alike(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [("Anna Kern", "Bruno Kern"), ("Lea Lorne", "Leo Lorne"), ("Reed 125", "Reed 130"), ("Larch 98", "Larch 100"), ("M. L.", "Maëlle Lorne"),
     ("Anna Kern", "Anna Lorne"), ("", "Anna")],
)  # fmt: skip
def test_plainly_others(one, other):
    """Another digit is another thing, and initials alone tell nobody."""
    assert alike(one, other) == ""


def test_folding_goes_over_scripts():
    """By the tables of an open library; Greek and Cyrillic by their letters."""
    assert [folded(name) for name in ("Łukasz", "Ελένη", "Øyvind", "Œuf")] == ["lukasz", "eleni", "oyvind", "oeuf"]


def test_a_comma_turns_a_name():
    """``Last, First`` is said the other way round; more than one comma is left as it is."""
    assert [turned(name) for name in ("Kern, Anna", "Anna  Kern", "Kern, Anna, Dr.")] == [
        "Anna Kern", "Anna Kern", "Kern, Anna, Dr.",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "gauge", "rest"),
    [("Reed 1.25", "1.25 mm", "Reed"), ("Reed 125", "1.25 mm", "Reed"), ("Reed 1,25 mm black", "1.25 mm", "Reed black"),
     ("Line 0.70", "0.70 mm", "Line"), ("Reed", "", "Reed"), ("Larch 98", "", "Larch 98"), ("A 125 B 130", "", "A B"), ("Reed 16", "", "Reed 16")],
)  # fmt: skip
def test_a_thickness_in_a_name(text, gauge, rest):
    """Hundredths of a millimetre as packets have them (common practice, no source); two of them tell nothing."""
    assert (gauge_in(text), without_gauge(text)) == (gauge, rest)
