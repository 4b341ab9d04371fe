"""The bar from the day of a stringing to the day that it is due."""

import re
import xml.etree.ElementTree as ET
from datetime import date

from passport.render.drawing.freshbar import END, START, fresh_bar

BAR = fresh_bar(date(2026, 3, 1), date(2026, 4, 26), date(2026, 4, 12))
"""Eight weeks, the last two of them fading."""


def test_it_tells_its_days_and_hides_today():
    """The bar is well-formed, tells nothing to a screen reader, has its days for the script, and no mark of today by itself."""
    root = ET.fromstring(BAR)
    assert root.get("aria-hidden") == "true"
    assert (root.get("data-days"), float(root.get("data-x0", "")), float(root.get("data-x1", ""))) == ("56", START, END)
    now = next(e for e in root.iter() if "data-now" in e.attrib)
    assert now.get("visibility") == "hidden"
    assert "style=" not in BAR


def test_a_tick_stands_for_each_week():
    """Seven ticks divide eight weeks evenly, and a longer one stands where six of the eight weeks are over."""
    (rail,) = re.findall(r'd="([^"]+)" fill="none"', BAR)
    ticks = [float(x) for x in re.findall(r"M([\d.]+)[ ]?[\d.]+v3", rail)]
    assert len(ticks) == 7
    steps = {round(b - a, 0) for a, b in zip([START, *ticks], [*ticks, END], strict=True)}
    assert len(steps) == 1
    soon = re.findall(r"M([\d.]+)[ ]?[\d.]+V", rail)[-1]
    assert abs(float(soon) - (START + 0.75 * (END - START))) < 0.1


def test_no_time_no_bar():
    """Strings that are due on the day that they were put in have no bar."""
    assert fresh_bar(date(2026, 3, 1), date(2026, 3, 1), date(2026, 3, 1)) == ""
