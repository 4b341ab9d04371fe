"""The life of a string bed: the curve where the law says, the due day, and a line for whatever day it is looked at."""

import math
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from passport.render.charts.labels import ChartWords
from passport.render.charts.life import LEFT, RIGHT, LifePoint, Mark, Panel, life_chart, percent, sample, share_range
from passport.render.theme.palette import CSS_PAINT

TICKS = (Mark(0, "5 Jan"), Mark(27, "Feb"), Mark(55, "Mar"))
SVG = "{http://www.w3.org/2000/svg}"


def law(days: float) -> tuple[float, float, float]:
    """A bed that loses 5 % of its fresh tension a decade, with a band of a tenth of the loss."""
    lost = 0.05 * math.log10(days * 96)
    return 1 - lost, 1 - 1.1 * lost, 1 - 0.9 * lost


def chart(*points: LifePoint, **options) -> ET.Element:
    """A life of sixty days."""
    given = {"days": 60.0, "strung": "2026-01-05", "ticks": TICKS, "key": "k", "paint": CSS_PAINT, **options}
    return ET.fromstring(life_chart(law, points, **given))


def texts(found: ET.Element) -> dict[str, tuple[float, float]]:
    """Where each text stands."""
    return {e.text or "": (float(e.get("x", 0)), float(e.get("y", 0))) for e in found.iter(f"{SVG}text")}


def corners(found: ET.Element, css: str) -> list[tuple[float, float]]:
    """The corners of the first path of a class, H and V written out."""
    path = next(e for e in found if e.get("class") == css and not e.get("stroke-linecap"))
    here, out = [0.0, 0.0], []
    for letter, numbers in re.findall(r"([MLHV])([\d. ]+)", path.get("d", "")):
        values = [float(v) for v in numbers.split()]
        here = values if letter in "ML" else [values[0], here[1]] if letter == "H" else [here[0], values[0]]
        out.append((here[0], here[1]))
    return out


def axis(found: ET.Element):
    """The share at a height, from the percent signs on the left."""
    marks = {int(t.split("\u202f")[0]): y - 4 for t, (x, y) in texts(found).items() if t.endswith("%") and x < LEFT}
    low, high = min(marks), max(marks)
    return lambda y: (low + (marks[low] - y) / (marks[low] - marks[high]) * (high - low)) / 100


def test_the_curve_is_the_law():
    """Each corner of the curve lies where the law puts it, between stringing and the chart's last day."""
    found = chart()
    share = axis(found)
    curve = corners(found, "s-petrol")
    assert curve[0][0] == pytest.approx(LEFT, abs=0.15)
    assert curve[-1][0] == pytest.approx(RIGHT, abs=0.1)
    for x, y in curve[4:]:
        days = (x - LEFT) / (RIGHT - LEFT) * 60
        assert share(y) == pytest.approx(law(max(days, 1 / 96))[0], abs=0.006)


def test_the_band_holds_the_curve():
    """The band runs above the curve one way and below it the other."""
    found = chart()
    curve, band = corners(found, "s-petrol"), corners(found, "f-band")
    turn = max(range(len(band)), key=lambda i: band[i][0])
    edges = (band[: turn + 1], band[: turn - 1 : -1])
    for x, y in curve[6:]:
        upper, lower = (min(edge, key=lambda p: abs(p[0] - x))[1] for edge in edges)
        assert upper < y < lower


def test_readings_stand_at_their_age_and_share():
    """A reading is a disc at its age and share, with what the reader showed beside it."""
    found = chart(LifePoint(30.0, 0.8, "550 Hz"))
    share = axis(found)
    disc = next(e for e in found if e.get("class") == "s-petrol" and e.get("stroke-linecap"))
    x, y = map(float, re.findall(r"M([\d.]+) ([\d.]+)", disc.get("d", ""))[0])
    assert x == pytest.approx((LEFT + RIGHT) / 2, abs=0.1)
    assert share(y) == pytest.approx(0.8, abs=0.002)
    assert texts(found)["550 Hz"][0] > x


