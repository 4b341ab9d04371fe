"""The card's drawings: readable on every ground, telling by shape as well as by colour."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from cardfacts import FRAME, SHOP, specs

from passport.render.print.card_art import card_palette, gauge, mixed, on_panel, panel, ribbon, small_racquet
from passport.render.theme.palette import LIGHT, contrast

LOOK = card_palette(SHOP)


def one(value: float | None, verdict: str) -> str:
    """The gauge of a reading of 100 ± 1."""
    return gauge(specs((value, 100.0, 1.0, verdict))[0], LOOK, "Mass: a verdict") if value else ""


def test_white_text_is_readable_on_the_panel() -> None:
    """White text has a contrast of 4.5 on the panel and where the ornament crosses it (WCAG 2.2, 1.4.3)."""
    dark = on_panel(LOOK)
    assert contrast("#ffffff", dark.ground) >= 4.5
    assert contrast("#ffffff", dark.weave) >= 4.5


@pytest.mark.parametrize("token", ["frame", "petrol", "plum"])
def test_the_racquet_stands_out_from_the_panel(token: str) -> None:
    """Frame and strings have a contrast of 3 on the panel (WCAG 2.2, 1.4.11)."""
    dark = on_panel(LOOK)
    assert contrast(getattr(dark, token), dark.ground) >= 3


@pytest.mark.parametrize(("front", "ground"), [
    ("ink", "sheet"), ("ink", "ground"), ("soft", "sheet"), ("soft", "ground"), ("petrol", "sheet"), ("petrol", "ground"),
    ("plum", "ground"), ("ink", "ball"),
])  # fmt: skip
def test_text_is_readable_on_the_light_field(front: str, ground: str) -> None:
    """Every colour of text has a contrast of 4.5 on the grounds that it stands on (WCAG 2.2, 1.4.3)."""
    assert contrast(getattr(LOOK, front), getattr(LOOK, ground)) >= 4.5


def test_the_shop_s_colours_are_taken_where_they_can_be_read() -> None:
    """A dark accent and second colour are used; pale ones give way to the house's own."""
    dark = card_palette(replace(SHOP, accent="#23305f", second="#5a1f10"))
    assert (dark.petrol, dark.plum) == ("#23305f", "#5a1f10")
    pale = card_palette(replace(SHOP, accent="#767676", second="#c0a0a0"))
    assert (pale.petrol, pale.plum) == (LIGHT.petrol, LIGHT.plum)


def test_mixed_colours() -> None:
    """A mixture lies between its two colours, channel by channel."""
    assert mixed("#000000", "#ffffff", 0) == "#000000"
    assert mixed("#000000", "#ffffff", 1) == "#ffffff"
    assert mixed("#204060", "#406080", 0.5) == "#305070"


@pytest.mark.parametrize("back", [False, True])
def test_panel_is_sound_and_perforated(back: bool) -> None:
    """The panel is well-formed, has a hole every 2 mm along 60 mm, and is mirrored on the back."""
    picture = panel("1042-9", LOOK, 25.0, back=back)
    assert ET.fromstring(picture) is not None
    outline = re.search(r'<path d="(M280 0[^"]*)"', picture)
    assert outline and outline[1].count("c2.76 0 5 2.24 5 5c0 2.76-2.24 5-5 5") == 30
    assert ("matrix(-1 0 0 1 280 0)" in picture) == back


def test_ornaments_belong_to_the_number() -> None:
    """Panel and ribbon differ from number to number and are the same for the same number."""
    for draw in (lambda n: panel(n, LOOK, 25.0, back=False), lambda n: ribbon(n, LOOK)):
        assert draw("1042-9") == draw("1042-9") != draw("1043-7")


def test_gauge_tells_by_shape() -> None:
    """Inside is a disc, outside a diamond, undecided a ring, far outside an arrow at that end, no reading nothing."""
    inside, outside = one(100.4, "inside"), one(101.4, "outside")
    assert inside.count("<circle") == 1 and outside.count("<circle") == 0
    assert "l6 6-6 6-6-6z" in outside and "l6 6-6 6-6-6z" not in one(100.9, "undecided")
    undecided = one(100.9, "undecided")
    assert undecided.count("<circle") == 1 and LOOK.doubt in undecided and LOOK.bad not in undecided
    far, low = one(140.0, "outside"), one(60.0, "outside")
    assert "l-9 -6v12z" in far and "l9 -6v12z" in low
    empty = gauge(specs((None, 100.0, 1.0, "open"))[0], LOOK, "Mass: not measured")
    assert "<circle" not in empty
    assert [shape.count("<path") for shape in (empty, inside, outside)] == [4, 4, 5]


def test_gauge_stands_where_the_reading_is() -> None:
    """One tolerance above the target lies on the band's upper limit, one below on the lower."""
    high, low = (float(re.search(r'circle cx="([\d.]+)"', one(v, "inside"))[1]) for v in (101.0, 99.0))
    edges = sorted(float(x) for x in re.search(r"M([\d.]+) [\d.]+v14M([\d.]+)", one(100.0, "inside")).groups())
    assert [low, high] == pytest.approx(edges)


def test_drawings_have_names() -> None:
    """Racquet and gauges carry a title for screen readers, with markup made safe."""
    assert "<title" in small_racquet(FRAME, LOOK, "A & B") and "A &amp; B" in small_racquet(FRAME, LOOK, "A & B")
    assert "Mass: a verdict" in one(100.0, "inside")
