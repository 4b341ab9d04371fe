"""What the plots share: the shop's typefaces, sizes in mm, colours of a palette, and the file that comes out.

matplotlib is used by its public interface and imported here alone, when a plot is first asked for. Its settings are its
own defaults with ours over them, whatever the user's are, so that the same plot gives the same bytes.
"""

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Literal

from passport.physics.units import MM_PER_IN
from passport.records.language.worded import speaking, worded
from passport.render.faces.shelf import STYLES, Face
from passport.render.theme.assets import fonts, typefaces
from passport.render.theme.palette import Palette

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Format = Literal["svg", "pdf", "png"]
FORMATS: tuple[Format, ...] = ("png", "svg", "pdf")
_FACES = ("text-400.ttf", "text-600.ttf", "display-600.ttf")
TEXT, DISPLAY = "Barlow Semi Condensed", "Besley"
"""What those files call themselves, by which other programs know them."""
_STYLES = tuple(style for style in STYLES if style.house in ("text-400.ttf", "text-600.ttf"))
"""What the signs that the shop's own typefaces lend are set like, in headings too."""
_DPI = 200
_LAST_LETTER = "\u024f"
"""The last letter of Latin Extended-B."""


@contextmanager
def drawing(palette: Palette, size: float = 8.0, words: str = "") -> "Iterator[None]":
    """Draw and save inside: text of ``size`` pt in the shipped typefaces, axes in the palette's colours.

    For signs of ``words`` that those lack, the typefaces that the shop added stand behind them.
    """
    import matplotlib

    _add_typefaces()
    with matplotlib.rc_context(), warnings.catch_warnings():
        # A sheet's plot is text that is set in the sheet's typefaces: what matplotlib lacks here is no news.
        warnings.simplefilter("ignore")
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(
            {
                "font.family": [TEXT, *lenders(words)],
                "font.size": size,
                "axes.titlesize": size * 1.15,
                "axes.titleweight": "semibold",
                "axes.titlelocation": "left",
                "axes.labelsize": size,
                "xtick.labelsize": size,
                "ytick.labelsize": size,
                "legend.fontsize": size,
                "text.color": palette.ink,
                "axes.labelcolor": palette.ink,
                "axes.titlecolor": palette.ink,
                "xtick.color": palette.rule,
                "ytick.color": palette.rule,
                "xtick.labelcolor": palette.soft,
                "ytick.labelcolor": palette.soft,
                "figure.facecolor": palette.sheet,
                "axes.facecolor": "none",
                "axes.edgecolor": palette.rule,
                "axes.linewidth": 0.6,
                "xtick.major.width": 0.6,
                "ytick.major.width": 0.6,
                "axes.spines.top": False,
                "axes.spines.right": False,
                "grid.color": palette.hair,
                "grid.linewidth": 0.5,
                "axes.axisbelow": True,
                "axes.unicode_minus": True,
                "legend.frameon": False,
                "lines.solid_capstyle": "butt",
                "svg.fonttype": "none",
                "pdf.fonttype": 42,
            }
        )
        yield


def sheet(width: float, height: float) -> "Figure":
    """An empty figure of so many mm, its units points; made, drawn and saved inside `drawing`."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width / MM_PER_IN, height / MM_PER_IN), dpi=72, layout="constrained")


def saved(figure: "Figure", kind: Format, *, key: str, title: str | None = None) -> bytes:
    """The figure as a file that says its title; ``key`` makes the names inside an SVG.

    No date goes into it: the same plot gives the same bytes.
    """
    import matplotlib

    out = io.BytesIO()
    said = {"Title": title} if title else {}
    named: dict[Format, dict[str, str | None]] = {
        "svg": {**said, "Date": None, "Creator": None, "Format": None, "Type": None},
        "pdf": {**said, "CreationDate": None, "ModDate": None, "Creator": None, "Producer": None},
        "png": {**said, "Software": None},
    }
    with matplotlib.rc_context({"svg.hashsalt": key}):
        figure.savefig(out, format=kind, dpi=_DPI if kind == "png" else "figure", metadata=named[kind])
    return out.getvalue()


def picture(figure: "Figure", *, key: str) -> str:
    """The figure as SVG for a sheet, which names and describes it beside."""
    return saved(figure, "svg", key=key).decode()


def tick_lightly(axes: "Axes") -> None:
    """Short ticks, figures close to the axis."""
    axes.tick_params(length=2.5, pad=2)


def date_axis(axes: "Axes", most: int = 7) -> None:
    """Years and months along the foot, at most so many."""
    from matplotlib.dates import AutoDateLocator, ConciseDateFormatter

    locator = AutoDateLocator(maxticks=most)  # type: ignore[no-untyped-call]  # dates have no types there
    axes.xaxis.set_major_locator(locator)
    axes.xaxis.set_major_formatter(ConciseDateFormatter(locator, show_offset=False))  # type: ignore[no-untyped-call]


def plotted(text: str, /, **values: object) -> str:
    """A text of a plot in the workshop's language; in English where that has letters that the plots' typefaces lack."""
    if any(sign.isalpha() and sign > _LAST_LETTER for sign in worded(text)):
        with speaking():
            return worded(text, **values)
    return worded(text, **values)


def lenders(words: str) -> list[str]:
    """What matplotlib calls the shop's own typefaces that have the signs of some words which the shipped ones lack."""
    names = (_told(piece.face, piece.style.weight) for piece in typefaces().lent(words, _STYLES).pieces)
    return list(dict.fromkeys(names))


@cache
def _told(face: Face, weight: int) -> str:
    """The name of a typeface that matplotlib was told of, as one of just that weight: it complains of any other."""
    from matplotlib.font_manager import fontManager

    before = len(fontManager.ttflist)
    fontManager.addfont(face.path)
    found = [entry for entry in fontManager.ttflist[before:] if entry.index == face.index]
    fontManager.ttflist[before:] = [replace(entry, weight=weight) for entry in found]
    return found[0].name


@cache
def _add_typefaces() -> None:
    """Tell matplotlib of the shipped typefaces."""
    from matplotlib.font_manager import fontManager

    for name in _FACES:
        fontManager.addfont(fonts() / name)
