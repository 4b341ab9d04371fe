"""A print shop's file: what it is made of, and what it refuses. Its standard is judged in tests/reference."""

import io

import pypdf
import pytest
from cardfacts import FRAME, SHOP
from pypdf.generic import ContentStream

from passport.render.print import pdf
from passport.render.print.card import card_piece
from passport.render.print.imposition import single
from passport.render.print.page_box import PageBox, Tools
from passport.render.standards.pdfx import PRESS


def written(body: str, **more) -> pypdf.PdfReader:
    """A small document for a press."""
    box = PageBox(40, 30)
    data = pdf.engine().write(
        body,
        ("style/fonts-print.css",),
        title="Proof & more",
        lang="en",
        page_box=box,
        standard=PRESS,
        tools=[Tools()],
        **more,
    )
    return pypdf.PdfReader(io.BytesIO(data))


def colours(reader) -> set[tuple[float, ...]]:
    """The inks that fills are in."""
    operations = ContentStream(reader.pages[0]["/Contents"], reader).operations
    return {tuple(float(v) for v in operands) for operands, operator in operations if operator == b"k"}


def test_colours_become_inks() -> None:
    """Black text is black alone, white text bare paper, also where styles say colours in another way."""
    body = '<p style="color:#000000">a</p><p style="color:white">b</p><p style="color:rgb(0 0 0)">c</p>'
    assert colours(written(body)) == {(0, 0, 0, 1), (0, 0, 0, 0)}


_GRADIENT = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 4"><linearGradient id="g"><stop stop-color="#f00"/>'
    '<stop offset="1" stop-color="#00f"/></linearGradient><rect width="4" height="4" fill="url(#g)"/></svg>'
)


@pytest.mark.parametrize("ground", ["linear-gradient(red, blue)", "url(picture:dots) no-repeat"])
def test_what_cannot_become_inks_is_refused(ground) -> None:
    """A gradient of a shop's own style or picture is told to a person and nothing is made."""
    with pytest.raises(pdf.FaultyDocument, match=r"screen's colours.*without --press"):
        written(f'<p style="background:{ground};height:20px">a</p>', pictures={"dots": _GRADIENT})


def test_dates_are_those_of_the_records(monkeypatch) -> None:
    """The last job's day; SOURCE_DATE_EPOCH where there is none; else the first day of computers' time, never today."""
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    dated = pypdf.PdfReader(io.BytesIO(single([card_piece(FRAME, SHOP)], bleed=True, standard=PRESS)))
    assert dated.metadata["/CreationDate"] == f"D:{FRAME.updated:%Y%m%d}000000Z"
    assert written("<p>a</p>").metadata["/CreationDate"] == "D:19700101000000Z"
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000000")
    assert written("<p>a</p>").metadata["/ModDate"] == "D:20010909014640Z"


def test_a_title_stands_in_the_metadata_as_it_is() -> None:
    """Signs that mean something in XML are kept."""
    assert "Proof &amp; more" in written("<p>a</p>").trailer["/Root"]["/Metadata"].get_data().decode()
