"""The printed card: everything on it, nothing over the edge or over anything else, whatever the names."""

import io
import logging
import re
from dataclasses import replace

import pdfplumber
import pypdf
import pypdfium2
import pytest
import zxingcpp
from cardfacts import BARE, EXTREMES, FRAME, LONG, LONG_SHOP, SHOP

from passport.physics.units import newtons_from_kg
from passport.render import card
from passport.render.address import public_address
from passport.render.card import card_pdf
from passport.render.qr import QrTooLarge

MM = 72 / 25.4
SAFE = 1.9 * MM
"""What text keeps from the cut, pt (common practice, no source: printers ask for 2 to 3 mm)."""


@pytest.fixture(autouse=True)
def quiet(caplog):
    """WeasyPrint warns of nothing."""
    yield
    said = [r.getMessage() for r in caplog.records if r.name == "weasyprint" and r.levelno >= logging.WARNING]
    assert said == []


@pytest.fixture(scope="module", params=EXTREMES)
def made(request) -> tuple[str, bytes]:
    """The card of one kind of frame, with the kind's name."""
    frame, shop = EXTREMES[request.param]
    return request.param, card_pdf(frame, shop)


def pages(data: bytes):
    """The pages as pdfplumber reads them."""
    with pdfplumber.open(io.BytesIO(data)) as document:
        yield from document.pages


def text(data: bytes, page: int) -> str:
    """The words of a page in the order of the document, spaces made plain."""
    content = pypdf.PdfReader(io.BytesIO(data)).pages[page].extract_text()
    return " ".join(content.replace("\u202f", " ").split())


def inked(char) -> tuple[float, float, float, float]:
    """The box of a letter from its baseline to the height of a capital: x0, x1, low, high, pt from the bottom left."""
    base = char["matrix"][5]
    return char["x0"], char["x1"], base, base + 0.7 * char["size"]


def test_two_pages_one_title(made) -> None:
    """A card has a front and a back, and its title names it by number and label."""
    kind, data = made
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert len(reader.pages) == 2
    assert reader.metadata.title.startswith(EXTREMES[kind][0].number)


def test_no_text_is_smaller_than_5_5_pt(made) -> None:
    """No letter is set smaller than 5.5 pt."""
    sizes = [char["size"] for page in pages(made[1]) for char in page.chars]
    assert min(sizes) > 5.49


def test_text_keeps_from_the_cut(made) -> None:
    """Every letter stays 1.9 mm inside the cut."""
    for page in pages(made[1]):
        for char in page.chars:
            x0, x1, low, high = inked(char)
            assert x0 > SAFE - 0.01 and x1 < page.width - SAFE + 0.01, char["text"]
            assert low > SAFE and high < page.height - SAFE, char["text"]


def test_no_text_over_other_text(made) -> None:
    """No two letters lie on each other."""
    for page in pages(made[1]):
        boxes = sorted((inked(c), c["text"]) for c in page.chars if not c["text"].isspace())
        for i, ((x0, x1, low, high), letter) in enumerate(boxes):
            for (x2, x3, low2, high2), other in boxes[i + 1 :]:
                if x2 >= x1:
                    break
                wide, tall = min(x1, x3) - x2, min(high, high2) - max(low, low2)
                assert not (wide > 0.8 and tall > 0.3), (letter, other, x0, low)


def test_text_stays_on_its_side_of_the_panel(made) -> None:
    """No letter crosses the perforation between the light field and the dark panel."""
    edge = {0: 60.6 * MM, 1: 25.0 * MM}
    for number, page in enumerate(pages(made[1])):
        for char in page.chars:
            assert char["x1"] < edge[number] - MM or char["x0"] > edge[number] + MM, char["text"]


def test_nothing_runs_into_the_strip(made) -> None:
    """On the back no line but the last two touches the yellow strip."""
    back = list(pages(made[1]))[1]
    strip = max((r for r in back.rects if r["width"] > 60 * MM), key=lambda r: r["top"])
    for char in back.chars:
        _, x1, low, high = inked(char)
        inside = back.height - strip["top"] > high
        assert inside or x1 < 25 * MM or back.height - low < strip["top"] - 0.5, char["text"]


def test_baselines_stand_on_the_grid(made) -> None:
    """Every baseline is within 0.1 mm of a step of the grid, half of 1.125 mm."""
    for page in pages(made[1]):
        for char in page.chars:
            steps = ((page.height - char["matrix"][5]) / MM - 2.915) / 0.5625
            assert abs(steps - round(steps)) * 0.5625 < 0.1, (char["text"], steps)


def test_pictures_are_vectors(made) -> None:
    """A card holds no raster picture, the code included."""
    for page in pages(made[1]):
        assert page.images == []
        assert len(page.curves) > 20


def test_front_says_what_must_be_found_again() -> None:
    """The front has number, label, player, sport, model, and both strings with gauge and tension in lb and kg."""
    front = text(card_pdf(FRAME, SHOP), 0)
    for words in (
        "1042-9", "Match 1", "Mara T.", "Squash", "Corvina Aria 130", "Halyard & Pine", "Tessera Soft", "1.20 mm",
        "27 lb", "12.2 kg", "25 lb", "11.3 kg", "12 Oct 2026",
    ):  # fmt: skip
        assert words.casefold() in front.casefold(), words


