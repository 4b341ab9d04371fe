"""The size and the boxes of a PDF's pages, the languages of its sections, its standard: what goes into it after the layout."""

from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from typing import Any

from passport.render.theme.textfit import MM_PER_PT


@dataclass(frozen=True, slots=True)
class PageBox:
    """The size of every page of a document, mm, and the boxes by which a print shop finds the cut.

    ``trim`` is the width and height of what remains after cutting, in the middle of the page; the whole page where it
    is None. ``bleed`` is how far the print runs past the cut on each side (ISO 32000-1, 14.11.2: TrimBox, BleedBox).
    """

    width: float
    height: float
    trim: tuple[float, float] | None = None
    bleed: float = 0.0

    @property
    def css(self) -> str:
        """The page's size as a style rule."""
        return f"@page{{size:{self.width:g}mm {self.height:g}mm;margin:0}}"

    def box(self, beyond: float = 0.0) -> tuple[float, float, float, float]:
        """The cut, or a box ``beyond`` mm outside it: left, bottom, right, top in points from the lower left."""
        width, height = self.trim or (self.width, self.height)
        left, low = (self.width - width) / 2 - beyond, (self.height - height) / 2 - beyond
        sides = (left, low, self.width - left, self.height - low)
        return tuple(round(side / MM_PER_PT, 4) for side in sides)  # type: ignore[return-value]


@dataclass(frozen=True, slots=True)
class CutBox:
    """Where a print shop's tools go round one piece: its box after cutting, mm from the upper left corner of the page.

    ``hole`` is across, down and the diameter, from the box's own upper left corner before it is turned, degrees
    clockwise; ``corner`` is the radius of its corners.
    """

    left: float
    top: float
    width: float
    height: float
    turn: int = 0
    circular: bool = False
    hole: tuple[float, float, float] | None = None
    corner: float = 0.0


@dataclass(frozen=True, slots=True)
class Tools:
    """What is on one page for tools and eyes of a print shop: cuts, and the crop marks as left, top, across, down."""

    cuts: tuple[CutBox, ...] = ()
    marks: tuple[tuple[float, float, float, float], ...] = ()


class Standard:
    """Which standard a PDF follows, and what that puts into it when its pages stand; this one is PDF/UA-1."""

    variant = "pdf/ua-1"
    dated = False
    """Whether the standard asks for dates; else a document has one where a record or the environment gives it."""
    draws_marks = False
    """Whether it draws the crop marks itself."""

    @property
    def options(self) -> Mapping[str, Any]:
        """What is said to the layout engine beside that."""
        return {}

    def making(self) -> AbstractContextManager[Any]:
        """What holds while the engine makes the PDF."""
        return nullcontext()

    def finish(self, pdf: Any, tools: Sequence[Tools]) -> None:
        """Put in what the standard asks for; ``tools`` are those of the pages in turn."""


UA = Standard()


def set_boxes(pdf: Any, page_box: PageBox) -> None:
    """Say on each page where the cut and the bleed are."""
    for page in of_type(pdf, "/Page"):
        page["TrimBox"][:] = page_box.box()
        page["BleedBox"][:] = page_box.box(page_box.bleed)


def set_languages(pdf: Any, languages: Sequence[str]) -> None:
    """Give each section its language where it is not the document's (ISO 14289-1, 7.2)."""
    text = type(pdf.catalog["Lang"])
    sections = [element for element in of_type(pdf, "/StructElem") if element["S"] == "/Sect"]
    for element, language in zip(sections, languages, strict=False):
        if language:
            element["Lang"] = text(language)


def of_type(pdf: Any, name: str) -> list[Any]:
    """The dictionaries of a kind in the order in which they were made."""
    return [o for o in pdf.objects if isinstance(o, dict) and o.get("Type") == name]
