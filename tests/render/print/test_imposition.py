"""Pieces on pages: many on a sheet, none over another, fronts and backs where duplex printing puts them."""

import io
import logging
from dataclasses import replace

import page as validation
import pypdf
import pytest
from cardfacts import FRAME, LONG, LONG_SHOP, SHOP
from printed import twins
from printread import MM, codes, pages, raster, text

from passport.render.print.card import CARD, card_piece
from passport.render.print.imposition import PAPERS, Cell, crop_marks, folded, layout, mark_lines, sheets, single
from passport.render.print.page_box import PageBox
from passport.render.print.setcard import SET, set_pieces
from passport.render.print.sticker import ROUND, SQUARE, WRAP, sticker_piece
from passport.render.print.tag import TAG, tag_piece

FORMATS = {"card": CARD, "tag": TAG, "sticker": SQUARE, "round": ROUND, "wrap": WRAP, "set": SET}


@pytest.fixture(autouse=True)
def quiet(caplog):
    """WeasyPrint warns of nothing."""
    yield
    said = [r.getMessage() for r in caplog.records if r.name == "weasyprint" and r.levelno >= logging.WARNING]
    assert said == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", FORMATS)
def test_places_lie_on_the_sheet_and_apart(paper, kind) -> None:
    """All places are inside the margins, with the gap between neighbours, and the bleed of two never meets."""
    plan = layout(PAPERS[paper], FORMATS[kind])
    cells = [plan.cell(i) for i in range(plan.places)]
    for c in cells:
        assert c.left >= 10 - 1e-9 and c.left + c.width <= plan.paper.width - 10 + 1e-9
        assert c.top >= 7 - 1e-9 and c.top + c.height <= plan.paper.height - 7 + 1e-9
    for i, a in enumerate(cells):
        for b in cells[i + 1 :]:
            across = max(a.left, b.left) - min(a.left + a.width, b.left + b.width)
            down = max(a.top, b.top) - min(a.top + a.height, b.top + b.height)
            assert max(across, down) >= plan.gap - 1e-9 > 2 * plan.bleed


@pytest.mark.parametrize(
    ("paper", "kind", "places"),
    [
        # Counted by hand from the sizes, with margins of 10 and 7 mm and gaps of at least 3 mm.
        ("a4", "card", 10), ("letter", "card", 9), ("a4", "tag", 6), ("letter", "tag", 6), ("a4", "sticker", 30),
        ("letter", "sticker", 30), ("a4", "round", 15), ("letter", "round", 15), ("a4", "set", 2), ("letter", "set", 2),
        ("a4", "wrap", 15), ("letter", "wrap", 15),
    ],
)  # fmt: skip
def test_as_many_as_fit(paper, kind, places) -> None:
    """A sheet holds as many pieces as its size allows."""
    assert layout(PAPERS[paper], FORMATS[kind]).places == places


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", FORMATS)
def test_a_back_lies_behind_its_front(paper, kind) -> None:
    """Turned over about the long edge each back's box is that of its front, and turned pieces keep their top."""
    plan = layout(PAPERS[paper], FORMATS[kind])
    for i in range(plan.places):
        front, back = plan.cell(i), plan.cell(i, back=True)
        assert plan.paper.width - back.left - back.width == pytest.approx(front.left, abs=1e-9)
        assert (back.top, back.width, back.height) == (front.top, front.width, front.height)
        assert back.turn == -front.turn


def test_sheets_follow_each_other_front_and_back() -> None:
    """Eleven cards on A4 take two sheets: front, back, front, back; each card's number is on the sheet of its place."""
    _, group = twins(11)
    pieces = [card_piece(frame, SHOP) for frame in group.frames]
    data = sheets(pieces, PAPERS["a4"])
    said = [text(data, n) for n in range(4)]
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == 4
    for i, piece in enumerate(pieces):
        shown = [n for n in range(4) if piece.number in said[n]]
        assert shown == ([0, 1] if i < 10 else [2, 3])


def test_skipped_places_stay_free() -> None:
    """The first places of the first sheet stay white, on both sides, and the next card stands in the place after them."""
    plan = layout(PAPERS["a4"], CARD)
    data = sheets([card_piece(FRAME, SHOP)], PAPERS["a4"], skip=3)
    for side in (0, 1):
        picture, scale = raster(data, side, 100), 100 / 25.4
        for place in range(plan.places):
            c = plan.cell(place, back=side == 1)
            box = tuple(round(v * scale) for v in (c.left, c.top, c.left + c.width, c.top + c.height))
            low = picture.crop(box).convert("L").getextrema()[0]
            assert (low < 250) is (place == 3), (side, place)


