"""The drawings and charts of a page, made from its facts."""

from collections.abc import Callable, Sequence
from functools import cached_property, partial

from passport.physics.geometry import RacquetShape
from passport.render.charts.equality import EqualFrame, EqualQuantity, equality_chart
from passport.render.charts.figures_strings import beds_figure, life_figure
from passport.render.charts.history import HistoryPoint, SwingTarget, history_chart
from passport.render.charts.labels import chart_words
from passport.render.charts.plot import text_width
from passport.render.charts.target import TargetRow, Verdict, strip_chart
from passport.render.drawing.fitted import DrawnPart, Kind, number_pieces
from passport.render.drawing.racquet import EMBLEM, PAGE, Balance, Caption, draw
from passport.render.drawing.threaded import sketch_path
from passport.render.theme import bed_words
from passport.render.theme.formats import Formats
from passport.render.theme.palette import CSS_PAINT, Paint
from passport.render.theme.wording import place, quantity
from passport.workshop.facts.facts import EqualityFacts, FrameFacts, GroupFacts, PartFacts, QuantityName, SpecFacts
from passport.workshop.facts.standing import standing
from passport.workshop.strings.string_course import route_of

_KINDS: dict[str, Kind] = {
    "tape": "tape",
    "silicone": "silicone",
    "sleeve": "sleeve",
    "putty": "putty",
    "base grip": "grip",
    "overgrip": "grip",
    "head tape": "tape",
    "damper": "damper",
    "string savers": "savers",
}
_LONG_NAME = 90.0
"""How wide a frame's label may be to stand on a chart, px."""
_VERDICTS: dict[str, Verdict] = {"inside": "inside", "outside": "outside", "undecided": "undecided"}


def drawn_piece(part: PartFacts) -> DrawnPart:
    """A fitted part as the drawing takes it."""
    return DrawnPart(
        kind=_KINDS.get(part.kind, "other"),
        from_mm=part.from_mm,
        to_mm=part.to_mm,
        clock=part.place.at,
        length_mm=part.length,
        mass_g=part.mass or 0.0,
        label=part.name,
        alone=bool(part.place.side),
    )


def numbered(frame: FrameFacts) -> tuple[tuple[int, PartFacts], ...]:
    """The fitted parts with the numbers that the drawing gives them."""
    pieces = [drawn_piece(p) for p in frame.parts]
    parts = dict(zip(map(id, pieces), frame.parts, strict=True))
    return tuple((number, parts[id(piece)]) for number, piece in number_pieces(frame.shape, pieces))


def racquet_figure(frame: FrameFacts, f: Formats, *, paint: Paint = CSS_PAINT) -> str:
    """The racquet to scale with its fitted parts and its balance point."""
    balance, points = frame.spec("balance").value, frame.spec("balance").read_points
    listed = f.semicolon.join(_listed(n, p, f) for n, p in numbered(frame))
    said = [text for text in (bed_words.pattern(frame), listed) if text]
    desc = (f"{f.stop} " if f.stop == "." else f.stop).join(said)
    return draw(
        frame.shape,
        [drawn_piece(p) for p in frame.parts],
        PAGE,
        Caption("racquet", f"{frame.maker} {frame.model}", desc),
        paint=paint,
        hybrid=bool(frame.stringing and frame.stringing.hybrid),
        strung=standing(frame).strings_drawn,
        balance=None
        if balance is None
        else Balance(balance, f.balance(balance, "", 0) if points is None else f.points_light(points)),
    )


def path_figure(frame: FrameFacts, f: Formats, *, paint: Paint = CSS_PAINT) -> str:
    """The string's path in the order of the work, small; empty where the record does not say it from end to end."""
    found, bed = route_of(frame), frame.stringing
    if found is None or bed is None or bed.is_from_model("path") or not standing(frame).strings_drawn:
        return ""
    if frame.shape.is_assumed("length", "rim", "aspect", "mains", "crosses"):
        return ""
    title = f.words.gettext("The string’s path in the order of the work")
    try:
        return sketch_path(frame.shape, found, 11, Caption("path", title), paint=paint)
    except ValueError:  # a string would lie outside the head
        return ""


def _listed(number: int, part: PartFacts, f: Formats) -> str:
    mass = () if part.mass is None else (f.mass(part.mass),)
    return f"{number}: {f.comma.join((part.name, place(part.place, f), *mass))}"


def emblem(f: Formats, *, paint: Paint = CSS_PAINT, extra: str = "") -> str:
    """A racquet that is nobody's, lying, with tape and a grip, for the workshop's own pages."""
    shape = RacquetShape(
        length=686, head_length=338, head_width=252, rim=12, handle=195, handle_width=31, throat="open", mains=16, crosses=19
    )  # fmt: skip
    pieces = [DrawnPart("tape", 680, 686, 12.0, 90), DrawnPart("tape", 505, 505, 3.0, 60), DrawnPart("grip", 0, 195)]
    title = f.words.gettext("A racquet with tape at its head and sides")
    return draw(shape, pieces, EMBLEM, Caption("emblem", title, attributes=extra), paint=paint)


def quantity_text(f: Formats, quantity: QuantityName, value: float | None) -> str:
    """A value of one of the four quantities with its unit."""
    if quantity == "mass":
        return f.mass(value)
    return f.balance(value, "", 0) if quantity == "balance" else f.inertia(value)


def _apart_text(f: Formats, e: EqualityFacts) -> str:
    """How far apart the readings of a quantity are, with its unit."""
    exact = quantity_text(f, e.quantity, e.spread)
    return exact.replace(f.number(e.spread), f.apart(e.spread), 1)


