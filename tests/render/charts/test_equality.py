"""How equal the frames are: every reading at its place, every name readable."""

import re
import xml.etree.ElementTree as ET
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.render.charts.equality import EqualFrame, EqualQuantity, equality_chart
from passport.render.charts.plot import text_width
from passport.render.theme.palette import CSS_PAINT

MASS = EqualQuantity("Mass", 131.5, 0.5, "spread 0.2 g", "131.0", "132.0", "inside")
TEXT = "{http://www.w3.org/2000/svg}text"


def chart(values: list[float | None], quantity: EqualQuantity = MASS) -> ET.Element:
    """One quantity of some frames."""
    frames = [EqualFrame(f"Frame {i}", (value,)) for i, value in enumerate(values)]
    return ET.fromstring(equality_chart(frames, [quantity], key="k", paint=CSS_PAINT))


def names(root: ET.Element) -> list[ET.Element]:
    """The names over the dots."""
    return [e for e in root.iter(TEXT) if (e.text or "").startswith("Frame")]


@given(st.lists(st.floats(130, 133), min_size=1, max_size=6))
@settings(deadline=None, derandomize=True, max_examples=40)
def test_names_never_overlap(values: list[float]) -> None:
    """However close the readings, every frame is named once, no two names touch and none leaves the picture."""
    root = chart(list(values))
    width, height = (float(v) for v in root.get("viewBox", "").split()[2:])
    boxes = []
    for e in names(root):
        half = text_width(e.text or "", 12, strong=True) / 2
        boxes.append((float(e.get("x", 0)) - half, float(e.get("x", 0)) + half, float(e.get("y", 0))))
    named = [name for e in names(root) for name in (e.text or "").split(", ")]
    assert sorted(named) == [f"Frame {i}" for i in range(len(values))]
    assert all(left >= -0.1 and right <= width + 0.1 and 0 < y < height for left, right, y in boxes)
    for a, b in combinations(boxes, 2):
        assert a[1] < b[0] or b[1] < a[0] or abs(a[2] - b[2]) >= 14


def test_dots_stand_where_the_values_are() -> None:
    """Equal differences are equal distances, and the target's mark stands at the target."""
    root = chart([131.3, 131.5, 131.7])
    xs = sorted(float(e.get("x", 0)) for e in names(root))
    assert xs[1] - xs[0] == pytest.approx(xs[2] - xs[1], abs=0.2)
    target = next(e for e in root if e.get("class") == "s-plum")
    assert float(re.findall(r"M([\d.]+)", target.get("d", ""))[0]) == pytest.approx(xs[1], abs=0.1)


def test_frames_that_read_the_same_share_a_dot() -> None:
    """Frames whose dots would lie on each other are named side by side over one of them."""
    assert [e.text for e in names(chart([131.4, 131.4, 131.4]))] == ["Frame 0, Frame 1, Frame 2"]
    assert len(names(chart([131.3, 131.5]))) == 2


def test_a_mark_stands_only_for_a_target() -> None:
    """Where no target was set there is no mark of one."""
    middle = EqualQuantity("Mass", 131.5, 0.5, "", "", "", None, aimed=False)
    assert not any(e.get("class") == "s-plum" for e in chart([131.4], middle))


def test_frame_without_reading_is_left_out() -> None:
    """A frame that was not measured has no dot and no name in that row."""
    assert [e.text for e in names(chart([131.4, None]))] == ["Frame 0"]
    root = chart([None])
    assert names(root) == []
    assert "not measured" in (root[1].text or "")


def test_frame_out_of_tolerance_is_a_diamond() -> None:
    """A reading that is surely outside the band has its own shape and colour; one that only seems so has not."""
    for sure in (True, False):
        frames = [EqualFrame("Frame 0", (133.0,), off=(sure,))]
        root = ET.fromstring(equality_chart(frames, [MASS], key="k", paint=CSS_PAINT))
        assert any(e.get("class") == "f-bad" for e in root) is sure
    assert not any(e.get("class") == "f-bad" for e in chart([131.6]))


def test_wrong_number_of_values_is_refused() -> None:
    """Each frame needs a value, or None, for each quantity."""
    with pytest.raises(ValueError, match="one value"):
        equality_chart([EqualFrame("a", (1.0, 2.0))], [MASS], key="k", paint=CSS_PAINT)
