"""The label that hangs on a racquet while it waits, for label printers: rolls of 62 mm and of 29 mm. Private."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from markupsafe import Markup

from passport.render.drawing.qr import budget, qr_matrix
from passport.render.print.page_box import PageBox
from passport.render.print.pdf import engine
from passport.render.print.piece_kit import code_svg
from passport.render.theme.assets import own, templates, with_look
from passport.render.theme.formats import BenchFormats, Formats
from passport.render.theme.templating import Environment
from passport.render.theme.textfit import MM_PER_PT, Face, fitted_size, shortened, text_width, wrapped
from passport.workshop.orders.label import IntakeLabel, PullLine

Roll = Literal["62", "29"]
SMALLEST: Final = 6.0
"""Points of the smallest print on a label, read at the bench and not at arm's length."""
SIZES: Final[dict[Roll, tuple[float, float]]] = {"62": (62.0, 62.0), "29": (90.0, 29.0)}
"""Width and height of a label, mm: across a roll of 62 mm, and along one of 29 mm."""
MARGIN: Final = 2.2
"""Left white on each side, mm: what printers for such rolls leave unprinted (common practice, no source)."""
_CODE: Final[dict[Roll, float]] = {"62": 19.0, "29": 24.0}
"""Side of the code, quiet zone included, mm."""
_PLATED: Final = ("gauge", "pennant")
"""The looks whose cards have a dark head: the number stands white on a plate that the look's own style shapes."""
_INSET: Final = 1.6
"""Room on a plate on each side of the number, mm; a notch takes as much again."""
_LEADING: Final = 1.18


@dataclass(frozen=True, slots=True)
class LabelLine:
    """A line of print: its text, its place in mm from the left and top, its size in pt, how it looks."""

    text: str
    left: float
    top: float
    size: float
    look: str = ""
    tag: str = "p"


@dataclass(frozen=True, slots=True)
class LabelCode:
    """The code with its place and side in mm."""

    svg: Markup
    left: float
    top: float
    side: float


@dataclass(frozen=True, slots=True)
class LaidLabel:
    """A label laid out: its code, its lines, its rules as left, top and width in mm, and the dark plate behind the number, if
    the look has one, as left, top, width and height."""

    code: LabelCode
    lines: tuple[LabelLine, ...]
    rules: tuple[tuple[float, float, float], ...]
    plate: tuple[float, float, float, float] | None = None


def label_pdf(labels: Sequence[IntakeLabel], roll: Roll = "62", language: str = "en") -> bytes:
    """Labels as a PDF, one a page, in the shop's language. Raises `passport.render.print.pdf.NoPango`."""
    width, height = SIZES[roll]
    f = BenchFormats(language)
    laid = [_laid(label, roll, f) for label in labels]
    template = Environment([templates()]).get_template("label/label.html.j2")
    body = template.render(labels=laid, width=width, height=height, ready=own().ready or "weave")
    title = f.words.ngettext("Label: %(numbers)s", "Labels: %(numbers)s", len(labels))
    title %= {"numbers": f.comma.join(label.number for label in labels)}
    styles = with_look("style/fonts-print.css", "label/label.css")
    return engine().write(body, styles, title=title, lang=f.words.language, page_box=PageBox(width, height))


def _laid(label: IntakeLabel, roll: Roll, f: Formats) -> LaidLabel:
    width, height = SIZES[roll]
    side = _CODE[roll]
    left = width - MARGIN - side if roll == "62" and own().ready != "gauge" else MARGIN
    svg = code_svg(
        qr_matrix(label.code, budget(side)),
        f.words.gettext("The number %(number)s") % {"number": label.code},
        f"label-{label.code}",
    )
    code = LabelCode(svg, left, MARGIN if roll == "62" else (height - side) / 2, side)
    lines, rules, plate = (_wide if roll == "62" else _narrow)(label, f)
    return LaidLabel(code, tuple(lines), tuple(rules), plate)


Laid = tuple[list[LabelLine], list[tuple[float, float, float]], tuple[float, float, float, float] | None]


def _wide(label: IntakeLabel, f: Formats) -> Laid:
    """Across the roll of 62 mm: whose beside the code, then for when, then what. The gauge has its code on the left, as its
    card has its panel."""
    width, height = SIZES["62"]
    room, beside = width - 2 * MARGIN, width - 2 * MARGIN - _CODE["62"]
    start = MARGIN + _CODE["62"] if own().ready == "gauge" else MARGIN
    number, plate = _number(label.number, start, 2.6, beside, 27, 9.2)
    lines = [
        number,
        _line(label.owner, start, 12.8 if plate else 12.4, beside, 11, "strong"),
        _line(f.words.gettext("“%(label)s”") % {"label": label.label}, start, 17.4, beside, 9),
    ]
    top, rules = 23.8, [(MARGIN, 22.2, room)]
    if label.promised:
        lines.append(_line(_promise(label, f), MARGIN, top, room, 18, "display"))
        top += 8.0
    return [*lines, *_work(label, MARGIN, top, room, height - MARGIN, 14, f)], rules, plate


