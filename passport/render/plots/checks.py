"""How sure a bench is, as plots: the checks of an instrument over time, and where all its verdicts stand."""

import math
from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from passport.physics.uncertainty import COVERAGE, conformity_probability
from passport.render.plots.paper import date_axis, drawing, picture, plotted, sheet, tick_lightly
from passport.render.theme.palette import Palette
from passport.workshop.facts.facts import QuantityName
from passport.workshop.gathering.sureness import CheckResult, Stand

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

CHECKS_SIZE: Final = (88.0, 28.0)
"""Width and height of the plot of checks, mm."""
STANDS_SIZE: Final = (66.0, 46.0)
"""Width and height of the plot of all verdicts, mm."""
_MARKS: Final[dict[QuantityName, str]] = {"mass": "o", "balance": "s", "swingweight": "D", "twistweight": "^"}
_LEGEND_LETTERS: Final = 36
"""So many letters of all words of the legend go in one line."""
_CHANCES: Final = (0.05, 0.5, 0.95)
_FARTHEST: Final = 2.6
"""No verdict is drawn further from its target than this many tolerances; one that is stands at the edge."""


def checks_plot(points: Sequence[CheckResult], today: date, unit: str, *, key: str, palette: Palette) -> str:
    """Corrections from the first check until ``today`` with what each left in doubt while it was in force; beside them how
    the correction in force is distributed. SVG.

    Raises:
        ValueError: there is no check.
    """
    with drawing(palette):
        return picture(checks_figure(points, today, unit, palette), key=key)


def checks_figure(points: Sequence[CheckResult], today: date, unit: str, palette: Palette) -> "Figure":
    """The plot of checks, inside `drawing`."""
    if not points:
        raise ValueError("a plot of checks needs at least one of them")
    figure = sheet(*CHECKS_SIZE)
    course, now = figure.subplots(1, 2, sharey=True, width_ratios=[6, 1])
    _course(course, points, max(today, points[-1].day + timedelta(days=1)), palette)
    course.set_title(
        plotted("correction, {unit}", unit=unit), fontsize=7.5, fontweight="normal", color=palette.soft, pad=2
    )
    last = points[-1]
    around = np.linspace(last.correction - 4 * last.u, last.correction + 4 * last.u, 81)
    density = np.exp(-(((around - last.correction) / last.u) ** 2) / 2)
    within = abs(around - last.correction) <= COVERAGE * last.u * (1 + 1e-9)
    now.fill_betweenx(around, 0, density, where=within, color=palette.band, linewidth=0)
    now.plot(density, around, color=palette.ink, linewidth=0.8)
    now.axhline(0, color=palette.soft, linewidth=0.6, dashes=(3, 2))
    now.set(xlim=(0, 1.15), xticks=[])
    now.set_title(plotted("now"), fontsize=7.5, fontweight="normal", color=palette.soft, pad=2)
    now.tick_params(left=False, labelleft=False)
    now.spines[["left", "bottom"]].set_visible(False)
    return figure


def _course(axes: "Axes", points: Sequence[CheckResult], end: date, palette: Palette) -> None:
    """The corrections over time, each with its band until the next."""
    days: Any = [*(p.day for p in points), end]
    values, wide = np.array([p.correction for p in points]), COVERAGE * np.array([p.u for p in points])
    low, high = (np.append(ends, ends[-1]) for ends in (values - wide, values + wide))
    axes.fill_between(days, low, high, step="post", color=palette.band, linewidth=0)
    axes.axhline(0, color=palette.soft, linewidth=0.6, dashes=(3, 2))
    axes.errorbar(
        days[:-1],
        values,
        yerr=wide,
        fmt="o",
        color=palette.ink,
        markersize=3,
        elinewidth=0.8,
        capsize=1.6,
        capthick=0.8,
    )
    reach = max(abs(low).max(), abs(high).max()) * 1.08
    span = (end - points[0].day).days
    axes.set(ylim=(-reach, reach), xlim=(points[0].day - timedelta(days=span * 0.02 + 1), end))
    axes.locator_params(axis="y", nbins=4, steps=[1, 2, 5, 10])
    date_axis(axes)
    tick_lightly(axes)


