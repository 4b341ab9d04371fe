"""The course of one frame, for the technician alone: what it was strung with and read, where it stands, how its beds aged."""

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from passport.physics.uncertainty import COVERAGE
from passport.physics.units import kg_from_newtons, lb_from_newtons
from passport.records.language.worded import unsaid
from passport.render.plots.paper import (
    DISPLAY,
    Format,
    date_axis,
    drawing,
    lenders,
    plotted,
    saved,
    sheet,
    tick_lightly,
)
from passport.render.theme.palette import LIGHT, Token
from passport.workshop.facts.bedfacts import DAY_MINUTES, FRESH_MINUTES, BedLife
from passport.workshop.facts.facts import FrameFacts, MeasuredFacts, QuantityName, SpecFacts
from passport.workshop.rebuild.plan import percent

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE: Final = (280.0, 190.0)
"""Width and height of the picture, mm: it fits an A4 sheet on its side."""
_UNITS: Final[dict[QuantityName, str]] = {
    "mass": "g", "balance": "mm", "swingweight": "kg·cm²", "twistweight": "kg·cm²"
}  # fmt: skip
_VERDICTS: Final[dict[str, Token]] = {unsaid("inside"): "good", unsaid("outside"): "bad", unsaid("undecided"): "doubt"}
_BEDS: Final[tuple[tuple[Token, str, str], ...]] = (
    ("petrol", "o", "solid"), ("plum", "D", "dashed"), ("doubt", "s", "dotted"), ("soft", "^", "dashdot"),
)  # fmt: skip
"""Colour, mark and line of the strings in turn; further ones share the last."""
_AGES: Final = (
    (5 / 1440, "5 min"), (1 / 48, "30 min"), (1 / 6, "4 h"), (1.0, unsaid("1 day")), (7.0, unsaid("1 week")), (30.4, unsaid("1 month")),
    (182.6, unsaid("6 months")), (730.5, unsaid("2 years")),
)  # fmt: skip
"""Days with the words for them."""
_Panel = Callable[["Axes"], None]


class NothingToPlot(ValueError):
    """No job of the frame strung it or read anything."""


def course_plot(frame: FrameFacts, today: date, kind: Format) -> bytes:
    """The picture of a frame's course until ``today`` as a file; what was not recorded has no panel in it.

    Raises:
        NothingToPlot: nothing that it could show was recorded.
    """
    strings = (
        string.name for job in frame.jobs if job.stringing for string in (job.stringing.mains, job.stringing.crosses)
    )
    with drawing(LIGHT, 9.0, "".join((_title(frame), *strings))):
        figure = course_figure(frame, today)
        return saved(figure, kind, key=frame.number or frame.name, title=_title(frame))


def course_figure(frame: FrameFacts, today: date) -> "Figure":
    """The picture, inside `drawing`."""
    left, right = list(_over_time(frame, today)), list(_standing(frame))
    if not left and not right:
        raise NothingToPlot(_title(frame))
    figure = sheet(*SIZE)
    named = [DISPLAY, *lenders(_title(frame))]
    figure.suptitle(_title(frame), x=0.01, ha="left", fontfamily=named, fontsize=15, fontweight=600)
    columns = [column for column in (left, right) if column]
    parts = figure.subfigures(1, len(columns), wspace=0.03, squeeze=False)[0]
    for part, column in zip(parts, columns, strict=True):
        alone = column is left
        for axes, panel in zip(part.subplots(len(column), 1, sharex=alone, squeeze=False)[:, 0], column, strict=True):
            panel(axes)
            tick_lightly(axes)
        if column is left and left:
            date_axis(axes, 9)
    figure.supxlabel(
        plotted(
            "Private, for the bench. {day}. Bars, bands and shaded areas: two standard uncertainties.", day=today
        ),
        x=0.01, ha="left", fontsize=8, color=LIGHT.soft,
    )  # fmt: skip
    return figure


def _title(frame: FrameFacts) -> str:
    return " ".join(filter(None, (frame.number or frame.name, frame.label, f"· {frame.maker} {frame.model}")))


def _over_time(frame: FrameFacts, today: date) -> Iterator[_Panel]:
    """The panels over the jobs: the pull tension, then each quantity that was read."""
    strung = [(job.date, job.stringing) for job in frame.jobs if job.stringing]
    if strung:
        pulls = [(day, s.mains.tension, s.crosses.tension) for day, s in strung]
        yield lambda axes: _tension(axes, pulls, today)
    for quantity in _UNITS:
        found = [(job.date, m) for job in frame.jobs for m in job.measured if _shows(m, quantity)]
        if found:
            yield lambda axes, q=quantity, found=found: _readings(axes, frame.spec(q), found)  # type: ignore[misc]


