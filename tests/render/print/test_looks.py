"""The ready looks in print: each card, tag and sticker keeps the rules of the usual one, in typefaces of its own."""

from dataclasses import replace
from datetime import date

import pytest
from cardfacts import BARE, CROWDED, FRAME, LONG, LONG_SHOP, SHOP
from printread import MM, black_and_white, codes, grounds, inked, overlaps, pages, text

from passport.records.schema.workshop import READY
from passport.render.drawing.qr import LEAST_MODULE_MM
from passport.render.print import piece_kit
from passport.render.print.card import CARD, CODE_MM, LEAST_PT, card_pdf
from passport.render.print.sticker import sticker_pdf
from passport.render.print.tag import tag_pdf
from passport.render.sheets.label import SMALLEST, label_pdf
from passport.render.sheets.recovery import recovery_pdf
from passport.render.theme import assets
from passport.render.theme.address import public_address
from passport.render.theme.palette import contrast
from passport.workshop.orders.label import IntakeLabel, PullLine

SAFE = 3.0
"""What is printed keeps from the cut, mm, as in tests/render/print/test_card.py."""
PULL = PullLine("Mains", "51 lb", "23.1 kg", "Deep Petrol 1.25")
SEALED = replace(FRAME, sealed=True, secret="Q7ZK3M9XV2B4T8RWD5NHC6YFJAG1E0PS")
STATES = {
    "ordinary": (FRAME, SHOP), "long": (LONG, LONG_SHOP), "bare": (BARE, SHOP), "crowded": (CROWDED, LONG_SHOP),
    "sealed": (SEALED, LONG_SHOP), "lost": (replace(FRAME, status="lost", language="de"), SHOP),
}  # fmt: skip


@pytest.fixture(scope="module", params=assets.LOOKS)
def look(request):
    """A ready look, in use."""
    with assets.using(None, request.param):
        yield request.param


@pytest.fixture(scope="module", params=STATES)
def card(request, look):
    """A card in a look, read."""
    frame, shop = STATES[request.param]
    accent, second = READY[look]
    return list(pages(card_pdf(frame, replace(shop, accent=accent, second=second))))


def test_cards_keep_their_rules(card, look) -> None:
    """No letter is under 7 pt, within 3 mm of the cut, on another, or on the front across the edge of the panel."""
    for page in card:
        assert min(char["size"] for char in page.chars) > LEAST_PT - 0.01
        assert overlaps(page) == []
        for char in page.chars:
            x0, x1, low, high = inked(char)
            assert x0 > SAFE * MM - 0.1 and x1 < page.width - SAFE * MM + 0.1, char["text"]
            assert low > SAFE * MM - 0.1 and high < page.height - SAFE * MM + 0.1, char["text"]
    # The panel of the gauge stands on the left of the front.
    edge = 25.0 * MM if look == "gauge" else (CARD.width - 25.0) * MM
    assert all(char["x1"] < edge or char["x0"] > edge for char in card[0].chars)


def test_the_tensions_are_largest(look) -> None:
    """Both tensions stand in 22 pt, and nothing on the front is larger."""
    front = next(pages(card_pdf(FRAME, SHOP)))
    assert "".join(c["text"] for c in front.chars if abs(c["size"] - 22) < 0.01) == "2725"
    assert max(c["size"] for c in front.chars) == pytest.approx(22, abs=0.01)


def test_cards_say_what_the_usual_one_says(look) -> None:
    """Label, strings, both units of each tension, the due day on the front; what a rebuild needs on the back."""
    data = card_pdf(FRAME, SHOP)
    with assets.using(None, ""):
        usual = card_pdf(FRAME, SHOP)
    for side in (0, 1):
        told, wanted = (set(text(one, side).split()) for one in (data, usual))
        assert len(wanted & told) >= 0.93 * len(wanted), wanted - told


def test_codes_are_large_and_lead_to_the_page(look) -> None:
    """The code of card, tag and sticker is read, says the address, and has modules of 0.55 mm or more."""
    address = public_address(SHOP, FRAME.key)
    for data, side in ((card_pdf(FRAME, SHOP), 1), (tag_pdf(FRAME, SHOP), 0), (sticker_pdf(FRAME, SHOP), 0)):
        assert [found.text for found in codes(data, side)] == [address]
    (found,) = codes(card_pdf(FRAME, SHOP), 1)
    assert CODE_MM / (17 + 4 * int(found.extra["Version"]) + 8) >= LEAST_MODULE_MM