def test_the_due_day_is_on_its_day():
    """The due day is a line at its day with its date above and what is left beside a disc."""
    found = chart(due=Mark(45.0, "19 Feb"))
    line = corners(found, "s-plum")
    assert line[0][0] == pytest.approx(LEFT + 0.75 * (RIGHT - LEFT), abs=0.1)
    shown = texts(found)
    assert "restring by 19 Feb" in shown
    assert percent(law(45)[0]) in shown
    disc = next(e for e in found if e.get("class") == "s-plum" and e.get("stroke-linecap"))
    y = float(re.findall(r"M[\d.]+ ([\d.]+)", disc.get("d", ""))[0])
    assert axis(found)(y) == pytest.approx(law(45)[0], abs=0.002)


def test_without_a_due_day_there_is_none():
    """Strings that nothing makes due have no line, no flag and no such word."""
    found = chart()
    assert not [e for e in found if e.get("class") in ("s-plum", "f-plum")]
    assert not any("restring" in t for t in texts(found))


def test_the_workshops_limit_is_drawn():
    """The share at which the workshop calls strings due is a line at its height."""
    found = chart(limit=0.82)
    line = corners(found, "s-doubt")
    assert axis(found)(line[0][1]) == pytest.approx(0.82, abs=0.002)
    assert ChartWords().life_limit in texts(found)


def test_the_line_of_today_is_hidden_and_can_be_placed():
    """Without a script no day is marked; the attributes tell a script where each day lies."""
    found = chart()
    assert (found.get("data-from"), found.get("data-days")) == ("2026-01-05", "60")
    assert (float(found.get("data-x0")), float(found.get("data-x1"))) == (LEFT, RIGHT)
    (today,) = (e for e in found if e.get("data-today") is not None)
    assert today.get("visibility") == "hidden"
    assert texts(today) == {"today": (5.0, 162.0)}


def test_it_is_told_in_words():
    """The description tells each reading and what is expected on the due day, with its band."""
    desc = chart(LifePoint(1.0, 0.9, "570 Hz"), due=Mark(45.0, "19 Feb"))[1].text.replace("\u202f", " ")
    value, low, high = (percent(v).replace("\u202f", " ") for v in law(45))
    assert desc == f"570 Hz: 90 % of the fresh tension left. Expected by 19 Feb: {value}, between {low} and {high}."


def test_dates_never_touch():
    """Of two days too close for their texts the later one is left out."""
    shown = texts(chart(ticks=(Mark(0, "5 January"), Mark(4, "9 January"), Mark(40, "14 February"))))
    assert "5 January" in shown
    assert "9 January" not in shown
    assert "14 February" in shown


def test_a_deep_loss_stretches_the_axis():
    """The axis reaches down to the least that is shown, in whole tenths, and never below nothing."""
    assert share_range([0.85]) == (0.7, 1.0)
    assert share_range([0.55]) == (0.5, 1.0)
    assert share_range([-0.2]) == (0.0, 1.0)
    assert share_range([1.03])[1] >= 1.03


def test_sampling_is_dense_where_it_falls():
    """Ages begin at a quarter of an hour, end with the last day, and lie closest together at the start."""
    ages = sample(100.0)
    assert (ages[0], ages[-1]) == (pytest.approx(1 / 96), pytest.approx(100))
    gaps = [b - a for a, b in pairwise(ages)]
    assert gaps == sorted(gaps)
    assert sample(0.001)[0] < 0.001


def test_panel_is_linear():
    """Days run from left to right, shares from the foot up."""
    panel = Panel.of(50, 40, 140, 0.5, 1.0)
    assert (panel.x(0), panel.x(50)) == (LEFT, RIGHT)
    assert (panel.y(0.5), panel.y(1.0), panel.y(0.75)) == (140, 40, 90)


def test_no_time_is_an_error():
    """A chart of no days is refused."""
    with pytest.raises(ValueError, match="some days"):
        chart(days=0.0)