def target_row(spec: SpecFacts, f: Formats) -> TargetRow | None:
    """A measured quantity against its target as the charts take it; None where no target was set."""
    if spec.target is None or spec.tolerance is None:
        return None
    points = spec.target_points
    low, high = f.alike(spec.target - spec.tolerance, spec.target + spec.tolerance)
    return TargetRow(
        name=quantity(spec.quantity, f),
        target=spec.target,
        tolerance=spec.tolerance,
        measured=spec.value,
        verdict=_VERDICTS.get(spec.verdict),
        measured_text=(
            quantity_text(f, spec.quantity, spec.value)
            if spec.read_points is None
            else f.points_light(spec.read_points)
        ),
        target_text=quantity_text(f, spec.quantity, spec.target) if points is None else f.points_light(points),
        low_text=low if points is None else f"−{f.mm(spec.tolerance)}",
        high_text=high if points is None else f"+{f.mm(spec.tolerance)}",
        uncertainty=2 * (spec.uncertainty or 0.0),
        short=quantity(spec.quantity, f),
    )


class Later:
    """A drawing inside a page that is made when the page first asks for it: a shop's template may leave it out.

    Its markup, and whether there is anything to show, are those of the drawing.
    """

    def __init__(self, draw: Callable[[], str]) -> None:
        """Draw nothing yet."""
        self._draw = draw

    @cached_property
    def _drawn(self) -> str:
        # inside a page HTML knows by itself what it is
        return self._draw().replace(' xmlns="http://www.w3.org/2000/svg"', "", 1)

    def __html__(self) -> str:
        """The drawing as it stands in the page."""
        return self._drawn

    def __bool__(self) -> bool:
        """Whether there is anything to show."""
        return bool(self._drawn)


def frame_figures(frame: FrameFacts, f: Formats) -> dict[str, Callable[[], str]]:
    """What draws the figures of a frame's page, by name: ``racquet``, ``history``, ``life`` and ``beds`` of the
    strings, and each quantity; a drawing is empty where there is no data."""
    return {
        "racquet": partial(racquet_figure, frame, f),
        "path": partial(path_figure, frame, f),
        "history": partial(_history, frame, f),
        "life": partial(life_figure, frame, f),
        "beds": partial(beds_figure, frame, f),
        **{spec.quantity: partial(_strip, frame, spec, f) for spec in frame.specs},
    }


def _strip(frame: FrameFacts, spec: SpecFacts, f: Formats) -> str:
    row = target_row(spec, f)
    if row is None or row.measured is None:
        return ""
    return strip_chart(row, key=spec.quantity, paint=CSS_PAINT, words=chart_words(f))


def _history(frame: FrameFacts, f: Formats) -> str:
    points = list(_history_points(frame, f))
    if len(points) < 2:
        return ""
    spec = frame.spec("swingweight")
    target = SwingTarget(spec.target, spec.tolerance) if spec.target and spec.tolerance else None
    until = max(p.day for p in points)
    key, words = "history", chart_words(f)
    return history_chart(points, key=key, paint=CSS_PAINT, target=target, until=until, words=words)


def _history_points(frame: FrameFacts, f: Formats) -> Sequence[HistoryPoint]:
    points = []
    for job in frame.jobs:
        swung = [m.swingweight for m in job.measured if m.swingweight and m.state == "strung" and not m.without]
        strung = job.stringing
        if strung or swung:
            points.append(
                HistoryPoint(
                    day=job.date,
                    date_text=f.short_day(job.date),
                    mains=strung.mains.tension if strung else None,
                    crosses=strung.crosses.tension if strung else None,
                    swingweight=swung[-1] if swung else None,
                )
            )
    return points


def equality_figure(group: GroupFacts, f: Formats, key: str) -> str:
    """How equal the frames of a group are; empty for a single frame or one without readings.

    Frames are named by their labels, or by their numbers where a label would lie across its neighbours.
    """
    shown = [e for e in group.equality if e.spread is not None]
    if len(group.frames) < 2 or not shown:
        return ""
    short = all(text_width(frame.label, 12, strong=True) <= _LONG_NAME for frame in group.frames)
    frames = [
        EqualFrame(
            label=frame.label if short else frame.number,
            values=tuple(e.values[i][1] for e in shown),
            texts=tuple(quantity_text(f, e.quantity, e.values[i][1]) for e in shown),
            off=tuple(surely_off(frame.spec(e.quantity), e, group) for e in shown),
        )
        for i, frame in enumerate(group.frames)
    ]
    quantities = [_equal_quantity(e, group, f) for e in shown]
    return equality_chart(frames, quantities, key=f"equal-{key}", paint=CSS_PAINT, words=chart_words(f))


def surely_off(spec: SpecFacts, e: EqualityFacts, group: GroupFacts) -> bool:
    """Whether a frame of a group is off for sure: outside the target that it shares with the others, or, where they share
    none, one of those that are too far apart to be equal, on the far side of their middle."""
    if len({frame.spec(e.quantity).target for frame in group.frames}) == 1 and spec.target is not None:
        return spec.verdict == "outside"
    known = [value for _, value in e.values if value is not None]
    return e.verdict == "outside" and abs((spec.value or 0.0) - (min(known) + max(known)) / 2) > e.tolerance


def _equal_quantity(e: EqualityFacts, group: GroupFacts, f: Formats) -> EqualQuantity:
    targets = {frame.spec(e.quantity).target for frame in group.frames}
    known = [value for _, value in e.values if value is not None]
    common = targets.pop() if len(targets) == 1 else None
    middle = common if common is not None else (min(known) + max(known)) / 2
    low, high = f.alike(middle - e.tolerance, middle + e.tolerance)
    return EqualQuantity(
        name=quantity(e.quantity, f),
        target=middle,
        tolerance=e.tolerance,
        spread_text=_apart_text(f, e),
        low_text=low,
        high_text=high,
        aimed=common is not None,
    )
