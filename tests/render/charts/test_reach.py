"""The chart of what can be reached: what is drawn stands where its figures are."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from passport.render.charts.reach import (
    HEIGHT,
    WIDTH,
    Box,
    ReachFigures,
    ReachWords,
    reach_chart,
    sentence,
    ticks,
)
from passport.render.theme.palette import CSS_PAINT, PRINT_PAINT

TARGET = Box(332.0, 313.0, 1.0, 1.5)
OUTLINE = ((323.0, 315.0), (330.0, 305.0), (345.0, 310.0), (340.0, 325.0))
FITS = ((328.0, 316.0), (330.0, 309.0), (336.0, 309.0), (335.0, 316.0))
FIGURES = ReachFigures(
    start=(323.0, 315.0),
    target=TARGET,
    outline=OUTLINE,
    fits=FITS,
    contours=((312.0, (((326.0, 316.0), (334.0, 309.0)),)),),
    plans=((331.6, 312.6), (331.7, 313.4)),
)
SVG = "{http://www.w3.org/2000/svg}"


def elements(figures=FIGURES, **more) -> list[ET.Element]:
    """All elements of the chart."""
    return list(ET.fromstring(reach_chart(figures, key="k", paint=CSS_PAINT, **more)).iter())


def points(element: ET.Element) -> list[tuple[float, float]]:
    """The corners of a path of M, L, H and V, absolute."""
    found, x, y = [], 0.0, 0.0
    for letter, numbers in re.findall(r"([MLHV])([-\d. ]*)", element.get("d", "")):
        values = [float(v) for v in re.findall(r"-?[\d.]+", numbers)]
        x, y = {"H": (values[0], y), "V": (x, values[0])}.get(letter, tuple(values[:2]) if len(values) > 1 else (x, y))
        found.append((x, y))
    return found


def dots(found, ink: str) -> list[tuple[float, float]]:
    """Centres of the discs of one colour."""
    paths = [e for e in found if e.get("class") == f"s-{ink}" and e.get("stroke-linecap") == "round"]
    return [points(p)[i] for p in paths for i in range(0, len(points(p)))]


def box_of(found) -> tuple[float, float, float, float]:
    """The target's box on the chart: left, top, right, bottom."""
    (box,) = [e for e in found if e.get("class") == "s-plum" and "z" in e.get("d", "")]
    xs, ys = zip(*points(box), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def test_plans_stand_in_the_box_where_their_figures_are():
    """A plan's place in the target's box is its place between the tolerance's limits, the balance upwards."""
    found = elements()
    left, top, right, bottom = box_of(found)
    for mass, balance in FIGURES.plans:
        x = left + (mass - 331.0) / 2.0 * (right - left)
        y = bottom - (balance - 311.5) / 3.0 * (bottom - top)
        assert any(abs(u - x) < 0.3 and abs(v - y) < 0.3 for u, v in dots(found, "petrol")), (mass, balance)


def test_fields_are_shaded_and_named():
    """The outline's field and the one that fits are filled, and the axes and the lines say what they are."""
    found = elements()
    classes = [e.get("class", "") for e in found]
    assert "f-ground" in classes and "f-band" in classes
    said = " ".join(e.text or "" for e in found if e.tag == SVG + "text")
    for word in ("mass, g", "balance, mm", "least swingweight", "target", "312", "plan 1", "others", "untuned"):
        assert word in said


def test_nothing_is_drawn_outside_the_picture():
    """All lines, fields and words stay inside the chart, however large the outline is."""
    wide = replace(FIGURES, outline=((100.0, 100.0), (900.0, 100.0), (900.0, 600.0), (100.0, 600.0)))
    for element in elements(wide):
        for x, y in points(element) if element.tag == SVG + "path" else []:
            assert -0.1 <= x <= WIDTH + 0.1 and -0.1 <= y <= HEIGHT + 0.1
        if element.tag == SVG + "text":
            assert 0 <= float(element.get("y", 0)) <= HEIGHT


def test_no_figure_of_a_line_covers_the_target():
    """A contour's figure stands outside the target's box and off the word below it."""
    through = tuple((v, (((324.0, 320.0 - i), (336.0, 310.0 - i)),)) for i, v in enumerate((311.0, 312.0, 313.0)))
    found = elements(replace(FIGURES, contours=through))
    left, top, right, bottom = box_of(found)
    labels = [e for e in found if e.tag == SVG + "text" and e.text in ("311", "312", "313")]
    assert labels
    for label in labels:
        x, y = float(label.get("x", 0)), float(label.get("y", 0))
        assert not (left < x < right and top < y < bottom)


def test_sizes_are_readable_in_print():
    """No text is smaller than 13 px, which is 7 pt where the chart is printed 58 mm wide."""
    sizes = [float(e.get("font-size", 99)) for e in elements() if e.tag == SVG + "text"]
    assert min(sizes) >= 13
    assert 13 * 58 / WIDTH / (25.4 / 72) > 7


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        (FIGURES, "which meets the target’s box"),
        (replace(FIGURES, fits=((328.0, 320.0), (329.0, 318.0), (330.0, 321.0))), "does not meet the target’s box"),
        (replace(FIGURES, fits=()), "none of its mixes has the target’s swingweight"),
    ],
)
def test_one_sentence_says_what_the_chart_shows(figures, words):
    """The sentence tells whether the field of the right swingweight meets the target's box; it describes the chart too."""
    assert words in sentence(figures)
    assert sentence(figures).count(".") == 1
    (described,) = [e for e in elements(figures) if e.tag == SVG + "desc"]
    assert described.text == sentence(figures)


def test_words_are_the_shops():
    """Other words are shown instead."""
    words = ReachWords(mass="Masse, g", miss="Nichts.")
    assert any(e.text == "Masse, g" for e in elements(words=words))
    assert sentence(replace(FIGURES, fits=()), words) == "Nichts."


@pytest.mark.parametrize(
    ("low", "high", "most", "texts"),
    [
        (322.1, 334.9, 6, ["324", "326", "328", "330", "332", "334"]),
        (88.3, 92.2, 6, ["89", "90", "91", "92"]),
        (1.0, 1.45, 5, ["1.0", "1.1", "1.2", "1.3", "1.4"]),
        (5.0, 5.0, 5, []),
    ],
)
def test_ticks_are_round_numbers_between_the_limits(low, high, most, texts):
    """Scales have at most so many numbers, 1, 2 or 5 times a power of ten apart, none beyond the limits."""
    assert [text for _, text in ticks(low, high, most)] == texts
    assert all(low <= value <= high for value, _ in ticks(low, high, most))


def test_the_same_chart_gives_the_same_picture():
    """Drawn twice it is the same text; in print its colours are the palette's own."""
    assert reach_chart(FIGURES, key="k", paint=CSS_PAINT) == reach_chart(FIGURES, key="k", paint=CSS_PAINT)
    assert 'class="' not in reach_chart(FIGURES, key="k", paint=PRINT_PAINT)


def test_a_frame_that_nothing_can_be_added_to_has_a_chart():
    """Where only one point can be reached the chart still shows start and target."""
    bare = replace(FIGURES, outline=((323.0, 315.0),), fits=(), contours=(), plans=((323.0, 315.0),))
    found = elements(bare)
    assert box_of(found)
    assert dots(found, "petrol")
