"""What holds for every chart: accessible, small, free of styles and sizes, unique ids, words from the caller."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from datetime import date

import pytest

from passport.render.charts.beds import BedLine, beds_chart
from passport.render.charts.equality import EqualFrame, EqualQuantity, equality_chart
from passport.render.charts.history import HistoryPoint, SwingTarget, history_chart
from passport.render.charts.labels import ChartWords
from passport.render.charts.life import LifePoint, Mark, life_chart
from passport.render.charts.target import TargetRow, card_chart, target_chart
from passport.render.theme.palette import CSS_PAINT, LIGHT, PRINT_PAINT

ROWS = (
    TargetRow("Mass", 131.5, 0.5, 131.4, "inside", "131.4 g", "131.5 ± 0.5 g", "131.0", "132.0", 0.1),
    TargetRow("Balance", 357, 1, 358.2, "outside", "358.2 mm", "357 ± 1 mm", "356", "358", 0.6),
    TargetRow("Swingweight", 164, 1.5, 163, "undecided", "163.0 kg·cm²", "164 ± 1.5", "162.5", "165.5", 0.9, "Swing"),
    TargetRow("Twistweight", 13.2, 0.5, None, None, "", "13.2 ± 0.5", "12.7", "13.7"),
)
JOBS = tuple(
    HistoryPoint(date(2022 + i // 3, 1 + 4 * (i % 3), 5), f"job {i}", 110.0 + i, 105.0 + i, 160.0 + i / 2)
    for i in range(9)
)
FRAMES = tuple(EqualFrame(f"No {i}", (131.4 + i / 10, 357.0 + i, None)) for i in range(3))
QUANTITIES = (
    EqualQuantity("Mass", 131.5, 0.5, "spread 0.2 g", "131.0", "132.0", "inside"),
    EqualQuantity("Balance", 357, 1, "spread 2 mm", "356", "358", "outside"),
    EqualQuantity("Swingweight", 164, 1.5, "", "162.5", "165.5"),
)

READINGS = (LifePoint(0.01, 1.0, "600 Hz"), LifePoint(1.0, 0.91, "572 Hz"), LifePoint(30.0, 0.84, "550 Hz"))
BEDS = tuple(
    BedLine(f"String {i % 5}", lambda days: 1 - days / 300, 10.0 + i, ((0.01, 1.0), (10.0 + i, 0.95)), i == 11)
    for i in range(12)
)

CHARTS: dict[str, Callable[..., str]] = {
    "target": lambda **o: target_chart(ROWS, **o),
    "history": lambda **o: history_chart(JOBS, target=SwingTarget(164, 1.5), **o),
    "equality": lambda **o: equality_chart(FRAMES, QUANTITIES, **o),
    "card": lambda **o: card_chart(ROWS, **o),
    "life": lambda **o: life_chart(
        lambda days: (1 - days / 200, 0.98 - days / 200, 1.02 - days / 200),
        READINGS,
        days=60.0,
        strung="2026-01-05",
        ticks=(Mark(0, "5 Jan"), Mark(27, "Feb"), Mark(55, "Mar")),
        due=Mark(48.0, "22 Feb"),
        limit=0.8,
        **o,
    ),
    "beds": lambda **o: beds_chart(BEDS, **o),
}
every_chart = pytest.mark.parametrize("make", CHARTS.values(), ids=CHARTS.keys())


@every_chart
def test_small_and_free_of_styles(make: Callable[..., str]) -> None:
    """A chart is well-formed, below 8 kB, without styles, colours, sizes, metadata or foreign references."""
    out = make(key="k", paint=CSS_PAINT)
    root = ET.fromstring(out)
    assert len(out.encode()) < 8000
    assert not re.search(r"style=|#[0-9a-f]{6}|<metadata|href|<style", out)
    assert root.get("width") is root.get("height") is None


@every_chart
def test_named_and_described(make: Callable[..., str]) -> None:
    """A screen reader gets a title and a description with the chart's figures."""
    root = ET.fromstring(make(key="k", paint=CSS_PAINT))
    title, desc = root[0], root[1]
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert title.text
    assert re.search(r"\d", desc.text or "")