def verdicts_plot(points: Sequence[Stand], *, key: str, palette: Palette) -> str:
    """Every verdict by how far it is from its target and how sure it is, over the chance of being inside. SVG.

    Raises:
        ValueError: there is no verdict.
    """
    with drawing(palette, 7.5):
        return picture(verdicts_figure(points, palette), key=key)


def verdicts_figure(points: Sequence[Stand], palette: Palette) -> "Figure":
    """The plot of verdicts, inside `drawing`."""
    if not points:
        raise ValueError("a plot of verdicts needs at least one of them")
    figure = sheet(*STANDS_SIZE)
    axes = figure.subplots()
    wide = min(_FARTHEST, max(1.8, *(abs(p.off) * 1.15 for p in points)))
    top = max(0.75, *(COVERAGE * p.u * 1.15 for p in points))
    offs, doubts = np.linspace(-wide, wide, 131), np.linspace(1e-3, top, 61)
    chance = np.array([[conformity_probability(off, doubt / COVERAGE, -1, 1) for off in offs] for doubt in doubts])
    # Decided are figures U within both limits, and those U beyond one (JCGM 106, 8.3.2 and 8.3.3).
    sure = np.linspace(0, min(1.0, top), 2)
    axes.fill_betweenx(sure, sure - 1, 1 - sure, color=palette.band, linewidth=0)
    for side in (-1, 1):
        axes.fill_betweenx([0, top], [side, side * (1 + top)], side * 9, color=palette.ground, linewidth=0)
    lines = axes.contour(
        offs, doubts, chance, levels=_CHANCES, colors=palette.rule, linewidths=0.6, linestyles="dashed"
    )
    for share, path in zip(_CHANCES, lines.get_paths(), strict=True):
        for line in path.to_polygons(closed_only=False):
            x, y = max(np.asarray(line).tolist(), key=lambda point: point[1])
            if x > -0.5:  # the plot is the same on both sides
                axes.text(x, y, f"{100 * share:.0f} %", ha="center", va="bottom", fontsize=6.5)
    inside, outside = plotted("inside"), plotted("outside")
    for word, x in ((outside, -(1 + wide) / 2), (inside, 0.0), (outside, (1 + wide) / 2)):
        axes.text(x, 0.02 * top, word, ha="center", color=palette.soft, fontsize=7)
    for quantity, mark in _MARKS.items():
        mine = [p for p in points if p.quantity == quantity]
        for decided in (True, False):
            shown = [p for p in mine if p.decided == decided]
            axes.plot(
                [max(-wide, min(wide, p.off)) for p in shown],
                [COVERAGE * p.u for p in shown],
                mark,
                color=palette.ink,
                markerfacecolor=palette.ink if decided else palette.sheet,
                markersize=3.2 if decided else 4.2,
                clip_on=False,
            )
        if mine:
            axes.plot([], [], mark, color=palette.ink, markersize=3.2, label=plotted(quantity))
    axes.set(xlim=(-wide, wide), ylim=(0, top), xticks=range(-math.floor(wide), math.floor(wide) + 1))
    axes.set_xlabel(plotted("off target, in tolerances"), labelpad=1)
    axes.set_ylabel(plotted("± two u, in tolerances"), labelpad=2)
    # in a language of long words two stand above two
    wide_words = sum(len(plotted(quantity)) for quantity in _MARKS) > _LEGEND_LETTERS
    columns = 2 if wide_words else 4
    figure.legend(
        loc="outside upper left", ncols=columns, handletextpad=0.1, columnspacing=0.8, borderpad=0, fontsize=7
    )
    tick_lightly(axes)
    return figure