def test_back_says_how_to_build_it() -> None:
    """The back has the figures with targets and tolerance, each part with mass and place, the pattern, the contact."""
    back = text(card_pdf(FRAME, SHOP), 1)
    for words in (
        "152.4", "152.0 ± 1.0", "352.5", "352.0 ± 2.0", "3.0 pt HH", "165.9", "164.0 ± 1.5", "13.5 g", "2.4 g",
        "Lead-free tape 6 mm", "2 × 90 mm, 10 and 2 o’clock", "Handle silicone", "inside the handle", "14 × 18",
        "1 piece", "2 knots", "Mains start at the throat, crosses at the head", "Skips 7T 9T, 7H 9H", "Tie-offs 8T, 5H",
        "Stencil fan, white", "Restring by 11 February 2027", "Last job 12 Oct 2026", "bench@", "halyard-pine.example",
        "01632 960417", "Old Ropewalk",
    ):  # fmt: skip
        assert words in back, words
    assert "Twistweight" not in back


def test_names_of_forty_letters_are_whole() -> None:
    """Labels, players and strings of 40 letters are printed whole, and six parts each with their mass and place."""
    data = card_pdf(LONG, LONG_SHOP)
    front, back = text(data, 0), text(data, 1)
    bed = LONG.stringing
    assert len(LONG.label) == 40 and len(bed.crosses.name) == 40
    for words in (
        LONG.number,
        LONG.label,
        LONG.player,
        bed.mains.name,
        bed.crosses.name,
        "pre-stretch 10 %",
        "23.6 kg",
    ):
        assert words in front, words
    assert len(LONG.parts) == 6
    for part in LONG.parts:
        assert f"{part.mass:.1f} g" in back
        assert part.name[:30] in back
        assert part.place in back
    assert bed.skips in back and bed.tie_offs in back


def test_more_parts_than_lines_share_the_last() -> None:
    """Where there are more parts than lines, the last line counts the rest and the sum stays that of all."""
    frame, shop = EXTREMES["crowded"]
    back = text(card_pdf(frame, shop), 1)
    assert re.search(r"\b7 more: ", back)
    assert f"{sum(p.mass for p in frame.parts):.1f} g in all" in back


def test_a_bare_frame_says_so() -> None:
    """A frame without stringing, parts, readings or jobs has a card that says so instead of empty tables."""
    data = card_pdf(BARE, SHOP)
    assert "Not strung yet" in text(data, 0)
    for words in ("NOT MEASURED YET", "NOTHING FITTED", "No job yet", "Restring at least as many times a year"):
        assert words.casefold() in text(data, 1).casefold()


def test_written_unit_comes_first() -> None:
    """The tension's own unit is the large one and that of the frame's limit comes first."""
    in_kg = replace(FRAME.stringing.mains, tension=newtons_from_kg(12), written="12 kg")
    frame = replace(FRAME, stringing=replace(FRAME.stringing, mains=in_kg))
    front = next(pages(card_pdf(frame, SHOP)))
    largest = [c["text"] for c in front.chars if c["size"] > 15 and c["size"] < 20]
    assert "".join(largest).startswith("12.0")
    assert "Frame limit 13.6 kg / 30 lb" in text(card_pdf(frame, SHOP), 0)


def test_markup_in_names_is_text() -> None:
    """Angle brackets, ampersands and template marks in a name are printed, never read."""
    frame = replace(FRAME, label="<b>&amp; {{ 7*7 }}</b>", player="A < B & C")
    front = text(card_pdf(frame, SHOP), 0)
    assert "<b>&amp; {{ 7*7 }}</b>" in front and "A < B & C" in front


def code_of(data: bytes, *, bilevel: bool = False):
    """The code on the back, read from a raster at 300 dpi; ``bilevel`` prints in plain black first."""
    picture = pypdfium2.PdfDocument(data)[1].render(scale=300 / 72).to_pil().convert("L")
    if bilevel:
        picture = picture.point(lambda level: 255 if level > 127 else 0)
    (found,) = zxingcpp.read_barcodes(picture)
    return found


@pytest.mark.parametrize("bilevel", [False, True])
def test_code_leads_to_the_page(made, bilevel) -> None:
    """The code on the raster, in colour and in plain black, is the public address, at level Q or H."""
    kind, data = made
    frame, shop = EXTREMES[kind]
    found = code_of(data, bilevel=bilevel)
    assert found.text == public_address(shop, frame.key)
    assert found.ec_level in ("Q", "H")


def test_code_of_an_address_with_a_path() -> None:
    """A path in small letters keeps them, and the code is still read."""
    shop = replace(SHOP, address="https://workshop-on-the-harbour.halyard-pine.example/passports/of-players")
    assert code_of(card_pdf(FRAME, shop)).text == public_address(shop, FRAME.key)


def test_an_address_too_long_for_the_card_is_refused() -> None:
    """An address that would need modules below 0.4 mm is an error, not an unreadable code."""
    with pytest.raises(QrTooLarge):
        card_pdf(FRAME, replace(SHOP, address="https://halyard.example/" + "a-long-way-down/" * 8))


def test_each_number_has_its_own_ornament() -> None:
    """Cards with different numbers differ in their ornament, and the same number gives the same card."""
    other = replace(FRAME, number="1042-7")
    first, again, second = card_pdf(FRAME, SHOP), card_pdf(FRAME, SHOP), card_pdf(other, SHOP)
    curves = [len(next(pages(data)).curves) for data in (first, second)]
    assert first == again
    assert curves[0] != curves[1] or first != second


def test_one_template_for_the_process() -> None:
    """The template is compiled once."""
    assert card._template() is card._template()
