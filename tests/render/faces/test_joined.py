"""Words in drawings from right to left: outlines of joined letters where the words stood."""

import re

import manynames
import pytest

from passport.render.faces.joined import joined
from passport.render.theme import assets


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """The shipped typefaces and Arabic's."""
    manynames.add(tmp_path, monkeypatch)
    with assets.using(tmp_path):
        yield assets.typefaces()


def drawn(words, anchor="start"):
    """One text of a drawing."""
    return f'<svg><text x="40" y="9" font-size="4" text-anchor="{anchor}" fill="#0b1c22">{words}</text></svg>'


def spans(svg):
    """Where the runs of words stand, mm from the left, and their size."""
    left, size = map(float, re.search(r"translate\(([-\d.]+) [-\d.]+\) scale\(([\d.]+)", svg).groups())
    return [left + size * float(at) for at in re.findall(r"translate\(([-\d.]+) 0\)", svg)]


def test_other_words_stay(shelf) -> None:
    """A drawing without such letters is as it was."""
    assert joined(drawn("24.0 kg"), shelf) == drawn("24.0 kg")


def test_words_stand_where_they_stood(shelf) -> None:
    """They begin, end or have their middle at the place that the text had."""
    start, middle, end = (spans(joined(drawn("وتر", anchor), shelf))[0] for anchor in ("start", "middle", "end"))
    assert start == pytest.approx(40)
    assert end < middle < start and middle - end == pytest.approx(start - middle, abs=1e-3)


def test_letters_are_joined(shelf) -> None:
    """Three letters that are joined have other outlines than the three alone (their forms: Unicode, Arabic shaping)."""
    whole = "".join(re.findall(r' d="([^"]*)"', joined(drawn("بيت"), shelf)))
    alone = "".join("".join(re.findall(r' d="([^"]*)"', joined(drawn(letter), shelf))) for letter in "تيب")
    assert whole and len(whole) != len(alone)


def test_a_figure_keeps_its_order(shelf) -> None:
    """What comes first stands on the right; the figure between two words is one run of its own."""
    places = spans(joined(drawn("وتر 24.0\u202fkg قوي"), shelf))
    assert places == sorted(places) and len(places) >= 3
