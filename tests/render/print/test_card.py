"""The printed card: all of the recipe on it, each thing in its place, whatever the names."""

import io
import itertools
import logging
import re
from dataclasses import replace
from datetime import date

import pypdf
import pytest
from cardfacts import BARE, CROWDED, EXTREMES, FRAME, LONG, LONG_SHOP, SHOP, part, specs
from hypothesis import given, settings
from hypothesis import strategies as st
from markupsafe import Markup
from printread import MM, codes, inked, overlaps, pages, raster, text

from passport.physics.units import newtons_from_kg
from passport.render.charts.figures import numbered
from passport.render.drawing.qr import GOOD_MODULE_MM, QrTooLarge, qr_matrix
from passport.render.print import piece_kit
from passport.render.print.card import CODE_MM, LEAST_PT, SEALED_MM, card_pdf, card_piece
from passport.render.theme.address import public_address
from passport.render.theme.formats import LANGUAGES, Formats
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
    edge = {0: 60.6 * MM, 1: (CODE_MM + 2.4) * MM}
    for number, page in enumerate(pages(made[1])):
        for char in page.chars:
            assert char["x1"] < edge[number] - 0.9 * MM or char["x0"] > edge[number] + MM, char["text"]


def test_no_letter_stands_on_the_edge_of_the_light_field(made) -> None:
    """On either side each letter is on the light field or above it, never across its edge."""
    for page in pages(made[1]):
        field = page.height - min(r["top"] for r in page.rects if r["width"] > 60 * MM)
        for char in page.chars:
            _, _, low, high = inked(char)
            assert high < field - 0.3 or low > field + 0.3 or char["non_stroking_color"] == (1, 1, 1), char["text"]


SEALED = replace(FRAME, sealed=True, secret="Q7ZK3M9XV2B4T8RWD5NHC6YFJAG1E0PS")
SAFE = 3.0
"""What is printed keeps from the cut, mm (print shops ask for 2 to 3 mm; common practice, no source)."""
STATES = EXTREMES | {
    "sealed": (SEALED, SHOP), "sealed, crowded": (replace(CROWDED, sealed=True, secret=SEALED.secret), LONG_SHOP),
    "broken": (replace(LONG, status="broken"), SHOP), "no day": (replace(FRAME, due=None), LONG_SHOP),
}  # fmt: skip


@pytest.fixture(
    scope="module", params=[*((state, "en") for state in STATES), *(("ordinary", f) for f in LANGUAGES[1:])]
)
def printed(request, lent):
    """The pages of the card of a frame in some state, in some language."""
    state, language = request.param
    frame, shop = STATES[state]
    return list(pages(card_pdf(replace(frame, language=language), shop)))


def test_no_letter_is_small(printed) -> None:
    """No letter of a card, in whatever state and language, is smaller than 7 pt."""
    assert min(char["size"] for page in printed for char in page.chars) > LEAST_PT - 0.01


def test_all_letters_keep_three_millimetres_from_the_cut(printed) -> None:
    """Every letter, its tail below the baseline included, is 3 mm inside the cut, and so is every dark module."""
    for page in printed:
        for char in page.chars:
            x0, x1, low, high = inked(char)
            tail = 0.2 * char["size"] if char["text"] in "gjpqyQ,;()" else 0.0
            assert x0 > SAFE * MM - 0.1 and x1 < page.width - SAFE * MM + 0.1, char["text"]
            assert low - tail > SAFE * MM - 0.1 and high < page.height - SAFE * MM + 0.1, char["text"]


def test_no_letter_lies_on_another(printed) -> None:
    """No two letters of a card lie on each other, in whatever state and language."""
    for page in printed:
        assert overlaps(page) == []


def test_the_pull_is_the_largest_print() -> None:
    """Both tensions stand in 22 pt, more than twice the number's size, and nothing on the front is larger."""
    front = next(pages(card_pdf(FRAME, SHOP)))
    sizes = {size: "".join(c["text"] for c in front.chars if abs(c["size"] - size) < 0.01) for size in (22, 9)}
    assert sizes[22] == "2725" and FRAME.number in sizes[9]
    assert max(c["size"] for c in front.chars) == pytest.approx(22, abs=0.01)


