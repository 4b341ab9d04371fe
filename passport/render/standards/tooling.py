"""Where a print shop's tools go, drawn in inks of their own: die line, hole, corners; and crop marks on every plate.

Each is a Separation colour (ISO 32000-1, 8.6.6.4) that prints over what is below it, so that a plate is left out or kept
without a trace in the picture.
"""

import math
from collections.abc import Iterator, Mapping

from passport.render.print.operators import circle
from passport.render.print.page_box import CutBox, Tools
from passport.render.theme.textfit import MM_PER_PT

DIE, HOLE, CORNERS, MARKS = "DieLine", "Hole", "Corners", "All"
"""Names of the inks; what is printed in the last one comes on every plate."""
SHOWN: Mapping[str, tuple[float, float, float, float]] = {
    DIE: (0, 1, 0, 0), HOLE: (1, 0, 0, 0), CORNERS: (0, 0.5, 1, 0), MARKS: (1, 1, 1, 1),
}  # fmt: skip
"""What stands for each ink where there is none: cyan, magenta, yellow, black."""
OVER = "Over"
"""The graphics state in which an ink leaves the others as they are."""
_LINE, _HAIR = 0.25, 0.25
"""Width of lines, pt."""


def drawn(tools: Tools, height: float) -> list[bytes]:
    """What is drawn on a page of a ``height``, mm, for its tools, in points from the lower left corner."""
    scale = 1 / MM_PER_PT
    parts = [f"q /{OVER} gs {scale:.6f} 0 0 {-scale:.6f} 0 {height * scale:.6f} cm 0 J"]
    for ink in (MARKS, DIE, CORNERS, HOLE):
        lines = list(_lines(ink, tools))
        if lines:
            width = (_HAIR if ink == MARKS else _LINE) * MM_PER_PT
            parts += [f"/{ink} CS 1 SCN {width:.4f} w", *lines, "S"]
    return ["\n".join([*parts, "Q"]).encode()]


def used(tools: Tools) -> set[str]:
    """The inks that are on a page."""
    return {ink for ink in SHOWN if any(_lines(ink, tools))}


def _lines(ink: str, tools: Tools) -> Iterator[str]:
    if ink == MARKS:
        yield from (f"{x:.4f} {y:.4f} m {x + a:.4f} {y + d:.4f} l" for x, y, a, d in tools.marks)
        return
    for cut in tools.cuts:
        if ink == DIE:
            yield _die(cut)
        elif ink == HOLE and cut.hole:
            x, y = _turned(cut, cut.hole[0], cut.hole[1])
            yield circle(x, y, cut.hole[2] / 2)
        elif ink == CORNERS and cut.corner:
            yield from _corners(cut)


def _die(cut: CutBox) -> str:
    if cut.circular:
        return circle(cut.left + cut.width / 2, cut.top + cut.height / 2, cut.width / 2)
    return f"{cut.left:.4f} {cut.top:.4f} {cut.width:.4f} {cut.height:.4f} re"


def _corners(cut: CutBox) -> Iterator[str]:
    """A quarter of a circle in each corner."""
    r, bend = cut.corner, cut.corner * (1 - 4 / 3 * (math.sqrt(2) - 1))
    for x, right in ((cut.left, 1), (cut.left + cut.width, -1)):
        for y, down in ((cut.top, 1), (cut.top + cut.height, -1)):
            yield (
                f"{x + right * r:.4f} {y:.4f} m {x + right * bend:.4f} {y:.4f} {x:.4f} {y + down * bend:.4f}"
                f" {x:.4f} {y + down * r:.4f} c"
            )


def _turned(cut: CutBox, across: float, down: float) -> tuple[float, float]:
    """A point of a piece on the page, where the piece may be turned a quarter."""
    if cut.turn == 90:
        return cut.left + cut.width - down, cut.top + across
    if cut.turn == -90:
        return cut.left + down, cut.top + cut.height - across
    return cut.left + across, cut.top + down
