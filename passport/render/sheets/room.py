"""How a bench sheet is laid out: how much room each of its parts takes, and what goes where.

Lengths are mm on paper. Words are wrapped here only to count their lines, with widths that are never too little, so
that what is laid out always fits. The heights are those of ``templates/bench/sheet.css``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal

from markupsafe import Markup

from passport.render.drawing.qr import budget, qr_matrix
from passport.render.plots.reach import SIZE, reach_plot
from passport.render.print.piece_kit import code_svg
from passport.render.sheets.drawing import BENCH, aspect, sheet_drawing
from passport.render.sheets.view import SIZE_PT, WIDTH, SheetView, WorkRow, plain_words
from passport.render.theme.textfit import text_width, wrapped

HEIGHT: Final = 196.0
"""What is printed on of a page's height, mm."""
LINE: Final = 3.2
"""One line of running text, mm."""
BACK_HEAD, GAP = 6.0, 2.2
_HEAD, _HEAD_LINE = 12.8, 3.6
_ROW_LEAST, _ROW_MOST, _ROW_LINE = 5.2, 9.0, 3.0
_WORK_TEXT, _LEFT_COLUMN = 50.0, 70.0
_CHART, _CHART_HEIGHT = SIZE
_DRAWING_LEAST = 72.0
_END = 16.5 + GAP + 10.5
CODE: Final = 12.0
"""The side of the code beside the drawing, its quiet zone included, mm."""
_NAME_LEAST, _NAME_MOST, _NAME_GAP = 20.0, 40.0, 1.5
"""Width of the names before lines, and what is left free behind them, mm."""
_NAME_FACE: Final = "text-400"


