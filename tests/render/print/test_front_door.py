"""Documents handed over as trees are those that WeasyPrint makes of their texts, and it is noticed where they are not."""

import io
import warnings

import numpy as np
import pypdf
import pypdfium2
import pytest
from cardfacts import EXTREMES

from passport.render.print import front_door, pdf

if pdf.available():
    pytest.skip("the Pango library is missing", allow_module_level=True)

from passport.render.print.card import card_pdf
from passport.render.print.imposition import PAPERS, sheets, single
from passport.render.print.setcard import set_pieces
from passport.render.print.sticker import sticker_piece
from passport.render.print.tag import tag_piece


@pytest.fixture
def plain(monkeypatch):
    """Documents are texts from here on, as with a release that does not fit; returns what undoes that."""

    def switch(on: bool) -> None:
        monkeypatch.setattr(front_door, "fits", lambda: not on)

    return switch


def test_this_release_fits():
    """The release of WeasyPrint that is installed takes trees, without a warning."""
    front_door.fits.cache_clear()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert front_door.fits()


@pytest.mark.parametrize(
    ("broken", "said"),
    [("wrapper_element", "not read"), ("render", "not taken"), ("finish", "not put"), ("document", "TypeError")],
)
def test_a_release_that_does_not_fit_is_said_once(monkeypatch, broken, said):
    """Where the tree is not looked at, styles go by, drawings stay out or anything is missing: one warning, then texts."""
    if broken == "wrapper_element":
        from weasyprint import HTML

        monkeypatch.setattr(front_door, "document", lambda root, **more: HTML(string="<title>other</title>", **more))
    elif broken == "render":
        monkeypatch.setattr(front_door.ElementStyles, "sheet", lambda self: __import__("weasyprint").CSS(string="p{}"))
    elif broken == "finish":
        monkeypatch.setattr(front_door.StandIns, "finish", lambda self, made: 1)
    else:
        monkeypatch.setattr(front_door, "document", lambda root: None)
    front_door.fits.cache_clear()
    try:
        with pytest.warns(RuntimeWarning, match=said):
            assert not front_door.fits()
        assert not front_door.fits(), "the second time nothing is said: warnings are errors here"
    finally:
        front_door.fits.cache_clear()


def tags(data: bytes) -> list[tuple[str, str]]:
    """The tags of a document with their descriptions, in order, without those that only hold others together."""
    root = pypdf.PdfReader(io.BytesIO(data)).trailer["/Root"]["/StructTreeRoot"]["/K"][0]

    def below(element) -> list[tuple[str, str]]:
        found = [] if element["/S"] in ("/Div", "/NonStruct") else [(str(element["/S"]), str(element.get("/Alt", "")))]
        for kid in element["/K"]:
            found += [] if isinstance(kid, int) else below(kid.get_object())
        return found

    return below(root.get_object())


def _titles(outline: list[object]) -> list[str]:
    """The bookmarks in order, those below others too."""
    return [title for each in outline for title in (_titles(each) if isinstance(each, list) else [each.title])]


def told(data: bytes) -> list[object]:
    """What a document says of itself and on each page, its bookmarks, its boxes."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    boxes = [(page.mediabox, page.trimbox, page.bleedbox) for page in reader.pages]
    words = ["".join(page.extract_text().split()) for page in reader.pages]
    return [reader.metadata, reader.trailer["/Root"]["/Lang"], _titles(reader.outline), words, boxes]


def apart(one: bytes, other: bytes) -> float:
    """The largest share of a page's points that are plainly of another colour, 150 dpi."""
    pages = [
        [
            np.asarray(page.render(scale=150 / 72).to_pil().convert("RGB")).astype(int)
            for page in pypdfium2.PdfDocument(data)
        ]
        for data in (one, other)
    ]
    return max(float((np.abs(a - b).max(axis=2) > 96).mean()) for a, b in zip(*pages, strict=True))


@pytest.mark.parametrize("kind", ["ordinary", "long"])
def test_cards_are_those_of_their_texts(plain, kind):
    """The same words, tags, descriptions, bookmarks, boxes and pictures as WeasyPrint makes by itself of card and tag."""
    frame, shop = EXTREMES[kind]
    for make in (card_pdf, lambda *facts: single([tag_piece(*facts)])):
        plain(False)
        ours = make(frame, shop)
        plain(True)
        theirs = make(frame, shop)
        assert b"/Subtype /Image" not in ours
        assert told(ours) == told(theirs)
        assert tags(ours) == tags(theirs)
        # What differs are the edges of ellipses, which WeasyPrint draws up to 1 % off.
        assert apart(ours, theirs) < 5e-4


def test_sheets_and_sets_are_those_of_their_texts(plain, demo_facts):
    """The same for round stickers, a matched set, bleed and a whole sheet."""
    frames, shop = [frame for frame in demo_facts.frames if frame.status == "active"][:3], demo_facts.shop
    matched = next((p, g) for p in demo_facts.players for g in p.groups if g.matched and len(g.frames) > 1)
    stickers = [sticker_piece(frame, shop, circular=True) for frame in frames]
    jobs = (
        lambda: sheets(stickers, PAPERS["a4"], skip=1, notice=("Fronts",)),
        lambda: single(set_pieces(*matched, shop)),
        lambda: single([tag_piece(frames[0], shop)], bleed=True),
    )
    for make in jobs:
        plain(False)
        ours = make()
        plain(True)
        theirs = make()
        assert told(ours) == told(theirs)
        assert tags(ours) == tags(theirs)
        assert apart(ours, theirs) < 5e-4


def test_every_drawing_of_a_printed_piece_is_ours(demo_facts, monkeypatch):
    """None of the drawings of the demo's pieces is left to WeasyPrint's SVG."""
    monkeypatch.setattr("weasyprint.svg.SVG.draw", lambda *_: pytest.fail("an SVG was drawn"))
    for frame in [frame for frame in demo_facts.frames if frame.status == "active"][::4]:
        for piece in (tag_piece(frame, demo_facts.shop), sticker_piece(frame, demo_facts.shop)):
            single([piece])
        card_pdf(frame, demo_facts.shop)
    player, group = next((p, g) for p in demo_facts.players for g in p.groups if g.matched and len(g.frames) > 1)
    single(set_pieces(player, group, demo_facts.shop))


def test_what_was_made_before_changes_nothing(monkeypatch):
    """Whatever cards came before, and however often all styles were forgotten, a card has the same bytes."""
    first = {kind: card_pdf(*EXTREMES[kind]) for kind in EXTREMES}
    monkeypatch.setattr(front_door, "_MOST", 30)
    monkeypatch.setattr(pdf, "_MOST_IMAGES", 3)
    for _ in range(2):
        assert {kind: card_pdf(*EXTREMES[kind]) for kind in reversed(EXTREMES)} == first


def test_a_drawing_that_stays_an_image_is_no_card(monkeypatch):
    """A stand-in that is found changed in the PDF is an error, not a card with a grey patch."""
    monkeypatch.setattr("weasyprint.images.LazyImage.data", b"something else")
    with pytest.raises(pdf.FaultyDocument, match="did not find"):
        card_pdf(*EXTREMES["ordinary"])
