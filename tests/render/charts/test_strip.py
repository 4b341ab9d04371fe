"""One quantity on its tolerance band."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from passport.render.charts.target import TargetRow, strip_chart
from passport.render.theme.palette import CSS_PAINT, PRINT_PAINT

ROW = TargetRow("Mass", 131.5, 0.5, 131.4, "inside", "131.4 g", "131.5 ± 0.5 g", "131", "132", 0.0, "M")
SVG = "{http://www.w3.org/2000/svg}"


def chart(row: TargetRow) -> ET.Element:
    """The strip of a row."""
    return ET.fromstring(strip_chart(row, key="k", paint=CSS_PAINT))


def band(root: ET.Element) -> tuple[float, float]:
    """Left and right end of the tolerance."""
    (found,) = [e for e in root.iter() if e.get("class") == "f-band"]
    left, right = re.findall(r"[MH]([\d.]+)", found.get("d", ""))[:2]
    return float(left), float(right)


def marks(root: ET.Element, *tokens: str) -> list[tuple[float, float]]:
    """From and to in x of everything painted in some colours."""
    found = []
    for e in root.iter():
        if set((e.get("class") or "").split()) & set(tokens):
            xs = [float(x) for x in re.findall(r"(?:[ML]|^)(-?[\d.]+) ", e.get("d", ""))]
            found.append((min(xs), max(xs)))
    return found


@pytest.mark.parametrize("off", [-1.0, -0.2, 0.0, 0.55, 1.0])
def test_the_reading_stands_where_its_value_is(off):
    """A reading inside stands between the limits in the proportion of its value."""
    root = chart(replace(ROW, measured=131.5 + 0.5 * off))
    left, right = band(root)
    ((x, _),) = marks(root, "s-petrol")
    assert x == pytest.approx((left + right) / 2 + off * (right - left) / 2, abs=0.15)


def test_the_target_is_the_middle():
    """The mark of the target lies in the middle of the tolerance."""
    root = chart(ROW)
    left, right = band(root)
    (mark,) = (e.get("d", "") for e in root.iter() if e.get("class") == "s-plum")
    (upright,) = re.findall(r"M([\d.]+) [\d.]+V", mark)
    assert float(upright) == pytest.approx((left + right) / 2, abs=0.1)


def test_a_reading_outside_looks_different():
    """Outside the tolerance the mark has another shape and ink, so that colour is not all that tells."""
    root = chart(replace(ROW, measured=132.2, verdict="outside"))
    assert not marks(root, "s-petrol")
    ((low, high),) = marks(root, "f-bad")
    left, right = band(root)
    assert low > right > left
    assert high > low


@pytest.mark.parametrize("measured", [100.0, 500.0])
def test_a_reading_far_off_stays_on_the_picture(measured):
    """A reading beyond the strip is an arrow at its end, not lost outside the picture."""
    root = chart(replace(ROW, measured=measured, verdict="outside"))
    _, _, width, _ = map(float, root.get("viewBox", "").split())
    ((low, high),) = marks(root, "f-bad")
    assert low >= 0
    assert high <= width
    assert (high < width / 4) if measured < 131 else (low > width * 3 / 4)


def test_limits_stand_under_their_ends():
    """Each limit's figure stands under its end of the tolerance."""
    root = chart(ROW)
    left, right = band(root)
    texts = {e.text: float(e.get("x", 0)) for e in root.iter(f"{SVG}text")}
    assert texts["131"] == pytest.approx(left, abs=0.15)
    assert texts["132"] == pytest.approx(right, abs=0.15)


def test_without_a_reading_there_is_no_mark():
    """A row without a reading has a target and no mark, and says so."""
    root = chart(replace(ROW, measured=None, verdict=None, measured_text="–"))
    assert not marks(root, "s-petrol", "f-bad", "f-doubt")
    assert "not measured" in (root.findtext(f"{SVG}desc") or "")


def test_it_is_told_in_words():
    """The picture's title names the quantity, its description the reading, the target and the verdict."""
    root = chart(ROW)
    assert root.findtext(f"{SVG}title") == "Mass"
    desc = root.findtext(f"{SVG}desc") or ""
    assert "131.4 g" in desc
    assert "131.5 ± 0.5 g" in desc
    assert "inside" in desc


def test_no_style_of_its_own():
    """On a page it takes its colours from classes; for print it has none."""
    page = strip_chart(ROW, key="k", paint=CSS_PAINT)
    assert "style=" not in page
    assert not re.search(r"#[0-9a-f]{6}", page)
    assert "class=" not in strip_chart(ROW, key="k", paint=PRINT_PAINT)