def test_what_does_not_go() -> None:
    """More skipped places than a sheet has, pieces of two formats, and no piece at all are refused."""
    card, sticker = card_piece(FRAME, SHOP), sticker_piece(FRAME, SHOP)
    for wrong in (-1, 10):
        with pytest.raises(ValueError, match="skip"):
            sheets([card], PAPERS["a4"], skip=wrong)
    with pytest.raises(ValueError, match="one format"):
        single([card, sticker])
    with pytest.raises(ValueError, match="one format"):
        sheets([], PAPERS["a4"])


def test_one_sided_pieces_have_no_backs() -> None:
    """Stickers fill one page a sheet."""
    data = sheets([sticker_piece(FRAME, SHOP)] * 2, PAPERS["letter"])
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == 1


@pytest.mark.parametrize("kind", ["card", "set"])
@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_is_printed_outside_the_bleed(kind, paper) -> None:
    """Between the pieces and round them the sheet is white but for marks and notice, also where pieces are turned."""
    player, group = twins(2)
    pieces = [card_piece(f, SHOP) for f in (FRAME, LONG)] if kind == "card" else list(set_pieces(player, group, SHOP))
    plan = layout(PAPERS[paper], FORMATS[kind])
    data = sheets(pieces, PAPERS[paper])
    for side in (0, 1):
        picture, scale = raster(data, side, 150).convert("L"), 150 / 25.4
        for place in range(len(pieces)):
            c = plan.cell(place, back=side == 1)
            reach = plan.bleed + 0.3
            inked = picture.crop(tuple(round(v * scale) for v in (c.left, c.top, c.left + c.width, c.top + c.height)))
            assert inked.getextrema()[0] < 60
            box = (c.left - reach, c.top - reach, c.left + c.width + reach, c.top + c.height + reach)
            picture.paste(255, tuple(round(v * scale) for v in box))
        block = plan.block
        near = plan.bleed + 0.6  # marks begin 0.75 mm beyond the bleed
        inner = (block.left - near, block.top - near, block.left + block.width + near, block.top + block.height + near)
        assert picture.crop(tuple(round(v * scale) for v in inner)).getextrema()[0] > 250


def test_turned_pieces_are_whole() -> None:
    """A turned piece shows the same as an upright one, turned by a quarter: no ground or drawing is cut off."""
    plan = layout(PAPERS["letter"], CARD)
    assert plan.turned
    data, alone = sheets([card_piece(FRAME, SHOP)], PAPERS["letter"]), single([card_piece(FRAME, SHOP)])
    for side, quarter in ((0, -90), (1, 90)):
        c = plan.cell(0, back=side == 1)
        scale = 150 / 25.4
        box = tuple(round(v * scale) for v in (c.left, c.top, c.left + c.width, c.top + c.height))
        turned = raster(data, side, 150).crop(box).convert("L").resize((106, 168))
        upright = raster(alone, side, 150).convert("L").rotate(quarter, expand=True).resize((106, 168))
        off = [abs(a - b) for a, b in zip(turned.tobytes(), upright.tobytes(), strict=True)]
        assert sum(off) / len(off) < 12


