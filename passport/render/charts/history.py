"""Tension and swingweight over the jobs: two panels above one line of dates."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from passport.physics.units import kg_from_newtons, lb_from_newtons
from passport.render.charts.labels import ChartWords
from passport.render.charts.plot import Axis, Canvas, round_ticks, text_width
from passport.render.theme.palette import Paint, Token

WIDTH = 350.0
_LEFT, _RIGHT = 36.0, 304.0
_TENSION_TOP, _TENSION_FOOT = 34.0, 118.0
_SWING_GAP, _SWING_HEIGHT = 54.0, 66.0
_DATES = 20.0


@dataclass(frozen=True, slots=True)
class HistoryPoint:
    """One job: its date, the pull tensions set at it in N, the swingweight read after it in kg·cm².

    None stands for what the job did not touch; ``date_text`` is the date as the reader is to see it.
    """

    day: date
    date_text: str
    mains: float | None = None
    crosses: float | None = None
    swingweight: float | None = None


@dataclass(frozen=True, slots=True)
class SwingTarget:
    """The swingweight aimed at and its tolerance, kg·cm²."""

    value: float
    tolerance: float


def history_chart(
    points: Sequence[HistoryPoint],
    *,
    key: str,
    paint: Paint,
    target: SwingTarget | None = None,
    until: date | None = None,
    words: ChartWords | None = None,
    extra: str = "",
) -> str:
    """The history as an SVG string; a panel without any value is left out.

    Pull tensions are drawn as steps, since a tension that was set holds until the next job; ``until`` is the day that
    the last step reaches to. Pounds are on the left, kilogrammes on the right.

    Raises:
        ValueError: no point has a tension or a swingweight.
    """
    words = words or ChartWords()
    points = sorted(points, key=lambda p: p.day)
    strung = [p for p in points if p.mains is not None and p.crosses is not None]
    swung = [p for p in points if p.swingweight is not None]
    if not strung and not swung:
        raise ValueError("a history chart needs at least one tension or swingweight")
    shift = 0.0 if strung else _TENSION_FOOT + _SWING_GAP - _TENSION_TOP
    foot = (_TENSION_FOOT + _SWING_GAP + _SWING_HEIGHT - shift) if swung else _TENSION_FOOT
    canvas = Canvas(WIDTH, foot + _DATES)
    place = _time_scale(points, until)
    _dates(canvas, points, place, (_TENSION_TOP - 6, foot))
    if strung:
        _tension(canvas, strung, place, words)
    if swung:
        top = foot - _SWING_HEIGHT
        _swingweight(canvas, swung, target, (place, top, foot), words)
    desc = " ".join(_sentences(points, words))
    return canvas.svg(key=key, title=words.history_title, desc=desc, paint=paint, extra=extra)


def decimal_text(value: float, places: int, words: ChartWords) -> str:
    """A number with the language's decimal mark."""
    return f"{value:.{places}f}".replace(".", words.decimal)


def _sentences(points: Sequence[HistoryPoint], words: ChartWords) -> list[str]:
    """The history in words, for readers who cannot see the chart: each tension at the job that changed it."""
    out = []
    before: tuple[str, ...] = ()
    for p in points:
        if p.mains is not None and p.crosses is not None:
            set_to = tuple(decimal_text(lb_from_newtons(t), 1, words) for t in (p.mains, p.crosses))
            if set_to != before:
                out.append(words.history_desc_tension.format(date=p.date_text, mains=set_to[0], crosses=set_to[1]))
            before = set_to
        if p.swingweight is not None:
            swing = decimal_text(p.swingweight, 1, words)
            out.append(words.history_desc_swingweight.format(date=p.date_text, swingweight=swing))
    return out


def _time_scale(points: Sequence[HistoryPoint], until: date | None) -> Callable[[date], float]:
    """The x of a day; the first job stands a little inside the left edge."""
    first, last = points[0].day, max(points[-1].day, until or points[-1].day)
    if (last - first).days < 30:
        last = first + timedelta(days=30)
    span = (last - first).days
    left, right = _LEFT + 6, _RIGHT - 6
    return lambda day: left + (day - first).days / span * (right - left)


def _dates(
    canvas: Canvas, points: Sequence[HistoryPoint], place: Callable[[date], float], ends: tuple[float, float]
) -> None:
    """Years along the foot where two or more begin within the history, else the first and last job's dates."""
    first, last = points[0], points[-1]
    years = [date(year, 1, 1) for year in range(first.day.year + 1, last.day.year + 2)]
    years = [day for day in years if place(day) <= _RIGHT - 6]
    top, foot = ends
    if len(years) >= 2:
        for day in years:
            canvas.line([(place(day), top), (place(day), foot + 4)], "hair")
        for day in years:
            canvas.text(place(day), foot + 17, str(day.year), size=12, fill="soft", anchor="middle")
        return
    canvas.text(place(first.day), foot + 17, first.date_text, size=12, fill="soft")
    if last.day > first.day:
        canvas.text(place(last.day), foot + 17, last.date_text, size=12, fill="soft", anchor="end")


