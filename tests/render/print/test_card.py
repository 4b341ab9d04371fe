"""The printed card: all of the recipe on it, each thing in its place, whatever the names."""

import io
import logging
from dataclasses import replace

import pypdf
import pytest
from cardfacts import BARE, CROWDED, EXTREMES, FRAME, LONG, LONG_SHOP, SHOP, part
from hypothesis import given, settings
from hypothesis import strategies as st
from markupsafe import Markup
from printread import MM, codes, inked, pages, raster, text

from passport.physics.units import newtons_from_kg
from passport.render.drawing.qr import QrTooLarge
from passport.render.print import piece_kit
from passport.render.print.card import card_pdf, card_piece
from passport.render.theme.address import public_address
from passport.render.theme.formats import Formats
from passport.render.theme.wording import part_text


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


def plain(side: Markup) -> str:
    """The words of a side as its template gives them, before they are laid out."""
    return " ".join(side.striptags().replace("\u202f", " ").replace("\u00a0", " ").split())


def test_two_pages_one_title(made) -> None:
    """A card has a front and a back, and its title names it by number and label."""
    kind, data = made
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert len(reader.pages) == 2
    assert reader.metadata.title.startswith(EXTREMES[kind][0].number)


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
    """Every baseline is within 0.1 mm of a step of the grid, half of 1.125 mm, but for text set closer to find room."""
    for page in list(pages(made[1]))[: 1 if made[0] == "crowded" else 2]:
        for char in page.chars:
            steps = ((page.height - char["matrix"][5]) / MM - 2.915) / 0.5625
            assert abs(steps - round(steps)) * 0.5625 < 0.1, (char["text"], steps)


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


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("de", "Knotenlöcher längs 6 Herz; quer 5 Kopf"),
        ("fr", "Nœuds montants 6 cœur; travers 5 tête"),
        ("es", "Nudos verticales 6 corazón; horizontales 5 cabeza"),
    ],
)
def test_holes_are_named_in_the_players_language(language, said) -> None:
    """Skips and tie-offs that are written in the usual words stand on the card in the player's language."""
    bed = replace(FRAME.stringing, skips="mains 8 at throat and head", tie_offs="mains 6 throat; crosses 5 head")
    back = text(card_pdf(replace(FRAME, language=language, stringing=bed), SHOP), 1)
    assert said in back
    assert not {"mains", "crosses", "throat", "head"} & set(back.replace(";", " ").split())


@pytest.mark.parametrize("due", [FRAME.due, None], ids=["due", "no day"])
@pytest.mark.parametrize("language", ["en", "de", "es"])
def test_words_stand_in_the_middle_of_the_strip(language, due) -> None:
    """One line or two, the words on the yellow strip have about as much of it above them as below, within 1 mm."""
    back = list(pages(card_pdf(replace(FRAME, language=language, due=due), SHOP)))[1]
    strip = max((r for r in back.rects if r["width"] > 60 * MM), key=lambda r: r["top"])
    lines = [inked(c)[2:] for c in back.chars if c["x0"] > 25 * MM and c["top"] > strip["top"] - 1]
    above = back.height - strip["top"] - max(high for _, high in lines)
    below = min(low for low, _ in lines)
    assert above > 1.0 * MM and below > 1.4 * MM
    assert abs(above - below) < 1.3 * MM


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
    for each in LONG.parts:
        assert f"{each.mass:.1f} g" in back
        assert each.name in back
        assert each.place.text in back
    assert bed.skips in back and bed.tie_offs in back


def test_twelve_long_parts_are_all_on_the_card() -> None:
    """Parts that find no line of their own are set as running text: each with its mass and place, and the stencil too."""
    back = text(card_pdf(CROWDED, LONG_SHOP), 1)
    assert len(CROWDED.parts) == 12
    for each in CROWDED.parts:
        said = part_text(each, Formats("en"))
        assert f"{said.mass} {said.name}".replace("\u202f", " ") in back
        assert said.where.replace("\u202f", " ").replace("\u00a0", " ") in back
    bed = CROWDED.stringing
    for words in (bed.skips, bed.tie_offs, "Stencil fan, white", "2 pieces · 4 knots", "16 × 19"):
        assert words in back
    assert f"{sum(p.mass for p in CROWDED.parts):.1f} g in all" in back
    assert "more" not in back


_NAMES = st.text("abcdefghij klmnopqrstuvwxyz WMÖß&<", min_size=1, max_size=40).map(
    lambda t: " ".join(t.split()) or "x"
)
_PLACES = st.sampled_from(["along the handle", "inside the handle", "under the bumper", "throat", "butt cap"])