def _shows(reading: MeasuredFacts, quantity: QuantityName) -> bool:
    """Whether the finished frame was read; mm that a balance in points comes to on a usual length are no reading."""
    guessed = quantity == "balance" and reading.points is not None
    return reading.state == "strung" and not reading.without and getattr(reading, quantity) is not None and not guessed


def _tension(axes: "Axes", pulls: Sequence[tuple[date, float, float]], today: date) -> None:
    """Pull tensions as set, each held until the next."""
    days: Any = [*(day for day, _, _ in pulls), max(today, pulls[-1][0])]
    for at, (name, ink, mark, line) in enumerate(
        (("mains", "petrol", "o", "solid"), ("crosses", "plum", "D", "dashed")), 1
    ):
        values = [lb_from_newtons(pull[at]) for pull in pulls]  # type: ignore[arg-type]  # the first of three is the day
        colour = getattr(LIGHT, ink)
        axes.plot(days, [*values, values[-1]], drawstyle="steps-post", color=colour, linestyle=line, linewidth=1.4)
        axes.plot(days[:-1], values, mark, color=colour, markersize=4, label=plotted(name))
    axes.set_title(plotted("Pull tension, as set, lb and kg"))
    axes.margins(y=0.15)
    axes.locator_params(axis="y", nbins=4, steps=[1, 2, 5, 10])
    axes.grid(axis="y")
    axes.legend(loc="lower right", bbox_to_anchor=(1, 0.98), ncols=2, borderpad=0, borderaxespad=0.2, handletextpad=0.1)
    factor = kg_from_newtons(1) / lb_from_newtons(1)
    both: Any = (lambda lb: lb * factor, lambda kg: kg / factor)
    other = axes.secondary_yaxis("right", functions=both)
    other.tick_params(length=2.5, pad=2)
    other.spines["right"].set_visible(True)


def _readings(axes: "Axes", spec: SpecFacts, found: Sequence[tuple[date, MeasuredFacts]]) -> None:
    """Readings of the strung frame as they were shown, on the target's tolerance; the figure that counts with its bar."""
    if spec.target is not None and spec.tolerance is not None and spec.target_points is None:
        axes.axhspan(spec.target - spec.tolerance, spec.target + spec.tolerance, color=LIGHT.band, linewidth=0)
        axes.axhline(spec.target, color=LIGHT.rule, linewidth=0.8)
    days: Any = [day for day, _ in found]
    values = [getattr(reading, spec.quantity) for _, reading in found]
    axes.plot(days, values, color=LIGHT.petrol, linewidth=0.8)
    for before, fill in ((False, LIGHT.petrol), (True, LIGHT.sheet)):
        at: Any = [(day, value) for (day, r), value in zip(found, values, strict=True) if r.before == before]
        if at:
            axes.plot(*zip(*at, strict=True), "o", color=LIGHT.petrol, markerfacecolor=fill, markersize=4)
    if spec.value is not None and spec.taken is not None and spec.uncertainty and spec.read_points is None:
        taken: Any = spec.taken
        axes.errorbar(
            taken,
            spec.value,
            yerr=COVERAGE * spec.uncertainty,
            fmt="none",
            ecolor=LIGHT.ink,
            elinewidth=1.2,
            capsize=2.5,
        )
    quantity = plotted(spec.quantity)
    axes.set_title(
        plotted(
            "{quantity}, strung, as read, {unit}",
            quantity=quantity[:1].upper() + quantity[1:],
            unit=_UNITS[spec.quantity],
        )
    )
    axes.margins(y=0.15)
    axes.locator_params(axis="y", nbins=4, steps=[1, 2, 5, 10])


def _standing(frame: FrameFacts) -> Iterator[_Panel]:
    """The panels of how things stand: against the target, and what is left of the beds."""
    specs = [s for s in frame.specs if s.value is not None and s.target is not None and s.tolerance and s.uncertainty]
    if specs:
        yield lambda axes: _against_target(axes, specs)
    beds = [*frame.past, *([frame.life] if frame.life else [])]
    if any(p.left is not None for bed in beds for p in bed.points):
        yield lambda axes: _beds(axes, frame, beds)


