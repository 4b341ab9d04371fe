"""What the parts of a bench sheet's drawing share: sizes on paper, colours for any printer, which side words go."""

from dataclasses import fields

import pytest
from sheetdrawings import INSIDE, THREE, TIP, TWO, drawing

from passport.render.sheets.measured.scale import BENCH, DRAWN, SIZE_PT, Scale, disc, leftward, ruler_y, set_words
from passport.render.theme.palette import Paint, contrast


@pytest.mark.parametrize("unit", [4.0, 5.2, 8.0])
def test_words_are_the_same_size_on_paper_at_any_scale(unit):
    """Drawn smaller, words take more of the racquet's mm and the same on paper."""
    assert Scale(unit).size / unit / (25.4 / 72) == pytest.approx(SIZE_PT)
    assert Scale(unit).width("70 mm") / unit == pytest.approx(Scale(1.0).width("70 mm"))


def test_text_and_lines_are_dark_enough_for_any_printer():
    """Ink and second ink have 7:1 on white, lines 3:1 (WCAG 2.2, 1.4.6 and 1.4.11), and nothing has a hue to lose."""
    assert contrast(BENCH.ink, "#ffffff") > 7 and contrast(BENCH.soft, "#ffffff") > 7
    assert contrast(BENCH.rule, "#ffffff") > 3
    for palette, tokens in (
        (BENCH, ("ink", "soft", "rule", "petrol", "plum", "ground", "band")),
        (DRAWN, ("fitted", "frame")),
    ):
        for token in tokens:
            colour = getattr(palette, token)
            channels = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
            assert max(channels) - min(channels) < 34, (token, colour)
    assert {f.name for f in fields(BENCH)} == {f.name for f in fields(DRAWN)}


def test_what_is_fitted_stands_out_from_the_frame():
    """A piece on the frame has more than 7:1."""
    assert contrast(DRAWN.fitted, DRAWN.frame) > 7


def test_words_go_to_the_side_that_is_free():
    """The strip nearest to the tip has its words towards the tip, one behind it towards the butt."""
    assert not leftward(TWO, (TWO, INSIDE))
    assert not leftward(THREE, (THREE, TIP))
    assert leftward(THREE, (TWO, THREE))


def test_the_ruler_keeps_clear_of_the_numbers_below_the_head():
    """With a pair of strips on the hoop the ruler lies lower, since the lower one has its number there."""
    scale = Scale(5.0)
    assert ruler_y(drawing(TWO), scale) > ruler_y(drawing(INSIDE), scale) > 134.0


def test_words_and_numbers_are_escaped_and_white_lies_behind_words():
    """Words have a white ground as wide as they are, a number is white on black; nothing is drawn for no words."""
    paint, scale = Paint(BENCH), Scale(5.0)
    drawn = set_words(10.0, 20.0, "a < b", scale, paint)
    assert 'fill="#ffffff"' in drawn and "a &lt; b" in drawn
    assert set_words(10.0, 20.0, "", scale, paint) == ""
    assert disc(0.0, 0.0, 3, scale, paint).count("#ffffff") == 2
