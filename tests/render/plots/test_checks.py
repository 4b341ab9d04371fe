"""Plots of how sure a bench is: what stands where, read back through matplotlib's own figures."""

from datetime import date
from itertools import pairwise

import numpy as np
import pytest
from scipy import stats

from passport.physics.uncertainty import conformity
from passport.render.plots.checks import checks_figure, checks_plot, verdicts_figure, verdicts_plot
from passport.render.plots.paper import drawing
from passport.render.sheets.measured.scale import BENCH
from passport.workshop.gathering.sureness import CheckResult, Stand

TODAY = date(2026, 3, 1)
LOOKS = tuple(
    CheckResult(date(2025, month, 1), "200.0 g", "200.1 g", "", correction, u)
    for month, correction, u in ((2, -0.1, 0.05), (7, 0.02, 0.03))
)
STANDS = (Stand("mass", 0.2, 0.1, True), Stand("balance", 0.9, 0.3, False), Stand("mass", 5.0, 0.2, True))


def test_a_plot_needs_something_to_show():
    """Without a check, or without a verdict, there is no plot."""
    with pytest.raises(ValueError, match="at least one"):
        checks_plot([], TODAY, "%", key="k", palette=BENCH)
    with pytest.raises(ValueError, match="at least one"):
        verdicts_plot([], key="k", palette=BENCH)


def test_a_band_reaches_two_standard_uncertainties_until_the_next_check():
    """Each correction has its bar, and its band of ± 2 u holds until the next check, the last one until today."""
    with drawing(BENCH):
        course, _ = checks_figure(LOOKS, TODAY, "%", BENCH).axes
        (band,) = [c for c in course.collections if len(c.get_paths()[0].vertices) > 6]
        corners = band.get_paths()[0].vertices
    for look, (start, stop) in zip(LOOKS, pairwise([*(one.day for one in LOOKS), TODAY]), strict=True):
        for end in (look.correction - 2 * look.u, look.correction + 2 * look.u):
            for day in (start, stop):
                apart = abs(corners - (course.convert_xunits(day), end))
                assert (apart.max(axis=1) < 1e-9).any(), (day, end)


def test_the_correction_in_force_is_a_normal_distribution():
    """The curve beside the course is the density that scipy gives, as a share of its height."""
    with drawing(BENCH):
        _, now = checks_figure(LOOKS, TODAY, "%", BENCH).axes
        density, values = now.lines[0].get_data()
    law = stats.norm(LOOKS[-1].correction, LOOKS[-1].u)
    assert density == pytest.approx(law.pdf(values) / law.pdf(LOOKS[-1].correction))


def test_verdicts_stand_by_distance_and_doubt():
    """A verdict's mark is at its distance from the target and at two standard uncertainties, hollow where undecided."""
    with drawing(BENCH):
        axes = verdicts_figure(STANDS, BENCH).axes[0]
        right = axes.get_xlim()[1]
        marks = {
            (float(x), float(y)): line.get_markerfacecolor()
            for line in axes.lines
            for x, y in zip(*line.get_data(), strict=True)
        }
    assert marks[(0.2, 0.2)] == BENCH.ink and marks[(0.9, 0.6)] == BENCH.sheet
    assert marks[(right, 0.4)] == BENCH.ink, "one that is farther off stands at the edge"


def test_the_fields_are_the_rule_of_the_verdicts():
    """Where the fields say surely inside or outside, the program's rule does too, and nowhere else."""
    with drawing(BENCH):
        axes = verdicts_figure([Stand("mass", 0.0, 0.7, False)], BENCH).axes[0]
        fields = [(c.get_facecolor()[0], c.get_paths()[0]) for c in axes.collections if len(c.get_facecolor())]
        inside = fields[0][0]
        for off in np.arange(-1.75, 1.8, 0.31):
            for wide in np.arange(0.05, 1.5, 0.17):
                verdict = conformity(off, wide / 2, -1, 1).verdict
                found = {
                    "inside" if np.allclose(colour, inside) else "outside"
                    for colour, path in fields
                    if path.contains_point((off, wide))
                }
                assert found == ({verdict} if verdict != "undecided" else set()), (off, wide)
    assert len(fields) == 3
