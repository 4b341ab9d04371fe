"""The small bar of a bench sheet: what makes a chance unsure."""

import re

import pytest

from passport.render.sheets.made_up import GREYS, WIDTH_MM, bar, causes_of, swatch
from passport.workshop.measuring.causes import CAUSES, CauseShare

PARTS = (CauseShare("readings", 0.25), CauseShare("parts", 0.75))


def test_widths_are_shares_of_the_variance():
    """Each part is as wide as its share, one beside the other, and the whole as wide as the bar."""
    boxes = [(float(x), float(w)) for x, w in re.findall(r'<rect x="([\d.]+)" y="0" width="([\d.]+)"', bar(PARTS, "t"))]
    assert boxes == [
        (0.0, pytest.approx(0.25 * WIDTH_MM)),
        (pytest.approx(0.25 * WIDTH_MM), pytest.approx(0.75 * WIDTH_MM)),
    ]


def test_a_title_is_escaped():
    """The bar says what it shows to who cannot see it, and takes no markup from it."""
    assert "<title>a &lt;b&gt;</title>" in bar(PARTS, "a <b>")
    assert bar((), "t") == ""


def test_every_cause_has_a_grey_of_its_own():
    """No two causes look alike, and the legend shows those that appear, in their order."""
    assert len(set(GREYS.values())) == len(CAUSES) == len(GREYS)
    assert causes_of([PARTS, (CauseShare("checks", 1.0),)]) == ("readings", "checks", "parts")
    assert GREYS["parts"] in swatch("parts")
