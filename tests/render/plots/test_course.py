"""The picture of a frame's course: what is drawn is what was recorded, read back through matplotlib's own figure."""

from datetime import date

import numpy as np
import pytest
from bedshop import frame, hz, job, shop
from scipy import stats

from passport.render.plots.course import NothingToPlot, course_figure, course_plot
from passport.render.plots.paper import drawing
from passport.render.theme.palette import LIGHT
from passport.workshop.facts.facts import FrameFacts
from passport.workshop.gathering.course import course

TODAY = date(2026, 11, 30)
SETUP = "setup: {mass: 330 ± 1 g, balance: 320 ± 2 mm, swingweight: 318 ± 3 kgcm2}\n"
FULL = frame(
    job("2026-01-05", "mass: 329.5 g, balance: 320 mm, swingweight: 318 kgcm2, ring: 600 Hz, age: 15 min"),
    job("2026-03-01", f"ring: {hz(600, 0.05, 79200):.0f} Hz, age: 55 days", strung=False),
    job(
        "2026-06-01",
        "mass: 330.5 g, swingweight: 316 kgcm2, ring: 590 Hz, age: 15 min",
        mains="birch-130, tension: 48 lb",
    ),
    more=SETUP,
)


def facts(tmp_path, text: str = FULL, player: str = "") -> FrameFacts:
    """The course of the only frame of a workshop."""
    return course(shop(tmp_path, {"one": text}, player=player), "cy/one")


@pytest.fixture
def panels(tmp_path):
    """The panels of the full picture by their titles' first word."""
    with drawing(LIGHT, 9.0):
        found = course_figure(facts(tmp_path), TODAY)
        yield {
            axes.get_title(loc="left").split(",")[0].split(":")[0]: axes for part in found.subfigs for axes in part.axes
        }


def places(axes) -> set[tuple[float, float]]:
    """Every point of every line and mark."""
    return {
        (round(float(x), 6), round(float(y), 6))
        for line in axes.lines
        for x, y in zip(*line.get_data(orig=False), strict=True)
    }


def test_readings_stand_on_their_days_over_the_tolerance(panels):
    """Each reading is at its day and figure, and the band is the target's tolerance."""
    axes = panels["Swingweight"]
    for day, value in ((date(2026, 1, 5), 318.0), (date(2026, 6, 1), 316.0)):
        assert (round(axes.convert_xunits(day), 6), value) in places(axes)
    (band,) = axes.patches
    assert (band.get_y(), band.get_y() + band.get_height()) == pytest.approx((315, 321))


def test_a_tension_holds_until_the_next_job(panels):
    """Tensions are steps from the day that they were set to the next, in pounds, with kilogrammes on the right."""
    axes = panels["Pull tension"]
    steps = axes.lines[0]
    assert steps.get_drawstyle() == "steps-post"
    assert steps.get_ydata() == pytest.approx([50, 48, 48])
    (right,) = axes.child_axes
    with drawing(LIGHT, 9.0):
        axes.figure.figure.draw_without_rendering()
    assert np.array(right.get_ylim()) == pytest.approx(
        np.array(axes.get_ylim()) * 0.45359237
    )  # kg in a pound, NIST SP 811


def test_where_it_stands_is_a_normal_distribution_in_tolerances(panels, tmp_path_factory):
    """Each quantity has the density that scipy gives for its figure and uncertainty, and the verdict in words."""
    axes = panels["Where it stands"]
    found = facts(tmp_path_factory.mktemp("again"))
    specs = [spec for spec in found.specs if spec.value is not None and spec.target is not None]
    assert len(specs) == 2, "the balance was not read with the strings that are in"
    curves = [line for line in axes.lines if len(line.get_xdata()) > 50]
    for row, (spec, curve) in enumerate(zip(reversed(specs), curves, strict=True)):
        law = stats.norm((spec.value - spec.target) / spec.tolerance, spec.uncertainty / spec.tolerance)
        around, height = curve.get_data()
        assert height - row == pytest.approx(0.72 * law.pdf(around) / law.pdf(law.mean()))
        assert any(text.get_text().startswith(spec.verdict) for text in axes.texts)


def test_beds_have_their_readings_and_only_what_is_in_has_a_band(panels):
    """Readings of both beds stand at their ages; the bed that is in has the band of what is left, and no other."""
    axes = panels["Tension remaining"]
    assert axes.get_xscale() == "log"
    found = places(axes)
    assert any(
        x == pytest.approx(55) and y == pytest.approx(1 - 0.05 * np.log10(79200 / 15), abs=0.01) for x, y in found
    )
    assert len(axes.collections) == 1
    words = [text.get_text() for text in axes.get_legend().get_texts()]
    assert any("Birch" in word and word.endswith("in it now") for word in words) and len(words) == 2


def test_what_was_not_recorded_has_no_panel(tmp_path):
    """A frame that was strung and never read has its tension alone; one that nothing was done to has no picture."""
    with drawing(LIGHT, 9.0):
        figure = course_figure(facts(tmp_path / "a", frame(job("2026-01-05"))), TODAY)
    assert [axes.get_title(loc="left") for part in figure.subfigs for axes in part.axes] == [
        "Pull tension, as set, lb and kg"
    ]
    content = shop(tmp_path / "b", {"one": frame(job("2026-01-05")), "bare": "model: larch-98\nlabel: Bare\n"})
    with pytest.raises(NothingToPlot):
        course_plot(course(content, "cy/bare"), TODAY, "png")


def test_the_bench_sees_what_pages_may_not_show(tmp_path):
    """Where the player lets no page show the history, the picture has it all the same."""
    shut = facts(tmp_path, player="shows: {history: no}\n")
    assert len(shut.jobs) == 3 and shut.past
