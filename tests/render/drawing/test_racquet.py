"""The whole drawing of a racquet: every sport, both ways round, small and accessible."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from passport.physics.geometry import RacquetShape
from passport.physics.head.outline import TEARDROP
from passport.render.drawing.fitted import DrawnPart
from passport.render.drawing.racquet import CARD, EMBLEM, PAGE, Balance, Caption, View, draw
from passport.render.theme.palette import CSS_PAINT, LIGHT, PRINT_PAINT

# Plausible dimensions inside each sport's limits (common practice, no source).
SHAPES = {
    "tennis": RacquetShape(685.8, 338, 252, 11.5, 190, 31, "open", 16, 19),
    "squash": RacquetShape(686, 336, 190, 9.5, 205, 26, "open", 14, 18),
    "teardrop": RacquetShape(
        686, 342, 184, 11, 200, 27, "open", 14, 18, 8.2, 15.2, outline=TEARDROP, joined=True, fan=0.32, first_cross=22
    ),
    "badminton": RacquetShape(675, 238, 180, 6.2, 175, 24, "shaft", 22, 21),
    "racketball": RacquetShape(558, 338, 222, 10.5, 150, 29, "open", 16, 18),
}
PIECES = (
    DrawnPart("tape", 0, 0, 12, 90, 4.0, "under the bumper"),
    DrawnPart("tape", 0, 0, 3, 60, 3.0, "3 and 9"),
    DrawnPart("silicone", 20, 90, None, 70, 5.0, "in the handle"),
    DrawnPart("sleeve", 0, 140, None, 0, 6.0, "sleeve"),
    DrawnPart("grip", 10, 150, None, 0, 5.0, "overgrip"),
)


UPRIGHT = View()


def drawing(sport: str = "tennis", view: View = UPRIGHT, pieces=PIECES, key="k", title="A racquet", **options) -> str:
    """A drawing with all pieces unless said otherwise."""
    caption = Caption(key, title, "What is on it")
    return draw(SHAPES[sport], pieces, view, caption, **{"paint": CSS_PAINT, **options})


@pytest.mark.parametrize("sport", SHAPES)
@pytest.mark.parametrize("view", [PAGE, CARD, EMBLEM, UPRIGHT])
def test_small_and_free_of_styles(sport: str, view: View) -> None:
    """Each drawing is well-formed, a few kB, and carries neither style nor colour of its own."""
    out = drawing(sport, view, hybrid=True, balance=Balance(350))
    ET.fromstring(out)
    assert len(out.encode()) < 6000
    assert "style=" not in out
    assert not re.search(r"#[0-9a-f]{6}", out)


def test_print_has_colours_and_no_classes() -> None:
    """In print the drawing carries the light colours and no class."""
    out = drawing(paint=PRINT_PAINT)
    assert LIGHT.frame in out
    assert "class=" not in out


@pytest.mark.parametrize("sport", SHAPES)
def test_view_holds_the_whole_frame(sport: str) -> None:
    """Upright and lying views are as long and as wide as the frame, and swap when it is turned."""
    shape = SHAPES[sport]
    _, _, width, height = map(float, _view(drawing(sport, pieces=())))
    assert height >= shape.length
    assert width >= shape.head_width + 2 * shape.rim
    _, _, length, across = map(float, _view(drawing(sport, EMBLEM, pieces=())))
    assert (length, across) == (height, width)


def _view(out: str) -> list[str]:
    found = re.search(r'viewBox="([^"]+)"', out)
    assert found
    return re.findall(r"-?[\d.]+", found[1])


def test_every_piece_has_its_number() -> None:
    """The numbers 1 to 5 stand in the drawing once each, and none on a card or in the emblem."""
    assert sorted(re.findall(r">(\d)</text>", drawing())) == ["1", "2", "3", "4", "5"]
    assert not re.findall(r">(\d)</text>", drawing(view=EMBLEM))
    assert not re.findall(r">(\d)</text>", drawing(view=CARD))


@pytest.mark.parametrize("view", [UPRIGHT, PAGE, EMBLEM])
def test_a_mark_shows_the_balance(view: View) -> None:
    """The balance point is marked with the caller's words; without them the mark stands alone."""
    out, bare, none = (drawing(view=view, balance=b) for b in (Balance(340, "340 mm"), Balance(340), None))
    assert ">340 mm</text>" in out
    assert "mm</text>" not in bare
    assert bare.count('"f-plum"') == none.count('"f-plum"') + 1


def test_crosses_of_a_hybrid_have_their_own_ink() -> None:
    """Mains and crosses differ in colour only for a hybrid string job."""
    assert "s-plum" in drawing(pieces=(), hybrid=True)
    assert "s-plum" not in drawing(pieces=())


def test_ids_follow_the_key() -> None:
    """Two drawings with different keys share no id; the same one gives the same drawing."""
    ids = [set(re.findall(r' id="([^"]+)"', drawing(key=key))) for key in ("a", "b")]
    assert all(len(found) == 3 for found in ids)
    assert not ids[0] & ids[1]
    assert drawing() == drawing()
    assert drawing() != drawing(pieces=(replace(PIECES[0], length_mm=80),))


def test_hostile_words_stay_words() -> None:
    """Markup in titles and labels of a record is shown, not obeyed."""
    out = drawing(title="<script>", balance=Balance(340, "</svg>"))
    assert "<script>" not in out
    assert ET.fromstring(out)[0].text == "<script>"