def _number(
    number: str, left: float, top: float, room: float, largest: float, tall: float
) -> tuple[LabelLine, tuple[float, float, float, float] | None]:
    """The number as large as it fits, on a plate ``tall`` mm high where the look has one."""
    if own().ready not in _PLATED:
        return _line(number, left, top, room, largest, "display", "h1"), None
    inset = 3 * _INSET if own().ready == "pennant" else 2 * _INSET
    line = _line(number, left + _INSET, top, room - 1 - inset, largest, "display", "h1")
    middle = top - 0.2 + (tall - line.size * MM_PER_PT) / 2
    return replace(line, top=round(middle, 2)), (left, top - 0.2, room - 1, tall)


def _narrow(label: IntakeLabel, f: Formats) -> Laid:
    """Along the roll of 29 mm: the code, whose and for when, then what."""
    width, height = SIZES["29"]
    left = MARGIN + _CODE["29"] + 1.0
    middle = left + 30.0
    number, plate = _number(label.number, left, 2.4, 29, 19, 7.0)
    lines = [
        number,
        _line(label.owner, left, 10.0 if plate else 9.8, 29, 9.5, "strong"),
        _line(f.words.gettext("“%(label)s”") % {"label": label.label}, left, 13.8, 29, 8),
    ]
    if label.promised:
        lines.append(_line(_promise(label, f), left, 19.4, 29, 13, "display"))
    return (
        [*lines, *_work(label, middle, 2.4, width - MARGIN - middle, height - MARGIN, 11, f)],
        [(left, 18.2, 28.0)],
        plate,
    )


def _promise(label: IntakeLabel, f: Formats) -> str:
    """The promised day as people say it, in few letters: ``for Fri 4 Dec``."""
    assert label.promised is not None, "asked only where a day is promised"
    return f.words.gettext("for %(day)s") % {"day": f.weekday(label.promised)}


def _work(
    label: IntakeLabel, left: float, top: float, room: float, low: float, pull_pt: float, f: Formats
) -> Iterator[LabelLine]:
    """What is wanted, down to ``low`` mm; what does not fit is said to be in the record."""
    if label.stop:
        yield _line(label.stop, left, top, room - 2, pull_pt, "stop strong")
        top += pull_pt * MM_PER_PT * _LEADING + 1.6
    for pull in label.pulls:
        for line in _pull(pull, left, top, room, pull_pt):
            yield line
            top = line.top + line.size * MM_PER_PT * _LEADING
    words = f.semicolon.join(label.work) or label.asked
    if words:
        top += 0.8
        size = next(
            (pt for pt in (9.0, 8.0, 7.0) if len(wrapped(words, _REGULAR, room, pt)) <= _lines(top, low, pt)), SMALLEST
        )
        most, broken = _lines(top, low, size), wrapped(words, _REGULAR, room, size)
        shown = (
            broken if len(broken) <= most else (*broken[: max(0, most - 1)], f.words.gettext("… more in the record"))
        )
        for text in shown:
            yield LabelLine(shortened(text, _REGULAR, room, size), left, round(top, 2), size)
            top += size * MM_PER_PT * _LEADING


_REGULAR: Final[Face] = "text-400"
_FACES: Final[dict[str, Face]] = {"display": "display-600", "strong": "text-600", "stop strong": "text-600"}


def _lines(top: float, low: float, size: float) -> int:
    """How many lines of a size go between two heights."""
    return max(0, int((low - top) / (size * MM_PER_PT * _LEADING) + 1e-6))


def _pull(pull: PullLine, left: float, top: float, room: float, largest: float) -> Iterator[LabelLine]:
    """A tension large, in both units with its side, and the string below it."""
    big = f"{pull.side} {pull.pull}".strip()
    size = fitted_size(big, "text-600", room * 0.72, largest, 8)
    yield LabelLine(big, left, round(top, 2), size, "strong")
    beside = text_width(big, "text-600", size) + 1.4
    small = size * 0.62
    yield _line(pull.other, left + beside, top + (size - small) * MM_PER_PT * 0.8, room - beside, small)
    yield _line(pull.string, left, top + size * MM_PER_PT * _LEADING, room, 9)


def _line(text: str, left: float, top: float, room: float, largest: float, look: str = "", tag: str = "p") -> LabelLine:
    """A line as large as it fits; one that is too long even in small print is cut with an ellipsis."""
    face = _FACES.get(look, _REGULAR)
    size = fitted_size(text, face, room, largest, min(SMALLEST, largest))
    return LabelLine(shortened(text, face, room, size), round(left, 2), round(top, 2), size, look, tag)