@settings(max_examples=40)
@given(st.lists(st.tuples(_NAMES, _PLACES, st.integers(1, 299)), max_size=10), _NAMES, _NAMES, st.booleans())
def test_nothing_of_the_recipe_is_cut(parts, tie_offs, stencil, long) -> None:
    """Whatever ten parts are called, their names, masses and places stand whole on the card, as do tie-offs and stencil."""
    fitted = tuple(part(name, "other", place, tenths / 10) for name, place, tenths in parts)
    frame = LONG if long else FRAME
    bed = replace(frame.stringing, tie_offs=tie_offs, stencil=stencil)
    back = plain(card_piece(replace(frame, parts=fitted, stringing=bed), SHOP).sides[1])
    for name, place, tenths in parts:
        for words in (name, place, f"{tenths / 10:.1f} g"):
            assert "".join(words.split()) in "".join(back.split()), words
    for words in (tie_offs, stencil):
        assert "".join(words.split()) in "".join(back.split()), words


def test_beyond_all_room_the_card_says_how_many_more() -> None:
    """Of thirty long parts the card says how many are missing, and the sum stays that of all."""
    many = tuple(
        part(f"Something with quite a long name, number {i}", "other", "throat", 0.1 * i) for i in range(1, 31)
    )
    back = text(card_pdf(replace(LONG, parts=many), SHOP), 1)
    shown = sum(f"number {i}, throat" in back for i in range(1, 31))
    assert 5 < shown < 30
    assert f"{30 - shown} more: on its page" in back
    assert "46.5 g in all" in back and "Tie-offs" in back and "Stencil" in back


def test_a_bare_frame_says_so() -> None:
    """A frame without stringing, parts, readings or jobs has a card that says so instead of empty tables."""
    data = card_pdf(BARE, SHOP)
    assert "No stringing recorded" in text(data, 0)
    for words in (
        "NO FIGURE RECORDED",
        "NO PART RECORDED",
        "No job recorded",
        "Restring at least as many times a year",
    ):
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


def code_of(data: bytes):
    """The code on the back, read from a raster at 300 dpi."""
    (found,) = codes(data, 1)
    return found


def test_code_leads_to_the_page(made) -> None:
    """The code on the raster is the public address, at level Q or H."""
    kind, data = made
    frame, shop = EXTREMES[kind]
    found = code_of(data)
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


def test_templates_are_read_once() -> None:
    """All cards of a language share one set of parsed templates."""
    card_piece(FRAME, SHOP)
    before = piece_kit._environment.cache_info().misses
    card_piece(LONG, SHOP)
    assert piece_kit._environment.cache_info().misses == before


def test_a_label_of_one_letter_reads_as_a_name() -> None:
    """The label stands in quotation marks on both sides."""
    data = card_pdf(replace(FRAME, label="I"), SHOP)
    assert "“I”" in text(data, 0) and "“I”" in text(data, 1)


def test_a_grip_is_never_lost_to_a_long_model() -> None:
    """Where maker, model and grip are too long for a line the grip stands beside the player."""
    front = text(card_pdf(LONG, SHOP), 0)
    assert "grip L3 and a half" in front and LONG.model in front and LONG.player in front


def test_long_strings_take_two_lines() -> None:
    """A string of 70 letters and its maker are printed whole."""
    mains = replace(
        FRAME.stringing.mains,
        name="Octagonal twisted black polyester with a soft core and a slick coating",
        maker="Lintwhite",
    )
    front = text(card_pdf(replace(FRAME, stringing=replace(FRAME.stringing, mains=mains)), SHOP), 0)
    assert f"{mains.name} · Lintwhite" in front


def test_bleed_runs_past_every_edge() -> None:
    """With bleed the dark panel, the light field and the yellow strip run 3 mm past the cut on their edges."""
    picture = raster(card_pdf(FRAME, SHOP, bleed=True), 1, 300)
    scale = 300 / 25.4
    edge = (picture.width / scale - 85.6) / 2
    left, low = (round((edge - 2.7) * scale), round((edge + 20) * scale)), (
        round((edge + 60) * scale), round((edge + 53.98 + 2.7) * scale),
    )  # fmt: skip
    white = (255, 255, 255)
    assert picture.getpixel(left) != white and picture.getpixel(low) != white
    assert picture.getpixel((round((edge - 3.4) * scale), round((edge + 20) * scale))) == white