@pytest.mark.parametrize(("frame", "side"), [(FRAME, CODE_MM), (SEALED, SEALED_MM)], ids=["open", "sealed"])
def test_modules_come_first(frame, side) -> None:
    """A module is 0.65 mm wide or more, and of the levels that have such modules the highest is taken."""
    (found,) = codes(card_pdf(frame, SHOP), 1)
    modules = 17 + 4 * int(found.extra["Version"]) + 8
    assert side / modules >= GOOD_MODULE_MM - 1e-9
    higher = {"Q": "H", "H": None}[found.ec_level]
    assert higher is None or qr_matrix(found.text).module_mm(side) < GOOD_MODULE_MM


def test_baselines_stand_on_the_grid(made) -> None:
    """Every baseline is within 0.1 mm of a step of the grid, half of 1.125 mm, but for text set closer to find room."""
    for page in list(pages(made[1]))[: 0 if made[0] in ("crowded", "long") else 2]:
        for char in page.chars:
            steps = ((page.height - char["matrix"][5]) / MM - 2.915) / 0.5625
            assert abs(steps - round(steps)) * 0.5625 < 0.1, (char["text"], steps)


def test_front_says_what_must_be_found_again() -> None:
    """The front has number, label, player, sport, model, and both strings with gauge and tension in lb and kg."""
    front = text(card_pdf(FRAME, SHOP), 0)
    for words in (
        "1042-9", "Match 1", "Mara T.", "Squash", "Corvina Aria 130", "Halyard & Pine", "Tessera Soft", "1.20 mm",
        "27 lb", "12.2 kg", "25 lb", "11.3 kg", "12 Oct 2026",
        "Restring by 11 February 2027", "Frame limit 30 lb / 13.6 kg",
    ):  # fmt: skip
        assert words.casefold() in front.casefold(), words