def _against_target(axes: "Axes", specs: Sequence[SpecFacts]) -> None:
    """How each quantity is distributed over its tolerance: the density of what it may be, in tolerances off target."""
    axes.axvspan(-1, 1, color=LIGHT.band, linewidth=0)
    axes.axvline(0, color=LIGHT.rule, linewidth=0.8)
    widest = 1.6
    for row, spec in enumerate(reversed(specs)):
        assert spec.value is not None and spec.target is not None and spec.tolerance and spec.uncertainty, "chosen so"
        off, u = (spec.value - spec.target) / spec.tolerance, spec.uncertainty / spec.tolerance
        widest = max(widest, abs(off) + 3.5 * u)
        around = np.linspace(off - 4 * u, off + 4 * u, 121)
        density = 0.72 * np.exp(-(((around - off) / u) ** 2) / 2)
        colour = getattr(LIGHT, _VERDICTS.get(spec.verdict, "petrol"))
        axes.fill_between(
            around, row, row + density, where=abs(around - off) <= COVERAGE * u, color=colour, alpha=0.25, linewidth=0
        )
        axes.plot(around, row + density, color=colour, linewidth=1.2)
        chance = "" if spec.probability is None else f", {percent(spec.probability)}"
        axes.text(
            0.995, row + 0.3, f"{plotted(spec.verdict)}{chance}", transform=axes.get_yaxis_transform(), ha="right", color=colour,
            fontweight="semibold",
        )  # fmt: skip
    axes.set(xlim=(-widest - 0.1, widest + 0.9), ylim=(-0.1, len(specs)), yticks=range(len(specs)))
    axes.set_yticklabels([plotted(spec.quantity) for spec in reversed(specs)], va="bottom")
    axes.set_title(plotted("Where it stands: off target, in tolerances, with the chance of being inside"))


def _beds(axes: "Axes", frame: FrameFacts, beds: Sequence[BedLife]) -> None:
    """What was left of the fresh tension, bed by bed; of the one that is in, the band and the day that it is due."""
    strings = list(dict.fromkeys(bed.string for bed in reversed(beds)))
    for bed in beds:
        ink, mark, line = _BEDS[min(strings.index(bed.string), len(_BEDS) - 1)]
        colour = getattr(LIGHT, ink)
        points = [(p.age / DAY_MINUTES, p.left) for p in bed.points if p.age is not None and p.left is not None]
        if not points:
            continue
        in_it, last = bed is frame.life, max(days for days, _ in points)
        until = max(last, float((frame.restring.day - bed.strung).days)) if in_it and frame.restring else last
        if in_it or len({days for days, _ in points}) > 1:
            ages = np.geomspace(min(FRESH_MINUTES / DAY_MINUTES, until / 2), until, 60)
            left = [bed.left(float(days) * DAY_MINUTES) for days in ages]
            if in_it:
                axes.fill_between(ages, [x.low for x in left], [x.high for x in left], color=LIGHT.band, linewidth=0)
            axes.plot(ages, [x.value for x in left], color=colour, linestyle=line, linewidth=1.8 if in_it else 0.9)
        axes.plot(*zip(*points, strict=True), mark, color=colour, markersize=5 if in_it else 3.5)
        if in_it and frame.restring:
            axes.axvline(until, color=LIGHT.plum, linewidth=1, dashes=(4, 2))
            axes.annotate(
                plotted("restring by {day}", day=frame.restring.day), (until, 1), (-4, -2), xycoords=axes.get_xaxis_transform(),
                textcoords="offset points", ha="right", va="top", color=LIGHT.plum, fontweight="semibold",
            )  # fmt: skip
    for string in strings:
        ink, mark, line = _BEDS[min(strings.index(string), len(_BEDS) - 1)]
        in_it = bool(frame.life and frame.life.string == string)
        label = plotted("{string}, in it now", string=string) if in_it else string
        axes.plot([], [], mark, color=getattr(LIGHT, ink), linestyle=line, markersize=4, label=label)
    axes.set_title(plotted("Tension remaining, by the time after stringing"))
    axes.set_xscale("log")  # as much goes in the first hour as in the tenth week
    low, high = axes.get_xlim()
    shown = [(days, name) for days, name in _AGES if low <= days <= high]
    axes.set_xticks([days for days, _ in shown], [plotted(name) for _, name in shown])
    axes.minorticks_off()
    axes.yaxis.set_major_formatter(lambda share, _: f"{100 * share:.0f} %")
    axes.grid(axis="y")
    axes.legend(loc="lower left")