@every_chart
def test_keys_keep_ids_apart(make: Callable[..., str]) -> None:
    """Charts with different keys share no id, and one chart uses no id twice."""
    ids = [re.findall(r' id="([^"]+)"', make(key=key, paint=CSS_PAINT)) for key in ("one", "two")]
    assert len(set(ids[0] + ids[1])) == len(ids[0] + ids[1])


@every_chart
def test_print_uses_the_light_colours(make: Callable[..., str]) -> None:
    """In print every colour is one of the light palette, and there is no class."""
    out = make(key="k", paint=PRINT_PAINT)
    assert "class=" not in out
    assert set(re.findall(r"#[0-9a-f]{6}", out)) <= {getattr(LIGHT, name) for name in LIGHT.__slots__}


@every_chart
def test_classes_are_tokens(make: Callable[..., str]) -> None:
    """Every class in a page's chart has a rule in drawing.css."""
    from passport.render.theme.assets import templates

    css = (templates() / "style" / "drawing.css").read_text()
    for names in re.findall(r'class="([^"]+)"', make(key="k", paint=CSS_PAINT)):
        assert all(f".{name} {{" in css for name in names.split())


@every_chart
def test_text_stays_inside(make: Callable[..., str]) -> None:
    """No text starts or ends outside the picture, measured with the shipped fonts."""
    from passport.render.charts.plot import text_width

    root = ET.fromstring(make(key="k", paint=CSS_PAINT))
    _, _, width, height = map(float, root.get("viewBox", "").split())
    for node in root.iter("{http://www.w3.org/2000/svg}text"):
        strong, display = node.get("font-weight") == "600", node.get("font-family") == "House Display"
        long = text_width(node.text or "", float(node.get("font-size", 0)), strong=strong, display=display)
        x, y = float(node.get("x", 0)), float(node.get("y", 0))
        start = x - {"start": 0.0, "middle": long / 2, "end": long}[node.get("text-anchor", "start")]
        assert start >= -0.5
        assert start + long <= width + 0.5
        assert 0 < y <= height


@every_chart
def test_words_come_from_the_caller(make: Callable[..., str]) -> None:
    """A chart in another language shows none of the English words."""
    german = ChartWords(
        decimal=",", inside="im Rahmen", outside="daneben", undecided="offen", not_measured="nicht gemessen",
        target="Soll", target_title="Ist", target_desc="{name}: {measured}, Soll {target}, {verdict}.",
        target_desc_missing="{name}: nicht gemessen, Soll {target}.", history_title="Verlauf",
        history_tension="Zugkraft", history_swingweight="Schwung", history_desc_tension="{date}: {mains}/{crosses}.",
        history_desc_swingweight="{date}: {swingweight}.", mains="längs", crosses="quer", both="beide",
        equality_title="Vergleich", equality_desc="{name}: {values} ({spread}).", life_title="Leben",
        life_left="Rest", life_due="neu bis {date}", life_limit="Grenze", life_desc_point="{reading}: {left}.",
        life_desc_due="{date}: {left}, {low} bis {high}.", today="heute", now="jetzt", beds_title="Alle",
        beds_left="Rest je Satz", beds_days="Tage", beds_one="{string}, einmal", beds_many="{string}, {count} Mal",
        beds_desc="{beds}: {left} nach {days}.",
    )  # fmt: skip
    shown = " ".join(ET.fromstring(make(key="k", paint=CSS_PAINT, words=german)).itertext())
    for english in (
        "inside", "outside", "undecided", "measured", "target", "tension", "mains", "crosses", "frames", "fresh",
        "restring", "limit", "today", "now", "beds", "days",
    ):  # fmt: skip
        assert not re.search(rf"\b{english}\b", shown)
