"""Measured against target: readings at their place on bands of equal width."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from passport.render.charts.target import WIDTH, TargetRow, card_chart, half_range, target_chart
from passport.render.theme.palette import CSS_PAINT

ROW = TargetRow("Mass", 131.5, 0.5, 131.4, "inside", "131.4 g", "131.5 ± 0.5 g", "131.0", "132.0", 0.1, "M")
SVG = "{http://www.w3.org/2000/svg}"


def elements(*rows: TargetRow) -> list[ET.Element]:
    """All elements of the chart of some rows."""
    return list(ET.fromstring(target_chart(rows, key="k", paint=CSS_PAINT)))


def dots(found: list[ET.Element], ink: str) -> list[float]:
    """x of each disc of one colour."""
    return [
        float(x)
        for e in found
        if e.get("class") == f"s-{ink}" and e.get("stroke-linecap") == "round"
        for x in re.findall(r"M([\d.]+)", e.get("d", ""))
    ]


def limits(found: list[ET.Element]) -> tuple[float, float]:
    """Left and right end of the first tolerance band."""
    band = next(e for e in found if e.get("class") == "f-band")
    left, right = re.findall(r"[MH]([\d.]+)", band.get("d", ""))[:2]
    return float(left), float(right)


@pytest.mark.parametrize("off", [-0.9, -0.2, 0.0, 0.55, 1.0])
def test_reading_stands_where_its_value_is(off: float) -> None:
    """A reading's place on the band is its place between the tolerance's limits."""
    found = elements(replace(ROW, measured=131.5 + off * 0.5))
    left, right = limits(found)
    (x,) = dots(found, "petrol")
    assert (x - (left + right) / 2) / ((right - left) / 2) == pytest.approx(off, abs=0.01)


def test_target_is_a_line_in_the_middle() -> None:
    """The target stands in the middle of its band, as an upright line under the reading and taller than the limits."""
    found = elements(ROW)
    (target,) = (e.get("d", "") for e in found if e.get("class") == "s-plum")
    x, top, foot = map(float, re.findall(r"M([\d.]+) ([\d.]+)V([\d.]+)", target)[0])
    assert x == WIDTH / 2
    assert foot - top > 18
    order = [e.get("class") for e in found]
    assert order.index("s-plum") < order.index("s-petrol")


def test_all_bands_are_equally_wide() -> None:
    """Quantities of any unit share one scale, the tolerance."""
    found = elements(ROW, replace(ROW, name="Swingweight", target=164, tolerance=20, measured=200, verdict="outside"))
    data = " ".join(e.get("d", "") for e in found if e.get("class") == "f-band")
    assert len(set(re.findall(r"M([\d.]+)", data))) == 1
    assert len(re.findall(r"M", data)) == 2


def test_outside_is_told_by_shape_and_word() -> None:
    """A reading outside is a diamond in the warning colour, with the word beside it."""
    found = elements(replace(ROW, measured=132.3, verdict="outside"))
    assert dots(found, "petrol") == []
    assert any(e.get("class") == "f-bad" and e.tag == SVG + "path" for e in found)
    assert any(e.text == "outside" and e.get("class") == "f-bad" for e in found)


def test_far_outside_is_an_arrow_at_the_end() -> None:
    """A reading beyond the strip becomes an arrow at the strip's end, inside the picture."""
    for far, end in ((150, WIDTH), (100, 0)):
        found = elements(replace(ROW, measured=far, verdict="outside"))
        arrow = next(e for e in found if e.get("class") == "f-bad s-ground")
        tip = float(re.findall(r"M([\d.]+)", arrow.get("d", ""))[0])
        assert abs(tip - end) < 6
        assert 0 <= tip <= WIDTH


def test_whisker_shows_the_uncertainty() -> None:
    """The whisker reaches as far as the expanded uncertainty; one too short to see is left out."""
    found = elements(replace(ROW, uncertainty=0.25))
    left, right = limits(found)
    whisker = next(e for e in found if e.get("class") == "s-ink")
    x0, x1 = (float(v) for v in re.findall(r"[MH]([\d.]+)", whisker.get("d", ""))[:2])
    assert x1 - x0 == pytest.approx((right - left) / 2, abs=0.2)
    assert not any(e.get("class") == "s-ink" for e in elements(replace(ROW, uncertainty=0)))


def test_missing_reading_is_said() -> None:
    """Without a reading the band stands alone, and picture and description say so."""
    found = elements(replace(ROW, measured=None, verdict=None, measured_text=""))
    assert "not measured" in [e.text for e in found]
    assert "not measured" in (found[1].text or "")
    assert dots(found, "petrol") == []


def test_long_names_take_a_line_more() -> None:
    """Where name, target and reading do not fit side by side the target goes below, for every row."""
    long = replace(ROW, name="Schwunggewicht des Schlägers", target_text="164,0 ± 1,5 kg·cm²")
    texts = [e for e in elements(long) if e.tag == SVG + "text"]
    assert float(texts[1].get("y", 0)) > float(texts[0].get("y", 0))
    assert texts[1].get("x") == "0"


def test_strip_grows_with_the_readings_up_to_four_tolerances() -> None:
    """The strip shows about two tolerances, more for readings further out, and never more than four."""
    assert half_range([]) == half_range([0.5]) == 1.9
    assert half_range([-2.5]) == pytest.approx(2.8)
    assert half_range([30]) == 4


def test_card_is_small_in_every_way() -> None:
    """Four rows on the card are 34 by 14.4 mm, in text of 5.5 pt, in less than 2 kB."""
    out = card_chart([ROW] * 4, key="k", paint=CSS_PAINT)
    root = ET.fromstring(out)
    assert [float(v) for v in root.get("viewBox", "").split()] == pytest.approx([0, 0, 34, 14.4])
    sizes = {float(e.get("font-size", 0)) for e in root.iter(SVG + "text")}
    assert [size * 72 / 25.4 for size in sizes] == pytest.approx([5.5], abs=0.01)
    assert len(out.encode()) < 2000


def test_card_tells_outside_by_shape() -> None:
    """On the card a reading inside is a dot, one that is not a diamond, none at all leaves the band empty."""
    shapes = []
    for verdict, measured in (("inside", 131.4), ("outside", 133.0), (None, None)):
        root = ET.fromstring(card_chart([replace(ROW, verdict=verdict, measured=measured)], key="k", paint=CSS_PAINT))
        shapes.append((len(list(root.iter(SVG + "circle"))), any(e.get("class") == "f-bad" for e in root.iter())))
    assert shapes == [(1, False), (0, True), (0, False)]