def test_back_says_how_to_build_it() -> None:
    """The back has the figures with targets and tolerance, each part with mass and place, the pattern, the contact."""
    back = text(card_pdf(FRAME, SHOP), 1)
    for words in (
        "152.4", "152.0 ± 1.0", "352.5", "352.0 ± 2.0", "165.9", "164.0 ± 1.5", "13.5 g", "2.4 g",
        "Lead-free tape 6 mm", "2 × 90 mm, 10 and 2 o’clock", "Handle silicone", "inside the handle", "14 × 18",
        "1 piece", "2 knots", "Mains start at the throat, crosses at the head", "Skips 7T 9T, 7H 9H", "Tie-offs 8T, 5H",
        "Stencil fan, white", "bench@", "halyard-pine.example",
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
def test_what_to_do_stands_whole_at_the_foot_of_the_front(language, due) -> None:
    """The day to restring by, or the rule without a day, is cut in no language, on one line or two, beside the day strung."""
    front = text(card_pdf(replace(FRAME, language=language, due=due), SHOP), 0)
    words = Formats(language).words.gettext
    rule = words("Restring at least as many times a year as you play a week")
    days = [Formats(language).day(due), Formats(language).short_day(due)]
    said = [words("Restring by %(day)s") % {"day": day} for day in days] if due else [rule]
    squeezed = "".join(front.split())
    assert any("".join(each.split()).replace("\u00a0", "") in squeezed for each in said)
    assert words("Strung %(day)s") % {"day": Formats(language).short_day(FRAME.stringing.date)} in front


def test_a_day_is_not_broken_and_stands_clear_of_the_rule() -> None:
    """In French the day takes a line of its own, whole, and no letter of the two lines touches the rule above them."""
    front = next(pages(card_pdf(replace(FRAME, language="fr", due=date(2027, 1, 1)), SHOP)))
    lines = [line for line in front.extract_text_lines() if line["top"] / MM > 45]
    assert "tard le" in lines[0]["text"] and lines[1]["text"].startswith("1ᵉʳ janv. 2027"), lines
    assert min(inked(char)[3] for char in lines[0]["chars"]) < (53.98 - 44.75 - 0.8) * MM


def test_an_address_takes_the_line_that_there_is_room_for() -> None:
    """The address of a German card, whose invitation takes two lines, is whole in two lines of its own."""
    shop = replace(SHOP, visit="The Old Ropehouse, 3 Tannery Yard, Quillmoor")
    said = text(card_pdf(replace(FRAME, language="de"), shop), 1)
    assert "The Old Ropehouse, 3 Tannery Yard, Quillmoor" in said and "ganze Geschichte" in said


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
    assert "grip L3 and a half" in back and bed.skips in back
    assert "4 more: on the tag" in back, "tie-offs, stencil, frame limit and note"


def test_what_finds_no_room_at_seven_points_is_counted() -> None:
    """Of twelve long parts those that stand on the card are whole, the rest are counted; the bed and the sum stay."""
    back = text(card_pdf(CROWDED, LONG_SHOP), 1)
    shown = []
    for each in CROWDED.parts:
        said = part_text(each, Formats("en"), grips_placed=False)
        words = f"{said.mass} {said.name}, {said.where}".removesuffix(", ")
        shown.append(words.replace("\u202f", " ").replace("\u00a0", " ") in back)
    assert 3 < sum(shown) < 12
    assert f"{12 - sum(shown) + 6} more: on the tag" in back
    for words in ("2 pieces · 4 knots", "16 × 19", "Mains start at the throat", "Read "):
        assert words in back or words == "Read "
    assert f"{sum(p.mass for p in CROWDED.parts):.1f} g in all" in back


_NAMES = st.text("abcdefghij klmnopqrstuvwxyz WMÖß&<", min_size=1, max_size=40).map(
    lambda t: " ".join(t.split()) or "x"
)
_PLACES = st.sampled_from(["along the handle", "inside the handle", "under the bumper", "throat", "butt cap"])


@settings(max_examples=40)
@given(st.lists(st.tuples(_NAMES, _PLACES, st.integers(1, 299)), max_size=10), _NAMES, _NAMES, st.booleans())
def test_nothing_of_the_recipe_is_cut(parts, tie_offs, stencil, long) -> None:
    """Whatever ten parts are called, each is whole on the card with mass and place or counted as on the tag, and the last
    named go first: as many as are counted are missing, no more."""
    fitted = tuple(part(name, "other", place, tenths / 10) for name, place, tenths in parts)
    frame = LONG if long else FRAME
    bed = replace(frame.stringing, tie_offs=tie_offs, stencil=stencil)
    back = plain(card_piece(replace(frame, parts=fitted, stringing=bed), SHOP).sides[1])
    squeezed = "".join(back.split())
    counted = re.search(r"(\d+)more:onthetag", squeezed)
    last = [f"Stencil {stencil}, white", f"Tie-offs {tie_offs}", f"Skips {bed.skips}"]
    ranked = [*([frame.note.strip()] if frame.note.strip() else []), *last, *(["grip L3 and a half"] if long else [])]
    # Parts in the order in which the card has them, the heaviest name first to go being the last.
    ordered = [f"{p.mass} {p.name}, {p.where}" for p in shown_parts(replace(frame, parts=fitted))]
    missing = [w for w in (*ranked, *reversed(ordered)) if "".join(w.split()) not in squeezed]
    assert len(missing) <= (int(counted[1]) if counted else 0), missing


def shown_parts(frame):
    """The parts of a frame in words, in the order of the card."""
    return [part_text(each, Formats("en"), grips_placed=False) for _, each in numbered(frame)]


def test_beyond_all_room_the_card_says_how_many_more() -> None:
    """Of thirty long parts the card says how many are missing, and the sum stays that of all."""
    many = tuple(
        part(f"Something with quite a long name, number {i}", "other", "throat", 0.1 * i) for i in range(1, 31)
    )
    back = text(card_pdf(replace(LONG, parts=many), SHOP), 1)
    shown = sum(f"number {i}, throat" in back for i in range(1, 31))
    assert 3 < shown < 30
    assert f"{30 - shown + 6} more: on the tag" in back
    assert "46.5 g in all" in back and "16 × 19 · 2 pieces · 4 knots" in back


def test_a_bare_frame_says_so() -> None:
    """A frame without stringing, parts, readings or jobs has a card that says so instead of empty tables."""
    data = card_pdf(BARE, SHOP)
    assert "No stringing recorded" in text(data, 0)
    for words in ("NO FIGURE RECORDED", "NO PART RECORDED"):
        assert words.casefold() in text(data, 1).casefold()
    for words in ("No job recorded", "Restring at least as many times a year"):
        assert words in text(data, 0)


def test_written_unit_comes_first() -> None:
    """The tension's own unit is the large one and that of the frame's limit comes first."""
    in_kg = replace(FRAME.stringing.mains, tension=newtons_from_kg(12), written="12 kg")
    frame = replace(FRAME, stringing=replace(FRAME.stringing, mains=in_kg))
    front = next(pages(card_pdf(frame, SHOP)))
    largest = [c["text"] for c in front.chars if c["size"] > 20 and c["size"] < 25]
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
    """Where maker, model and grip are too long for a line the grip stands on the back, before all that is not needed."""
    data = card_pdf(replace(LONG, parts=LONG.parts[:3]), SHOP)
    assert LONG.model in text(data, 0) and LONG.player in text(data, 0)
    assert "grip L3 and a half" in text(data, 1) and "grip" not in text(data, 0)


def test_long_strings_run_on_from_their_heading() -> None:
    """A string of 70 letters is printed whole in three lines, and what finds no room beside it is counted."""
    mains = replace(
        FRAME.stringing.mains,
        name="Octagonal twisted black polyester with a soft core and a slick coating",
        maker="Lintwhite",
    )
    front = text(card_pdf(replace(FRAME, stringing=replace(FRAME.stringing, mains=mains)), SHOP), 0)
    assert f"{mains.name} · 1 more: on the tag" in front or f"{mains.name} · Lintwhite" in front


def test_bleed_runs_past_every_edge() -> None:
    """With bleed the dark panel and the light field run 3 mm past the cut on their edges."""
    picture = raster(card_pdf(FRAME, SHOP, bleed=True), 1, 300)
    scale = 300 / 25.4
    edge = (picture.width / scale - 85.6) / 2
    left, low = (round((edge - 2.7) * scale), round((edge + 20) * scale)), (
        round((edge + 60) * scale), round((edge + 53.98 + 2.7) * scale),
    )  # fmt: skip
    white = (255, 255, 255)
    assert picture.getpixel(left) != white and picture.getpixel(low) != white
    assert picture.getpixel((round((edge - 3.4) * scale), round((edge + 20) * scale))) == white


@pytest.mark.parametrize("language", ["en", "de", "fr"])
def test_a_figure_keeps_apart_from_its_target(language) -> None:
    """Wide tolerances and a balance in points leave 0.7 mm between what was read, its target and their headings."""
    wide = specs((330.2, 330.0, 12.0, "inside"), (320.0, 318.0, 12.5, "inside"), (318.0, 318.0, 12.0, "inside"))
    points = replace(
        wide[1], value=320.8, target_points=7.2, tolerance=2.0, read=320.8, read_points=7.0, uncertainty=1.4
    )
    for shown, before in ((wide, (1, 1, 1)), ((wide[0], points), (1, 3)), ((points,), (3,))):  # words before the sign
        _, back = pages(card_pdf(replace(FRAME, specs=shown, language=language), SHOP))
        assert overlaps(back) == []
        signs = sorted((char for char in back.chars if char["text"] == "±"), key=lambda char: char["top"])
        for sign, words in zip(signs, before, strict=False):
            row = [c for c in back.chars if abs(c["top"] - sign["top"]) < 0.5 and not c["text"].isspace()]
            row = sorted((c for c in row if 30 * MM < c["x0"] <= sign["x0"]), key=lambda char: char["x0"])
            gaps = [after["x0"] - one["x1"] for one, after in itertools.pairwise(row)]
            apart = [gap for gap in gaps if gap > 0.2 * MM]
            assert apart[-1 - words] > 0.7 * MM
