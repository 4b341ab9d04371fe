"""The string's path on a bench sheet: the drawing with its order, what to cut, and every string with its two holes."""

from collections.abc import Iterator
from dataclasses import dataclass

from passport.physics.geometry import RacquetShape
from passport.physics.stringing.holes import Hole
from passport.physics.stringing.route import LooseEnd, Route, steps
from passport.physics.stringing.ways import Strand
from passport.physics.stringpath import Side
from passport.render.drawing.racquet import Caption
from passport.render.drawing.threaded import ThreadedView, draw_path
from passport.render.sheets.measured.scale import BENCH
from passport.render.theme import bed_words
from passport.render.theme.formats import KEEP, Formats
from passport.render.theme.palette import Paint
from passport.workshop.facts.facts import FrameFacts, StringingFacts
from passport.workshop.rebuild.plan import Rebuild
from passport.workshop.strings.string_course import PieceCourse, StringCourse, route_of, string_course

COLUMNS = 2


@dataclass(frozen=True, slots=True)
class PathRow:
    """One string: its turn in the work, its name, the holes that it begins and ends in, its pull where that differs."""

    order: int
    name: str
    start: str
    stop: str
    pull: str = ""


@dataclass(frozen=True, slots=True)
class PathView:
    """The path of one frame's string as it is printed: the ``picture``, ``lines`` of words, and the rows in columns."""

    picture: str
    lines: tuple[str, ...]
    columns: tuple[tuple[PathRow, ...], ...]
    numbered: bool
    zoned: bool = False


def path_view(found: Rebuild, f: Formats, key: str) -> PathView | None:
    """The path of the string that a rebuilt frame gets; None where it is not known, or the blank is another model."""
    frame, blank = found.frame, found.blank
    path, bed = route_of(frame), frame.stringing
    if path is None or bed is None or (blank.maker, blank.model) != (frame.maker, frame.model):
        return None
    try:
        picture = _picture(frame.shape, path, key, f)
    except ValueError:  # a string would lie outside the head
        return None
    pulls = _pulls(bed, f)
    rows = [
        PathRow(
            i, _name(p.strand, f), _hole(p.start, f), _hole(p.stop, f), pulls.get((p.strand.of, p.strand.number), "")
        )
        for i, (_, p) in enumerate(steps(path), 1)
    ]
    tall = -(-len(rows) // COLUMNS)
    columns = tuple(tuple(rows[i : i + tall]) for i in range(0, len(rows), tall))
    return PathView(picture, tuple(_lines(frame, bed, path, f)), columns, path.numbered, bool(pulls))


def _pulls(bed: StringingFacts, f: Formats) -> dict[tuple[Side, int], str]:
    """What each string is pulled with, in the unit that was written, where zones are pulled otherwise."""
    sides: tuple[Side, Side] = ("mains", "crosses")
    return {
        (of, number): f.tension(pull, strung.written)[0]
        for of, strung, pulls in zip(sides, (bed.mains, bed.crosses), bed.string_pulls or (), strict=False)
        for number, pull in pulls
    }


def _picture(shape: RacquetShape, path: Route, key: str, f: Formats) -> str:
    width, height = _size(shape)
    extra = f'class="path" width="{width:.1f}mm" height="{height:.1f}mm"'
    caption = Caption(f"path-{key}", f.words.gettext("The string’s path in the order of the work"), attributes=extra)
    return draw_path(shape, path, ThreadedView(), caption, paint=Paint(BENCH))


def _size(shape: RacquetShape) -> tuple[float, float]:
    """As large as a page has room for, mm."""
    wide, tall = shape.head_width + 2 * shape.rim + 70, shape.head_length + 2 * shape.rim + 54
    scale = min(132 / wide, 140 / tall)
    return wide * scale, tall * scale


def _name(strand: Strand, f: Formats) -> str:
    """``main 8 left``, ``centre main``, ``cross 19``."""
    _ = f.words.gettext
    if strand.hand and strand.number == 0:
        return _("centre main")
    if not strand.hand:
        return _("cross %(number)s") % {"number": strand.number}
    said = _("main %(number)s left") if strand.hand == "left" else _("main %(number)s right")
    return said % {"number": strand.number}


def _hole(hole: Hole, f: Formats) -> str:
    """``9T left``, as the trade writes it; ``centre T`` for the hole of a main in the middle."""
    _, end = f.words.gettext, hole.end[0].upper()
    if hole.number == 0:
        return _("centre %(end)s") % {"end": end}
    said = _("%(hole)s left") if hole.hand == "left" else _("%(hole)s right")
    return said % {"hole": f"{hole.number}{end}"}


def _lines(frame: FrameFacts, bed: StringingFacts, path: Route, f: Formats) -> Iterator[str]:
    _ = f.words.gettext
    said = [bed_words.pattern(frame), *bed_words.work(bed, f), bed_words.starts(bed, f)]
    yield f.semicolon.join(text for text in said if text) + f.stop
    if bed.warranty:
        yield _("The maker’s warranty asks for another way: %(way)s.") % {"way": bed.warranty}
    if path.numbered:
        out_of = _("%(string)s out of %(hole)s")
        ends = [
            out_of % {"string": _name(end.strand, f), "hole": _hole(end.hole, f)} + _tie(end, f) for end in path.ends
        ]
        yield _("Knots: %(ends)s.") % {"ends": f.semicolon.join(ends)}
    figures = string_course(frame)
    if figures:
        yield from (_cut(piece, figures, f) for piece in figures.pieces)
        lies = _metres(figures.length.value, 2 * figures.length.u, f)
        lies += f"{f.comma}{_pm(figures.mass.value, 2 * figures.mass.u, f)}{KEEP}g" if figures.mass else ""
        yield _(
            "As it lies %(lies)s. To cut: what it stretches under the pull is taken off, 0.3 m for the machine put on at "
            "each end (common practice). Each ± is two standard uncertainties."
        ) % {"lies": lies}
    if path.strung.short is None:
        if len(path.pieces) > 1:
            yield _("Crosses are drawn from the left: nobody recorded the side, and mirrored it is the same path.")
        else:
            yield _(
                "The short side is drawn from the left: nobody recorded the side, and mirrored it is the same path."
            )
    if not path.numbered:
        yield _("Nobody recorded which holes the mains skip, so holes have no numbers here.")
    if bed.is_from_model("path"):
        yield _("The starts are those of the maker’s pattern: the job does not say them.")


def _tie(end: LooseEnd, f: Formats) -> str:
    _ = f.words.gettext
    return _(", tied off in %(hole)s") % {"hole": _hole(end.tie, f)} if end.tie else _(", its hole not recorded")


def _cut(piece: PieceCourse, figures: StringCourse, f: Formats) -> str:
    strands = {p.strand.of for p in piece.piece.passes}
    _ = f.words.gettext
    name = _("One piece") if len(figures.pieces) == 1 else _("Mains") if "mains" in strands else _("Crosses")
    cut = _metres(piece.cut.value, 2 * piece.cut.u, f)
    if piece.short and len(figures.pieces) == 1:
        cut += _(", of that the short side %(length)s") % {"length": f"{f.number(piece.short_cut / 1000, 2)}{KEEP}m"}
    return _("%(piece)s: cut %(length)s.") % {"piece": name, "length": cut}


def _metres(value: float, spread: float, f: Formats) -> str:
    return f"{f.number(value / 1000, 2)}{KEEP}±{KEEP}{f.number(spread / 1000, 2)}{KEEP}m"


def _pm(value: float, spread: float, f: Formats) -> str:
    return f"{f.number(value)}{KEEP}±{KEEP}{f.number(spread)}"