def _tension(canvas: Canvas, points: Sequence[HistoryPoint], place: Callable[[date], float], words: ChartWords) -> None:
    """The upper panel."""
    sets = [(place(p.day), lb_from_newtons(p.mains or 0), lb_from_newtons(p.crosses or 0)) for p in points]
    values = [v for _, mains, crosses in sets for v in (mains, crosses)]
    ticks = round_ticks(min(values) - 1, max(values) + 1, 4, whole=True)
    y = Axis(ticks[0], ticks[-1], _TENSION_FOOT, _TENSION_TOP)
    _scale_left(canvas, y, ticks, words.lb)
    _scale_kg(canvas, y, words)
    same = all(abs(mains - crosses) < 0.05 for _, mains, crosses in sets)
    if not same:
        _steps(canvas, [(x, y(crosses)) for x, _, crosses in sets], "plum", (5, 3))
    _steps(canvas, [(x, y(mains)) for x, mains, _ in sets], "petrol", ())
    canvas.text(0, 14, words.history_tension, size=14, strong=True)
    if same:
        _key(canvas, [(words.both, "petrol")])
    else:
        _key(canvas, [(words.mains, "petrol"), (words.crosses, "plum")])


def _steps(canvas: Canvas, places: Sequence[tuple[float, float]], ink: Token, dash: Sequence[float]) -> None:
    """A line that holds each value until the next, with a mark at each change: discs for mains, diamonds else."""
    corners = [places[0]]
    for (_, y0), (x1, y1) in pairwise(places):
        # A job that repeats the tension makes no corner.
        corners += [(x1, y0), (x1, y1)] if y1 != y0 else []
    canvas.line([*corners, (_RIGHT, places[-1][1])], ink, 1.8, dash=dash)
    for x, y in places:
        _mark(canvas, x, y, ink)


def _mark(canvas: Canvas, x: float, y: float, ink: Token) -> None:
    if ink == "plum":
        canvas.diamond(x, y, 5, ink)
    else:
        canvas.dot(x, y, 3.6, ink)


def _key(canvas: Canvas, entries: Sequence[tuple[str, Token]]) -> None:
    """What the marks mean, at the right end of the panel's heading."""
    x = WIDTH
    for label, ink in reversed(entries):
        canvas.text(x, 14, label, size=13, fill=ink, anchor="end")
        x -= text_width(label, 13) + 9
        _mark(canvas, x, 9.5, ink)
        x -= 15


def _scale_left(canvas: Canvas, scale: Axis, ticks: Sequence[float], unit: str) -> None:
    """Gridlines with their whole numbers on the left; the highest carries the unit."""
    # The lines first, so that they are written as one.
    for value in ticks:
        canvas.line([(_LEFT, scale(value)), (_RIGHT, scale(value))], "hair")
    for value in ticks:
        suffix = f" {unit}" if unit and value == ticks[-1] else ""
        canvas.text(_LEFT - 6, scale(value) + 4, f"{value:.0f}{suffix}", size=12, fill="soft", anchor="end")


def _scale_kg(canvas: Canvas, scale: Axis, words: ChartWords) -> None:
    """Round kilogrammes on the right, with short ticks."""
    factor = kg_from_newtons(1) / lb_from_newtons(1)
    around = round_ticks(scale.low * factor, scale.high * factor, 4)
    ticks = [v for v in around if scale.low <= v / factor <= scale.high]
    places = 0 if all(float(v).is_integer() for v in ticks) else 1
    for value in ticks:
        canvas.line([(_RIGHT, scale(value / factor)), (_RIGHT + 5, scale(value / factor))], "rule")
    for value in ticks:
        suffix = f" {words.kg}" if value == ticks[-1] else ""
        canvas.text(
            _RIGHT + 9, scale(value / factor) + 4, decimal_text(value, places, words) + suffix, size=12, fill="soft"
        )


def _swingweight(
    canvas: Canvas,
    points: Sequence[HistoryPoint],
    target: SwingTarget | None,
    layout: tuple[Callable[[date], float], float, float],
    words: ChartWords,
) -> None:
    """The lower panel, with the target's tolerance as a band."""
    place, top, foot = layout
    values = [p.swingweight or 0 for p in points]
    if target:
        values += [target.value - target.tolerance, target.value + target.tolerance]
    ticks = round_ticks(min(values) - 1, max(values) + 1, 3, whole=True)
    scale = Axis(ticks[0], ticks[-1], foot, top)
    _scale_left(canvas, scale, ticks, "")
    if target:
        high, low = (scale(target.value + way * target.tolerance) for way in (1, -1))
        canvas.rect(_LEFT, high, _RIGHT - _LEFT, low - high, "band")
        for y in (high, low):
            canvas.line([(_LEFT, y), (_RIGHT, y)], "rule")
        middle = scale(target.value)
        canvas.line([(_LEFT, middle), (_RIGHT, middle)], "plum", 1.5)
        beside = min(_RIGHT + 9, WIDTH - text_width(words.target, 12))  # a long word ends where the chart does
        canvas.text(beside, middle + 4, words.target, size=12, fill="soft")
    places = [(place(p.day), scale(p.swingweight or 0)) for p in points]
    if len(places) > 1:
        canvas.line(places, "petrol", 1.8)
    for x, y in places:
        _mark(canvas, x, y, "petrol")
    canvas.text(0, top - 18, words.history_swingweight, size=14, strong=True)
