"""How a bench sheet is laid out: how much room each of its parts takes, and what goes where.

Lengths are mm on paper. Words are wrapped here only to count their lines, with widths that are never too little, so
that what is laid out always fits. The heights are those of ``templates/bench/sheet.css``.
"""

import math
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
from passport.render.theme.textfit import wrapped

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
_CAUSES = 5
"""So many causes stand in one line of the legend."""


@dataclass(frozen=True)
class LaidOut(SheetView):
    """A sheet with the places and sizes of its parts."""

    @property
    def picture(self) -> str:
        """The drawing, as wide as there is room for."""
        width = self.drawing_width
        extra = f'class="racquet" width="{width:g}mm" height="{aspect(self.drawing, width):.2f}mm"'
        title = plain_words(self.say.picture(self.found))
        desc = "; ".join(f"{row.number}: {plain_words(self.say.piece(row.piece))}" for row in self.pieces)
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

    @property
    def front_rest(self) -> float:
        """What the front has left for the drawing."""
        notes = _height(self.notes, WIDTH) + GAP + 0.6 if self.notes and self.notes_at == "front" else 0.0
        return self._front_without_notes - notes

    @property
    def _front_without_notes(self) -> float:
        lines = [f"{strong} {rest}" for _, strong, rest in self.string_lines]
        blocks = (
            _height(self.why, WIDTH - 7) + 3.0 + GAP if self.why else 0.0,
            7.8 + 4.2 * len(self.pieces) + _stacked([text for _, text in self.build_lines], WIDTH - 20) + GAP,
            11.2 + 4.05 * len(self.figures) + _height([self.figures_note], WIDTH) + GAP,
            LINE * math.ceil(len(self.causes) / _CAUSES),
            4.0 + _stacked(lines, WIDTH - 20) + GAP,
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


def _stacked(texts: Sequence[str], width: float) -> float:
    """Height of lines with a little air after each, mm."""
    return _height(texts, width) + 0.4 * len(texts)