def test_marks_stand_at_every_cut_and_nowhere_in_the_print() -> None:
    """Each cut of a single piece has a mark of 4 mm at both ends, all outside the bleed."""
    svg = crop_marks(PageBox(40, 30), Cell(10, 8, 20, 14), [Cell(10, 8, 20, 14)], 3)
    assert svg.count("v4") == svg.count("h4") == 4
    for start in ("M10 0.25v4", "M30 0.25v4", "M10 25.75v4", "M2.25 8h4", "M33.75 22h4"):
        assert start in svg, start


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", FORMATS)
def test_a_print_shops_sheet_has_gutters(paper, kind) -> None:
    """Between two pieces of a print shop's sheet lie the whole bleeds of both and white; marks fit in the margins."""
    plan = layout(PAPERS[paper], FORMATS[kind], shop=True)
    assert plan.bleed == 3.0
    assert plan.gap == 7.0
    lines = mark_lines(plan.block, [plan.cell(i) for i in range(plan.places)], plan.bleed)
    assert len(lines) >= 8
    for left, top, across, down in lines:
        assert 0 <= left <= left + across <= plan.paper.width
        assert 0 <= top <= top + down <= plan.paper.height


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", ["card", "tag", "set"])
@pytest.mark.parametrize("reading", [(0.8, -0.5), (-3.0, 2.25)])
def test_a_shift_undoes_what_a_printer_does(kind, paper, reading) -> None:
    """Where a printer puts backs off by the readings, seen from the front, each mark of the back then lies behind its own.

    Worked out from the marks in the PDF: mirrored about the sheet's middle, then moved as the printer would.
    """
    player, group = twins(2)
    make = {
        "card": lambda: [card_piece(FRAME, SHOP)],
        "tag": lambda: [tag_piece(FRAME, SHOP)],
        "set": lambda: list(set_pieces(player, group, SHOP)),
    }
    sides = list(pages(sheets(make[kind](), PAPERS[paper], shift=reading)))
    width, found = PAPERS[paper].width, []
    for number, side in enumerate(sides):
        ends = [
            (line["x0"] / MM, line["top"] / MM, line["x1"] / MM)
            for line in side.lines
            if abs(line["linewidth"] - 0.09 * MM) < 0.02
        ]
        seen = [(width - x1 + reading[0], top + reading[1]) if number else (x0, top) for x0, top, x1 in ends]
        found.append(sorted((round(x, 1), round(y, 1)) for x, y in seen))
    assert len(found[0]) == len(found[1]) >= 8
    for here, there in zip(*found, strict=True):
        assert here == pytest.approx(there, abs=0.11)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", ["card", "tag", "set"])
def test_a_folded_piece_has_both_sides_beside_each_other(kind, paper) -> None:
    """One page has front and back, no pixel of one beyond the fold, the code reads, and the fold is marked at both ends."""
    player, group = twins(2)
    make = {
        "card": lambda: [card_piece(FRAME, SHOP)],
        "tag": lambda: [tag_piece(FRAME, SHOP)],
        "set": lambda: list(set_pieces(player, group, SHOP)),
    }
    (piece,) = folded(make[kind]())
    data = sheets([piece], PAPERS[paper])
    (side,) = pages(data)
    plan = layout(PAPERS[paper], piece.format)
    cell = plan.cell(0)
    middle = cell.top + cell.height / 2 if cell.turn else cell.left + cell.width / 2
    dashes = [
        line for line in side.lines
        if abs((line["top"] if cell.turn else line["x0"]) / MM - middle) < 0.02 and abs(line["linewidth"] - 0.09 * MM) < 0.02
    ]  # fmt: skip
    assert len(dashes) == 6
    assert piece.number in text(data, 0) or kind == "set"
    assert len(codes(data, 0)) >= 1
    report = validation.validate_pdf_bytes(data, profile="ua1")
    assert report.is_compliant, report.failures


def test_what_has_no_back_is_not_folded() -> None:
    """A sticker is refused."""
    with pytest.raises(ValueError, match="two sides"):
        folded([sticker_piece(FRAME, SHOP)])


def test_halves_of_a_folded_piece_keep_their_languages() -> None:
    """Front and back of a card in another language than the document's first say so, both of them."""
    german = replace(FRAME, language="de")
    data = sheets(folded([card_piece(FRAME, SHOP), card_piece(german, SHOP)]), PAPERS["a4"])
    (whole,) = pypdf.PdfReader(io.BytesIO(data)).trailer["/Root"]["/StructTreeRoot"]["/K"]
    waiting, found = [whole.get_object()], []
    while waiting:
        element = waiting.pop(0)
        if element.get("/S") == "/Sect":
            found.append(element.get("/Lang"))
        else:
            kids = element.get("/K", [])
            waiting += [
                kid.get_object() for kid in (kids if isinstance(kids, list) else []) if hasattr(kid.get_object(), "get")
            ]
    assert found == [None, None, "de", "de"]


def test_a_notice_stands_in_the_margin() -> None:
    """The notice is on each side of a sheet, outside the pieces, at no less than 5.5 pt."""
    for piece in (card_piece(FRAME, SHOP), tag_piece(LONG, LONG_SHOP)):
        data = sheets([piece], PAPERS["a4"], notice=("Qfront", "Qback"))
        plan = layout(PAPERS["a4"], piece.format)
        for page, word in zip(pages(data), ("Qfront", "Qback"), strict=True):
            c = next(c for c in page.chars if c["text"] == "Q")
            assert max(c["width"], c["height"]) > 5.49
            assert word in text(data, page.page_number - 1).replace(" ", "")
            assert c["x1"] / MM < plan.block.left or c["bottom"] / MM < plan.block.top
            assert c["x0"] > 4.5 * MM and c["top"] > 4.5 * MM