@pytest.mark.parametrize("kind", ["ordinary", "long"])
def test_tags_and_stickers_keep_their_rules(look, kind) -> None:
    """No letter of a tag or sticker is small, near the cut or on another."""
    frame, shop = STATES[kind]
    for data, least, safe in (
        (tag_pdf(frame, shop), piece_kit.READ_PT, SAFE),
        (sticker_pdf(frame, shop), piece_kit.LEAST_PT, 1.9),
    ):
        for page in pages(data):
            assert min((char["size"] for char in page.chars), default=9) > least - 0.01
            assert overlaps(page) == []
            for char in page.chars:
                x0, x1, low, high = inked(char)
                assert min(x0, low, page.width - x1, page.height - high) > safe * MM - 0.1, char["text"]


def test_the_label_is_set_in_the_looks_typefaces(look) -> None:
    """The label that hangs on a racquet while it waits has the look's own headings, nothing small and nothing overlapping."""
    label = IntakeLabel(
        code="1042-9",
        number="1042-9",
        owner="Juniper A.",
        label="I",
        promised=None,
        taken=None,
        pulls=(PULL,),
        work=("grip",),
        asked="",
        stop="",
    )
    for roll in ("62", "29"):
        (page,) = pages(label_pdf([label], roll))
        assert min(char["size"] for char in page.chars) > SMALLEST - 0.01
        assert overlaps(page) == []


def test_each_look_has_its_own_letters() -> None:
    """The same words run differently wide in the headings of each look: none is another's with other colours."""
    widths = set()
    for name in READY:
        with assets.using(None, "" if name == "weave" else name):
            page = next(pages(card_pdf(FRAME, SHOP)))
        letters = [c for c in page.chars if abs(c["size"] - 8) < 0.01]
        widths.add(round(sum(c["width"] for c in letters[:10]), 2))
    assert len(widths) == len(READY)


def test_the_label_is_arranged_as_the_looks_card_is(look) -> None:
    """The gauge has its code on the left as its card has its panel; gauge and pennant have the number white on a dark plate,
    the almanac, which has nothing dark, has none. The scanner reads the code of each."""
    label = IntakeLabel("1042-9", "1042-9", "Juniper A.", "I", date(2026, 12, 4), None, (PULL, PULL), ("grip",), "", "")
    for roll in ("62", "29"):
        data = label_pdf([label], roll)
        (page,) = pages(data)
        assert overlaps(page) == []
        (code,) = codes(data, 0)
        assert code.text == "1042-9"
        corner = code.position.top_left.x / 300 * 72
        assert (corner < page.width / 2) == (look == "gauge" or roll == "29")
        number = [found for found in grounds(data, 0) if found[0] in "1042-9"][:6]
        assert {black_and_white(ink) for _, ink, _ in number} == {look in ("gauge", "pennant")}
        for letter, ink, ground in grounds(data, 0):
            assert contrast(ink, ground) >= 4.5, letter


def test_the_recovery_sheet_follows_the_look(look) -> None:
    """Rules, heads and marks are the look's own; the words are the same, on one page, and each is readable."""
    asked = ("Halyard & Pine", "https://racquets.example", "ABCD-EFGH-JKMN-PQRS-TVWX-YZ12-34", date(2026, 12, 1))
    data = recovery_pdf(*asked)
    with assets.using(None, ""):
        usual = recovery_pdf(*asked)
    (page,), (plain,) = pages(data), pages(usual)
    assert sorted(text(data, 0).casefold().split()) == sorted(text(usual, 0).casefold().split())
    assert len(page.rects) + len(page.curves) + len(page.lines) != len(plain.rects) + len(plain.curves) + len(
        plain.lines
    )
    for letter, ink, ground in grounds(data, 0):
        assert contrast(ink, ground) >= 4.5, (letter, ink, ground)


@pytest.mark.parametrize("kind", ["style", "card", "bench", "day", "recovery", "label"])
def test_each_kind_of_document_has_rules_of_the_look(look, kind) -> None:
    """Pages, cards, sheets, labels: each is styled by a file of the look's own, and no two looks have the same."""
    texts = {
        (assets.templates() / "looks" / name / kind / "look.css").read_text(encoding="utf-8") for name in assets.LOOKS
    }
    assert len(texts) == len(assets.LOOKS)
    assert assets.with_look("style/fonts-print.css", f"{kind}/any.css")[-1] == f"{kind}/look.css"
