"""Boxes and languages that are set after a document's layout."""

import io

import pypdf
import pytest

from passport.render.print import pdf
from passport.render.print.page_box import PageBox


def written(body: str, **more) -> bytes:
    """A small document."""
    return pdf.engine().write(body, ("style/fonts-print.css",), title="Proof", lang="en", **more)


def test_boxes_say_where_the_cut_is() -> None:
    """A page with a trim carries it as TrimBox, the bleed round it as BleedBox, the page as MediaBox, all in points.

    Conversion by hand: 25.4 mm are 72 pt (1/72 in, ISO 32000-1, 8.3.2.3); box names from ISO 32000-1, 14.11.2.
    """
    page_box = PageBox(50.8 + 25.4, 25.4 + 25.4, (50.8, 25.4), 3.175)
    (page,) = pypdf.PdfReader(io.BytesIO(written("<p>x</p>", page_box=page_box))).pages
    assert [float(v) for v in page.mediabox] == pytest.approx([0, 0, 216, 144], abs=0.02)
    assert [float(v) for v in page.trimbox] == pytest.approx([36, 36, 180, 108], abs=0.001)
    assert [float(v) for v in page.bleedbox] == pytest.approx([27, 27, 189, 117], abs=0.001)


def test_a_section_in_another_language_says_so() -> None:
    """Of two sections the one whose language is not the document's has its own (ISO 14289-1, 7.2)."""
    body = "<section lang='en'><p>one</p></section><section lang='de'><p>zwei</p></section>"
    reader = pypdf.PdfReader(io.BytesIO(written(body, spoken=("en", "de"))))
    (whole,) = reader.trailer["/Root"]["/StructTreeRoot"]["/K"]
    sections = [kid.get_object() for kid in whole.get_object()["/K"]]
    assert [(o["/S"], o.get("/Lang")) for o in sections] == [("/Sect", None), ("/Sect", "de")]


def test_without_a_trim_the_whole_page_is_the_trim() -> None:
    """A page without a trim is cut nowhere."""
    assert PageBox(25.4, 50.8).box() == (0, 0, 72, 144)
    assert PageBox(25.4, 50.8).css == "@page{size:25.4mm 50.8mm;margin:0}"