@dataclass(frozen=True)
class LaidOut(SheetView):
    """A sheet with the places and sizes of its parts."""

    @property
    def picture(self) -> str:
        """The drawing, as wide as there is room for."""
        width = self.drawing_width
        extra = f'class="racquet" width="{width:g}mm" height="{aspect(self.drawing, width):.2f}mm"'
        title = plain_words(self.say.picture(self.found))
        desc = self.f.semicolon.join(f"{row.number}: {plain_words(self.say.piece(row.piece))}" for row in self.pieces)
        return sheet_drawing(self.drawing, width, key=f"racquet-{self.key}", title=title, desc=desc, extra=extra)

    @property
    def code(self) -> Markup:
        """The frame's number for a hand scanner, which the search takes; empty where the frame has none yet."""
        number = self.found.frame.number
        if not number:
            return Markup("")
        return code_svg(qr_matrix(number, budget(CODE)), f"The number {number}", f"code-{self.key}")

    @property
    def chart(self) -> Markup:
        """Where the plot of what can be reached stands; empty where there is none."""
        if not self.reach:
            return Markup("")
        made = Markup('<img class="reach" style="width: {:g}mm; height: {:g}mm" src="picture:reach-{}" alt="{}"/>')
        return made.format(*SIZE, self.key, self.reach_words.title)

    @property
    def pictures(self) -> dict[str, str]:
        """What stands there, by its name, as SVG."""
        if not self.reach:
            return {}
        name = f"reach-{self.key}"
        return {name: reach_plot(self.reach, key=name, palette=BENCH, words=self.reach_words)}

    @property
    def head(self) -> float:
        """Height of the front's head."""
        return _HEAD + _HEAD_LINE * len(self.whose)

    @cached_property
    def notes_at(self) -> Literal["front", "back", "more"]:
        """Where the notes have room: on the front below a drawing of any use, else on the back, else on another page."""
        notes = _height(self.notes, WIDTH) + GAP + 0.6 if self.notes else 0.0
        if self._front_without_notes - notes >= aspect(self.drawing, _DRAWING_LEAST):
            return "front"
        return "back" if self._spare(self._middle(self.notes)) >= 0 else "more"

    @cached_property
    def name_width(self) -> float:
        """How wide the names are beside which the lines of strings and of the build stand: no word of them is broken."""
        words = [word for name, *_ in (*self.build_lines, *self.string_lines) for word in plain_words(name).split()]
        widest = max((text_width(word, _NAME_FACE, SIZE_PT) for word in words), default=0.0)
        return min(max(_NAME_LEAST, widest + _NAME_GAP), _NAME_MOST)

    @property
    def _legend(self) -> str:
        """What the legend of the causes says, each sample of its shading as wide as two letters at least."""
        return " ".join(
            (
                self.f.words.gettext("What makes it unsure:"),
                *(f"MM {plain_words(self.say.cause(cause))}" for cause in self.causes),
            )
        )

    @property
    def front_rest(self) -> float:
        """What the front has left for the drawing."""
        notes = _height(self.notes, WIDTH) + GAP + 0.6 if self.notes and self.notes_at == "front" else 0.0
        return self._front_without_notes - notes

    @property
    def _front_without_notes(self) -> float:
        blocks = (
            _height(self.why, WIDTH - 7) + 3.0 + GAP if self.why else 0.0,
            7.8 + 4.2 * len(self.pieces) + _rows(self.build_lines, self.name_width) + GAP,
            11.2 + 4.05 * len(self.figures) + _height([" ".join(map(str, self.figures_notes))], WIDTH) + GAP,
            _height([self._legend], WIDTH) if self.causes else 0.0,
            4.0
            + _rows([(name, strong + " " + rest) for name, strong, rest in self.string_lines], self.name_width)
            + GAP,
            4.4 + _height(self.cautions, WIDTH - 3) + GAP,
        )
        return HEIGHT - self.head - sum(blocks)

    @cached_property
    def drawing_width(self) -> float:
        """Width of the drawing: the largest that fits."""
        width = WIDTH - 2 * (CODE + GAP)
        while width > _DRAWING_LEAST and aspect(self.drawing, width) > self.front_rest:
            width -= 2
        return width

    @cached_property
    def middle_height(self) -> float:
        """The table of grams with the other plans, and the notes where they are here; the chart with its sentence."""
        return self._middle(self.notes if self.notes_at == "back" else ())

    def _middle(self, notes: Sequence[str]) -> float:
        left = 13.5 + 3.5 * len(self.found.effects)
        left += sum(GAP + 4.0 + _height(texts, _LEFT_COLUMN) for texts in (self.asides, notes) if texts)
        right = 4.0 + GAP + _CHART_HEIGHT + 0.5 + _height([self.sentence], _CHART) if self.reach else 0.0
        return max(left, right)

    @property
    def overflows(self) -> bool:
        """Whether there is more than two pages hold."""
        return self.split or self.notes_at == "more"

    @property
    def only_notes_overflow(self) -> bool:
        """Whether the notes are all that two pages do not hold."""
        return self.notes_at == "more" and not self.split

    @property
    def split(self) -> bool:
        """Whether the grams, the chart and the other plans need a page of their own."""
        return self._spare(self.middle_height) < 0

    @property
    def ends_later(self) -> bool:
        """Whether the order of work alone fills the back, so that the finished figures go to that page too."""
        return self._spare(0.0) < 0

    def row_height(self, row: WorkRow) -> float:
        """Height of one line of the work with its boxes to write in: what its text needs, and its share of the rest."""
        rows = sum(bool(other.expected) for other in self.work)
        spare = self._spare(0.0 if self.split else self.middle_height) + (
            _END + _height([self.afterwards], WIDTH) if self.ends_later else 0.0
        )
        return max(_least(row), min(_ROW_MOST, _least(row) + max(0.0, spare) / rows))

    def _spare(self, middle: float) -> float:
        """What the back has left when every line has its least height."""
        return (
            HEIGHT
            - BACK_HEAD
            - 8.2
            - GAP
            - sum(map(_least, self.work))
            - middle
            - _END
            - _height([self.afterwards], WIDTH)
        )


def _least(row: WorkRow) -> float:
    """The least height of a line of the work."""
    if not row.expected:
        return _height([row.text], WIDTH - 8) + 1.5
    text = f"00 {row.text}" if row.number else row.text
    lines = len(wrapped(text, "text-500", _WORK_TEXT, SIZE_PT))
    return max(_ROW_LEAST, lines * _ROW_LINE + 0.6)


def _height(texts: Sequence[str], width: float) -> float:
    """Height of paragraphs, mm."""
    return LINE * sum(len(wrapped(text, "text-500", width, SIZE_PT)) for text in texts)


def _rows(rows: Sequence[Sequence[Markup]], name_width: float) -> float:
    """Height of names with lines beside them and a little air after each, mm; either may take several lines."""
    room = WIDTH - name_width
    return sum(
        max(_height([text], room), LINE * len(wrapped(plain_words(name), _NAME_FACE, name_width - _NAME_GAP, SIZE_PT)))
        + 0.4
        for name, text in rows
    )
