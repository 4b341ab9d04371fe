"""What the materials in stock can reach from a frame: mass against balance, with lines of equal swingweight."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from passport.render.plots.paper import drawing, picture, sheet, tick_lightly
from passport.render.theme.palette import Palette
from passport.render.theme.textfit import MM_PER_PT, Face, fitted_size, text_width
from passport.workshop.rebuild.reach import clipped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Point = tuple[float, float]
Field = Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[np.float64]]
"""Swingweights in kg·cm² at masses in g and balances in mm, arrays of one shape."""

SIZE: Final = (58.0, 43.0)
"""Width and height, mm."""
_TEXT_PT: Final = 7.25
_LEAST_PT: Final = 6.0
_LINE, _GAP, _EDGE, _MARK = 9.0, 5.0, 3.0, 9.0
"""A line of words, what is free between two of them, right of the plot, and the room of a mark before its word, pt."""
_FINE: Final = 161
"""Points of the field along each axis."""


@dataclass(frozen=True, slots=True)
class ReachWords:
    """Every word of the chart; names in braces are filled in."""

    title: str = "What can be reached from this frame"
    mass: str = "mass, g"
    balance: str = "balance, mm"
    swing: str = "lines: least swingweight, kg·cm²"
    start: str = "untuned"
    target: str = "target"
    best: str = "plan 1"
    others: str = "others"
    hit: str = (
        "The outline holds every mass and balance that the stock can reach; on the shaded field, which meets the "
        "target’s box, the swingweight is right as well."
    )
    near: str = (
        "The outline holds every mass and balance that the stock can reach; the shaded field, where the swingweight is "
        "right as well, does not meet the target’s box."
    )
    miss: str = (
        "The outline holds every mass and balance that the stock can reach; none of its mixes has the target’s "
        "swingweight."
    )


@dataclass(frozen=True, slots=True)
class Box:
    """The target: mass in g and balance in mm, each with its tolerance."""

    mass: float
    balance: float
    mass_tolerance: float
    balance_tolerance: float

    @property
    def corners(self) -> tuple[Point, ...]:
        """The box of the tolerances."""
        (x, y), (dx, dy) = (self.mass, self.balance), (self.mass_tolerance, self.balance_tolerance)
        return (x - dx, y - dy), (x + dx, y - dy), (x + dx, y + dy), (x - dx, y + dy)


@dataclass(frozen=True, slots=True)
class ReachFigures:
    """What is drawn, all points in mass (g) and balance (mm).

    ``outline`` of what can be reached and ``fits`` where the swingweight is within its tolerance as polygons; ``least``
    is the least swingweight, which has lines from ``lines[0]`` to ``lines[1]`` kg·cm²; ``plans`` are the results of the
    plans, the first one the best.
    """

    start: Point
    target: Box
    outline: Sequence[Point]
    fits: Sequence[Point]
    least: Field
    lines: tuple[float, float]
    plans: Sequence[Point]


def sentence(figures: ReachFigures, words: ReachWords | None = None) -> str:
    """The one sentence that explains the plot."""
    words = words or ReachWords()
    if not figures.fits:
        return words.miss
    (left, low), (right, high) = figures.target.corners[0], figures.target.corners[2]
    met = figures.fits
    for keep in (lambda p: p[0] - left, lambda p: right - p[0], lambda p: p[1] - low, lambda p: high - p[1]):
        met = clipped(met, keep)
    return words.hit if met else words.near


def reach_plot(figures: ReachFigures, *, key: str, palette: Palette, words: ReachWords | None = None) -> str:
    """The plot as SVG; `sentence` is to be printed beside it."""
    with drawing(palette, _TEXT_PT):
        return picture(reach_figure(figures, palette, words or ReachWords()), key=key)


def reach_figure(figures: ReachFigures, palette: Palette, words: ReachWords) -> "Figure":
    """The plot, inside `drawing`."""
    figure = sheet(*SIZE)
    figure.set_layout_engine("none")  # it measures words in typefaces that lack the signs of many languages
    axes = figure.subplots()
    low, high = _window(figures)
    axes.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]))
    axes.locator_params(nbins=7, steps=[1, 2, 5, 10])
    tick_lightly(axes)
    axes.fill(*_sides(figures.outline), facecolor=palette.ground, edgecolor=palette.rule, linewidth=1.2)
    if figures.fits:
        axes.fill(*_sides(figures.fits), facecolor=palette.band, edgecolor=palette.ink, linewidth=0.8)
    _marks(axes, figures, palette, words)
    _words(figure, axes, figures, palette, words)
    figure.draw_without_rendering()  # now every place in the plot has its place on paper
    if len(set(figures.outline)) > 2:
        _lines(axes, figures, palette)
    return figure


def _window(figures: ReachFigures) -> tuple[Point, Point]:
    """Start, target and plans with some room around them, as two corners."""
    box = figures.target
    points = np.array([figures.start, *figures.plans, *box.corners])
    low, high = points.min(axis=0), points.max(axis=0)
    room = np.maximum(1.2 * np.array([box.mass_tolerance, box.balance_tolerance]), 0.22 * (high - low))
    low, high = low - room * (0.5, 1.0), high + room
    return (float(low[0]), float(low[1])), (float(high[0]), float(high[1]))


def _sides(points: Sequence[Point]) -> Any:
    return np.array(points).T


def _marks(axes: "Axes", figures: ReachFigures, palette: Palette, words: ReachWords) -> None:
    """The frame without tuning, the target with its box, and the plans, the first one large."""
    box = figures.target
    look: Any = {"linestyle": "none", "markeredgecolor": palette.sheet, "markeredgewidth": 0.6, "zorder": 5}
    axes.plot(*figures.start, marker="D", markersize=5, color=palette.ink, **look)
    for size, plans in ((5.4, figures.plans[:1]), (3.6, figures.plans[1:])):
        if plans:
            axes.plot(*_sides(plans), marker="o", markersize=size, color=palette.petrol, **look)
    axes.fill(*_sides(box.corners), fill=False, edgecolor=palette.plum, linewidth=1.3, zorder=4)
    axes.plot(box.mass, box.balance, marker="+", markersize=8, markeredgewidth=1.3, color=palette.plum, zorder=4)
    axes.annotate(
        words.target, box.corners[1], (0, -2), textcoords="offset points", ha="right", va="top", color=palette.plum,
        fontweight="semibold", zorder=6,
    )  # fmt: skip


def _words(figure: "Figure", axes: "Axes", figures: ReachFigures, palette: Palette, words: ReachWords) -> None:
    """The names of axes and lines over the plot and below it, what the marks mean, and room for all of them.

    Each has a line of its own where two of them would meet.
    """
    from matplotlib.lines import Line2D

    wide, tall = (side / MM_PER_PT for side in SIZE)
    figure.draw_without_rendering()  # for the figures of the axis
    left = max(_wide(label.get_text()) for label in axes.get_yticklabels()) + 6.0
    room = wide - left - _EDGE
    head = fitted_size(words.balance, "text-600", room * MM_PER_PT, _TEXT_PT, _LEAST_PT)
    apart = _wide(words.balance, "text-600") + _GAP + _wide(words.swing) > room
    swing = fitted_size(words.swing, "text-400", (wide - _EDGE) * MM_PER_PT, _TEXT_PT, _LEAST_PT)
    mass = fitted_size(words.mass, "text-600", (wide - _EDGE) * MM_PER_PT, _TEXT_PT, _LEAST_PT)
    end, upper = 1 - _EDGE / wide, tall - _LINE + 1
    figure.text(left / wide, upper / tall, words.balance, fontsize=head, fontweight="semibold")
    figure.text(end, (upper - _LINE * apart) / tall, words.swing, fontsize=swing, ha="right", color=palette.soft)

    named = [(words.start, "D", 5.0, palette.ink), (words.best, "o", 5.4, palette.petrol)]
    named += [(words.others, "o", 3.6, palette.petrol)] if figures.plans[1:] else []
    lines: list[list[float]] = [[]]
    at = _EDGE / 2
    for word, *_ in named:
        needed = _MARK + _wide(word)
        # The first line ends with the name of the axis.
        most = wide - _EDGE - (_wide(words.mass, "text-600") + _GAP if len(lines) == 1 else 0.0)
        if at + needed > most and (lines[-1] or len(lines) == 1):
            lines.append([])
            at = _EDGE / 2
        lines[-1].append(at)
        at += needed + _GAP
    low = 2.0 + _LINE * (len(lines) - 1)
    places = [(x, low - _LINE * i) for i, line in enumerate(lines) for x in line]
    for (word, marker, size, colour), (x, y) in zip(named, places, strict=True):
        key: Any = {"marker": marker, "markersize": size, "color": colour, "markeredgecolor": palette.sheet}
        middle = (x + _MARK / 2) / wide, (y + 0.36 * _TEXT_PT) / tall
        figure.add_artist(Line2D(middle[:1], middle[1:], linestyle="none", markeredgewidth=0.6, **key))
        figure.text((x + _MARK) / wide, y / tall, word, color=palette.soft)
    figure.text(end, low / tall, words.mass, fontsize=mass, fontweight="semibold", ha="right")
    top = tall - 3 - _LINE * (1 + apart)
    bottom = low + 2 * _LINE + 5
    axes.set_position((left / wide, bottom / tall, room / wide, (top - bottom) / tall))


def _wide(words: str, face: Face = "text-400") -> float:
    """How wide words run, pt."""
    return text_width(words, face, _TEXT_PT) / MM_PER_PT


def _lines(axes: "Axes", figures: ReachFigures, palette: Palette) -> None:
    """Lines of equal least swingweight over the outline, each with its figure on it, none over the target's box."""
    from matplotlib.path import Path
    from matplotlib.ticker import MaxNLocator

    masses, balances = np.linspace(*axes.get_xlim(), _FINE), np.linspace(*axes.get_ylim(), _FINE)
    field = figures.least(*np.meshgrid(masses, balances))
    levels = [
        v for v in MaxNLocator(7, steps=[1, 2, 5, 10]).tick_values(*figures.lines) if field.min() < v < field.max()
    ]
    if not levels:
        return
    lines = axes.contour(
        masses, balances, field, levels=levels, colors=palette.rule, linewidths=0.6, linestyles="dashed", zorder=2
    )
    outline = Path(np.array([*figures.outline, figures.outline[0]]), closed=True)
    lines.set_clip_path(outline, axes.transData)
    taken = _LabelRoom(axes, figures)
    for level, path in zip(levels, lines.get_paths(), strict=True):
        points = np.asarray(path.vertices)
        place = taken.free(points[outline.contains_points(points)])
        if place is not None:
            around = {"boxstyle": "square,pad=0.1", "facecolor": palette.sheet, "edgecolor": "none"}
            axes.text(*place, f"{level:g}", ha="center", va="center", color=palette.soft, bbox=around, zorder=3)


