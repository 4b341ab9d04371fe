"""The plot of what can be reached: what is drawn stands where its figures are, read back through matplotlib's own figure."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from passport.physics.moments import Moments
from passport.render.plots.paper import drawing
from passport.render.plots.reach import SIZE, Box, ReachFigures, ReachWords, reach_figure, reach_plot, sentence
from passport.render.sheets.measured.scale import BENCH
from passport.workshop.rebuild.reach import Reach, Supply

PLACES = ((3.0, 670.0, 0.0), (4.0, 575.0, 90.0), (5.0, 505.0, 125.0), (8.0, 35.0, 0.0))
BEGIN = Moments.from_measured(320.0, 316.0, 305.0)
REACH = Reach(
    BEGIN.m0,
    BEGIN.m1,
    BEGIN.swingweight(),
    tuple(
        Supply(room, p.m1, p.swingweight()) for room, p in ((room, Moments.point(1.0, x, y)) for room, x, y in PLACES)
    ),
)
FIGURES = ReachFigures(
    start=(320.0, 316.0),
    target=Box(327.0, 316.0, 1.0, 1.5),
    outline=REACH.outline(),
    fits=REACH.fits(311.0, 314.0),
    least=REACH.least_field,
    lines=(305.0, 317.0),
    plans=((326.8, 316.2), (327.3, 315.4)),
)


@cache
def drawn(figures_of=lambda: FIGURES):
    """The axes of the plot, with every mark in its place on paper."""
    with drawing(BENCH, 7.25):
        figure = reach_figure(figures_of(), BENCH, ReachWords())
        figure.draw_without_rendering()
    return figure.axes[0]


def figure_texts(axes):
    """The figures that stand on lines."""
    return [text for text in axes.texts if text.get_text().replace(".", "").isdigit()]


def test_a_lines_figure_is_the_least_swingweight_there():
    """Where the figure of a line stands, a mix can be reached, and its least swingweight is the figure."""
    figures = figure_texts(drawn())
    assert len(figures) >= 3
    for text in figures:
        assert REACH.least(*text.get_position()) == pytest.approx(float(text.get_text()), abs=0.02)


def test_lines_run_where_the_least_swingweight_is_their_own():
    """Every line that matplotlib finds in the field keeps to its swingweight, within a hundredth of the step between two."""
    (lines,) = [c for c in drawn().collections if hasattr(c, "levels")]
    assert len(lines.levels) >= 3
    for level, path in zip(lines.levels, lines.get_paths(), strict=True):
        found = REACH.least_field(path.vertices[:, 0], path.vertices[:, 1])
        assert found == pytest.approx(np.full(len(found), level), abs=0.02)


def test_no_figure_of_a_line_covers_the_target_or_another():
    """A line's figure stands clear of the target's box, of its word and of all other figures."""
    axes = drawn()
    boxes = [text.get_window_extent() for text in figure_texts(axes)]
    (word,) = [t for t in axes.texts if t.get_text() == "target"]
    corners = axes.transData.transform(np.array(FIGURES.target.corners))
    taken = word.get_window_extent()
    for i, box in enumerate(boxes):
        assert (
            box.x1 < corners[:, 0].min()
            or box.x0 > corners[:, 0].max()
            or box.y0 > corners[:, 1].max()
            or (box.y1 < corners[:, 1].min())
        )
        assert not box.overlaps(taken)
        assert not any(box.overlaps(other) for other in boxes[:i])


def test_target_plans_and_start_stand_where_their_figures_are():
    """The box has the target's tolerances as its sides; the marks have the masses and balances of start and plans."""
    axes = drawn()
    marks = {tuple(point) for line in axes.lines for point in np.array(line.get_data()).T.round(6).tolist()}
    assert {FIGURES.start, (327.0, 316.0), *FIGURES.plans} <= marks
    boxes = [patch.get_xy()[:4].tolist() for patch in axes.patches if len(patch.get_xy()) == 5]
    assert [list(corner) for corner in FIGURES.target.corners] in boxes


def test_words_are_the_shops_and_readable():
    """Words that the shop gave are shown as text of at least 7 pt; the plot is as large as the sheet has room for."""
    words = ReachWords(mass="Masse, g", miss="Nichts.")
    svg = reach_plot(FIGURES, key="k", palette=BENCH, words=words)
    assert "Masse, g" in svg and ">312<" in svg
    sizes = [float(part.split("px")[0]) for part in svg.split("font-size: ")[1:]]
    assert sizes and min(sizes) >= 7
    assert f'width="{SIZE[0] / 25.4 * 72:.6f}pt"' in svg
    assert sentence(replace(FIGURES, fits=()), words) == "Nichts."
    assert svg == reach_plot(FIGURES, key="k", palette=BENCH, words=words)


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        (FIGURES, "which meets the target’s box"),
        (replace(FIGURES, fits=((328.5, 320.0), (329.0, 318.0), (330.0, 321.0))), "does not meet the target’s box"),
        (replace(FIGURES, fits=()), "none of its mixes has the target’s swingweight"),
    ],
)
def test_one_sentence_says_what_the_plot_shows(figures, words):
    """The sentence tells whether the field of the right swingweight meets the target's box."""
    assert words in sentence(figures)
    assert sentence(figures).count(".") == 1


def test_a_frame_that_nothing_can_be_added_to_has_a_plot():
    """Where only one point can be reached the plot still shows start and target, and no line."""
    bare = Reach(BEGIN.m0, BEGIN.m1, BEGIN.swingweight(), ())
    alone = replace(FIGURES, outline=bare.outline(), fits=(), least=bare.least_field, plans=((320.0, 316.0),))
    axes = drawn(lambda: alone)
    assert not figure_texts(axes)
    assert len(axes.patches) == 2


LONG_WORDS = ReachWords(
    mass="Masse des ganzen Rahmens, g", balance="Balancepunkt ab Griffende, mm", swing="Linien: kleinstes Schwunggewicht, kg·cm²",
    start="so wie er ist, ohne Tuning", best="der erste aller Pläne", others="alle weiteren",
)  # fmt: skip


@pytest.mark.parametrize("words", [ReachWords(), LONG_WORDS])
def test_words_round_the_plot_have_room(words):
    """Names of axes and of marks stand inside the sheet, none on another and none on the plot or its figures."""
    with drawing(BENCH, 7.25):
        figure = reach_figure(FIGURES, BENCH, words)
        figure.draw_without_rendering()
        said = [(text.get_text(), text.get_window_extent()) for text in figure.texts]
        ticks = [t.get_window_extent() for t in (*figure.axes[0].get_xticklabels(), *figure.axes[0].get_yticklabels())]
        plot = figure.axes[0].get_window_extent()
    assert len(said) == 6
    for i, (name, box) in enumerate(said):
        assert box.x0 >= -0.5 and box.x1 <= figure.bbox.x1 + 0.5, name
        for other in (*(box for _, box in said[:i]), plot, *ticks):
            apart = (
                box.x1 <= other.x0 + 0.3 or other.x1 <= box.x0 + 0.3 or box.y1 <= other.y0 + 2 or other.y1 <= box.y0 + 2
            )
            assert apart, name
