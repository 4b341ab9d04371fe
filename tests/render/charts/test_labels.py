"""The words on the charts."""

from dataclasses import FrozenInstanceError

import pytest

from passport.render.charts.labels import ChartWords


def test_sentences_have_their_places() -> None:
    """Each sentence takes the names that the charts fill in."""
    words = ChartWords()
    assert words.target_desc.format(name="Mass", measured="131 g", target="131.5 g", verdict="inside")
    assert "5 May" in words.history_desc_tension.format(date="5 May", mains="27", crosses="25")
    assert "163" in words.history_desc_swingweight.format(date="5 May", swingweight="163")
    assert "0.2 g" in words.equality_desc.format(name="Mass", values="1, 2", spread="spread 0.2 g")


def test_words_do_not_change() -> None:
    """One set of words serves every chart of a build, so it cannot be changed by one."""
    with pytest.raises(FrozenInstanceError):
        ChartWords().inside = "ok"  # type: ignore[misc]
