"""The calibration page: rulers of 100 mm, and two scales on which lines of the back show through.

All lengths are mm from the upper left corner. What is on the back is mirrored about the sheet's long middle, as printers
turn a sheet over.
"""

from dataclasses import dataclass
from typing import Final

from markupsafe import Markup, escape

from passport.render.drawing.svg import num
from passport.render.print.imposition import Paper
from passport.render.print.page_box import PageBox
from passport.render.print.pdf import engine
from passport.render.theme.assets import templates, with_look
from passport.render.theme.formats import BenchFormats
from passport.render.theme.templating import Environment, speak

REACH: Final = 5
"""How far a scale goes either way."""
ACROSS: Final = (85.0, 140.0)
DOWN: Final = (140.0, 140.0)
"""Where the zero of each scale is on the front."""
RULER: Final = 100
LEVEL: Final = (22.0, 62.0)
UPRIGHT: Final = (22.0, 78.0)
"""Where the rulers begin."""
_HALF: Final = 12.0
"""Half of the line that shows through."""
_FRAME: Final = 30.0


@dataclass(frozen=True, slots=True)
class PlacedDrawing:
    """A drawing with its place on the page."""

    left: float
    top: float
    width: float
    height: float
    svg: Markup


def calibration_pdf(paper: Paper, language: str = "en") -> bytes:
    """Front and back of the page. Raises `passport.render.print.pdf.NoPango`."""
    words = BenchFormats(language).words
    speak(words)
    body = (
        Environment([templates()])
        .get_template("calibration/calibration.html.j2")
        .render(
            paper=paper.name,
            level=_ruler(words.gettext("A ruler of 100 mm, from left to right"), level=True),
            upright=_ruler(words.gettext("A ruler of 100 mm, from top to bottom"), level=False),
            across=_scale(ACROSS, words.gettext("A scale from −5 to 5 mm, across"), level=True),
            down=_scale(DOWN, words.gettext("A scale from −5 to 5 mm, down"), level=False),
            ax=ACROSS[0], ay=ACROSS[1], dx=DOWN[0], dy=DOWN[1],
            behind_across=_behind(
                (paper.width - ACROSS[0], ACROSS[1]), words.gettext("The line to read, across"), level=False
            ),
            behind_down=_behind((paper.width - DOWN[0], DOWN[1]), words.gettext("The line to read, down"), level=True),
        )
    )  # fmt: skip
    return engine().write(
        body,
        with_look("style/fonts-print.css", "calibration/calibration.css"),
        title=words.gettext("Calibration page"),
        lang=words.language,
        page_box=PageBox(paper.width, paper.height),
        tidy=True,
    )


def _ruler(title: str, *, level: bool) -> PlacedDrawing:
    """A line of 100 mm with a tick at each millimetre, its ends the longest."""
    ticks = "".join(
        _stroke(at, 0.0, 5.0 if at in (0, RULER) else 4.0 if at % 10 == 0 else 3.0 if at % 5 == 0 else 2.0, level)
        for at in range(RULER + 1)
    )
    line = f"M0 0H{RULER}" if level else f"M0 0V{RULER}"
    left, top = LEVEL if level else UPRIGHT
    width, height = (RULER + 2, 6) if level else (6, RULER + 2)
    return _drawing(left - 1, top - 1, width, height, (-1, -1), line + ticks, title)


def _scale(zero: tuple[float, float], title: str, *, level: bool) -> PlacedDrawing:
    """A scale of half millimetres, the whole ones longer."""
    ticks = "".join(
        _stroke(half / 2, 0.0, 3.0 if half % 10 == 0 else 2.2 if half % 2 == 0 else 1.2, level)
        for half in range(-2 * REACH, 2 * REACH + 1)
    )
    line = f"M{-REACH} 0H{REACH}" if level else f"M0 {-REACH}V{REACH}"
    return _about(zero, line + ticks, title)


def _behind(zero: tuple[float, float], title: str, *, level: bool) -> PlacedDrawing:
    """The line that shows through the zero of a scale where the printer is right."""
    line = f"M{-_HALF:g} 0H{_HALF:g}" if level else f"M0 {-_HALF:g}V{_HALF:g}"
    return _about(zero, line, title)


def _stroke(at: float, start: float, length: float, level: bool) -> str:
    return (
        f"M{num(at, 2)} {num(start, 2)}v{num(length, 2)}"
        if level
        else f"M{num(start, 2)} {num(at, 2)}h{num(length, 2)}"
    )


def _about(zero: tuple[float, float], path: str, title: str) -> PlacedDrawing:
    half = _FRAME / 2
    return _drawing(zero[0] - half, zero[1] - half, _FRAME, _FRAME, (-half, -half), path, title)


def _drawing(
    left: float, top: float, width: float, height: float, corner: tuple[float, float], path: str, title: str
) -> PlacedDrawing:
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{corner[0]:g} {corner[1]:g} {width:g} {height:g}" role="img">'
        f'<title>{escape(title)}</title><path d="{path}" fill="none" stroke="#000000" stroke-width=".12"/></svg>'
    )
    return PlacedDrawing(left, top, width, height, Markup(svg))
