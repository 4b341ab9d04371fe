"""Faults as data and as text: the place, the excerpt, the caret under the right letters."""

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.records.faults import Fault, Place, has_errors


def _fault(excerpt: str, col: int, width: int, severity: str = "error") -> Fault:
    place = Place("frame.yaml", 7, col, excerpt, width)
    return Fault(place, "bad-value", "It is wrong.", "Put it right.", "error" if severity == "error" else "warning")


def _caret(text: str) -> tuple[str, str]:
    """The excerpt as printed and the letters of it that stand above the caret."""
    lines = text.splitlines()
    shown, carets = lines[1].partition(" | ")[2], lines[2].partition(" | ")[2]
    start, end = carets.index("^"), len(carets)
    return shown, shown[start:end]


def test_text_has_the_place_the_excerpt_and_both_sentences() -> None:
    """A fault prints as FILE:LINE:COL, the excerpt with a caret, what is wrong and what to do."""
    assert _fault("  mass: 3300 g", 9, 6).text() == (
        "frame.yaml:7:9: error: bad-value\n  7 |   mass: 3300 g\n    |         ^^^^^^\n  It is wrong.\n  Put it right."
    )


def test_text_without_an_excerpt_has_no_caret() -> None:
    """A fault of a whole file prints no empty excerpt."""
    assert _fault("", 1, 1).text() == "frame.yaml:7:1: error: bad-value\n  It is wrong.\n  Put it right."


def test_the_caret_survives_a_long_line() -> None:
    """A line longer than the terminal is cut around the caret, with a mark where it was cut."""
    shown, under = _caret(_fault("x: " + "a" * 200 + " WRONG " + "b" * 200, 205, 5).text())
    assert under == "WRONG"
    assert shown.startswith("…") and shown.endswith("…")
    assert len(shown) <= 102


def test_the_caret_stands_right_after_wide_letters() -> None:
    """Letters that fill two columns of a terminal move the caret by two (Unicode Standard Annex 11)."""
    line = _fault("名前: x", 5, 1).text().splitlines()[2]
    assert line == "    |       ^"


def test_a_combining_mark_takes_no_column() -> None:
    """An accent of its own stands over the letter before it, so it does not move the caret."""
    line = _fault("n\u0303: x", 5, 1).text().splitlines()[2]
    assert line == "    |    ^"


def test_an_excerpt_cannot_control_the_terminal() -> None:
    """Escape sequences and marks that turn the writing around are printed as spaces."""
    text = _fault("a: \x1b[31mred\u202e", 4, 3).text()
    assert "\x1b" not in text and "\u202e" not in text


@given(st.text(st.characters(codec="ascii", categories=["L", "N", "P", "Zs"]), min_size=1, max_size=300), st.data())
def test_the_caret_is_always_under_the_place(excerpt: str, data: st.DataObject) -> None:
    """Whatever the line's length, the first caret stands under the letter that the place names."""
    if not excerpt.strip():
        excerpt = "x" + excerpt
    col = data.draw(st.integers(1, len(excerpt.rstrip())))
    _, under = _caret(_fault(excerpt, col, 1).text())
    assert under == excerpt[col - 1]


def test_data_holds_all_that_the_text_says() -> None:
    """The machine-readable form names file, line, column, severity, rule, excerpt and both sentences, as JSON allows."""
    data = json.loads(json.dumps(_fault("  mass: 3300 g", 9, 6, "warning").data()))
    assert data == {
        "file": "frame.yaml",
        "line": 7,
        "column": 9,
        "severity": "warning",
        "rule": "bad-value",
        "excerpt": "  mass: 3300 g",
        "what": "It is wrong.",
        "do": "Put it right.",
    }


def test_faults_sort_by_file_line_and_column() -> None:
    """Faults are printed in the order in which a person goes through the files."""
    places = [Place("a.yaml", 2, 9), Place("a.yaml", 10, 1), Place("b.yaml", 1, 1)]
    faults = [Fault(place, "bad-value", "It is wrong.", "Put it right.") for place in places]
    assert sorted([faults[2], faults[0], faults[1]]) == faults


@pytest.mark.parametrize(("severities", "expected"), [((), False), (("warning",), False), (("warning", "error"), True)])
def test_warnings_are_no_errors(severities: tuple[str, ...], expected: bool) -> None:
    """Only an error counts as one; warnings stop nothing."""
    assert has_errors(_fault("x", 1, 1, severity) for severity in severities) is expected


def test_a_place_prints_as_editors_link_it() -> None:
    """A place is written FILE:LINE:COL."""
    assert re.fullmatch(r"players/ada/main\.yaml:12:3", str(Place("players/ada/main.yaml", 12, 3)))


@pytest.mark.parametrize(
    ("other", "expected"),
    [
        (Place("a.yaml", 3, 5), True),
        (Place("a.yaml", 3, 8), True),
        (Place("a.yaml", 3, 9), False),
        (Place("a.yaml", 3, 4), False),
        (Place("a.yaml", 4, 5), False),
        (Place("b.yaml", 3, 5), False),
    ],
)
def test_a_place_covers_what_begins_under_its_caret(other: Place, expected: bool) -> None:
    """One place lies in another where it begins on the same line under the other's caret."""
    assert Place("a.yaml", 3, 5, width=4).covers(other) is expected