class _LabelRoom:
    """Where figures of lines may stand, in points on paper: inside the axes, off the target and its word, off each other."""

    def __init__(self, axes: "Axes", figures: ReachFigures) -> None:
        self._on_paper = axes.transData
        corners = self._on_paper.transform(np.array(figures.target.corners))
        self._box = (corners.min(axis=0) - np.array((9, 15)), corners.max(axis=0) + np.array((9, 6)))
        edges = axes.transAxes.transform(np.array([(0, 0), (1, 1)]))
        self._edges = (edges[0] + np.array((9, 5)), edges[1] - np.array((9, 5)))
        self._marks = self._on_paper.transform(np.array([figures.start, *figures.plans]))
        self._labels: list[Any] = []

    def free(self, points: Any) -> tuple[float, float] | None:
        """The place farthest to the right that is free; it is taken from now on."""
        if not len(points):
            return None
        there = self._on_paper.transform(points)
        ok = ((there > self._edges[0]) & (there < self._edges[1])).all(axis=1)
        ok &= ~((there > self._box[0]) & (there < self._box[1])).all(axis=1)
        for other in (*self._marks, *self._labels):
            ok &= (abs(there - other) > (19, 8)).any(axis=1)
        if not ok.any():
            return None
        best = int(np.argmax(np.where(ok, there[:, 0], -np.inf)))
        self._labels.append(there[best])
        return float(points[best][0]), float(points[best][1])
