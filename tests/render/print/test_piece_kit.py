"""What holds for every printed piece: legible sizes, contrast, nothing over the cut or over anything else, vectors."""

import logging

import pytest
from cardfacts import EXTREMES, FRAME, SHOP
from printed import KINDS, made
from printread import MM, black_and_white, grounds, inked, overlaps, pages

from passport.render.print.card import card_pdf
from passport.render.print.piece_kit import READ_PT
from passport.render.theme import assets
from passport.render.theme.formats import LANGUAGES
from passport.render.theme.palette import contrast

LEAST = dict.fromkeys(KINDS, 5.5) | dict.fromkeys(("card", "tag", "set"), READ_PT)
"""The smallest print, pt: of what is read like a page, and of what is stuck on a racquet."""
SAFE = dict.fromkeys(KINDS, 1.9 * MM) | dict.fromkeys(("card", "tag", "set"), 3.0 * MM)
"""What text keeps from the cut, pt (common practice, no source: printers ask for 2 to 3 mm)."""
ALL = [(kind, extreme, "en") for kind in KINDS for extreme in EXTREMES] + [
    (kind, "ordinary", language) for kind in ("card", "tag", "set") for language in LANGUAGES if language != "en"
]

pytestmark = pytest.mark.usefixtures("lent")


@pytest.fixture(autouse=True)
def quiet(caplog):
    """WeasyPrint warns of nothing."""
    yield
    said = [r.getMessage() for r in caplog.records if r.name == "weasyprint" and r.levelno >= logging.WARNING]
    assert said == []


@pytest.mark.parametrize(("kind", "extreme", "language"), ALL)
def test_no_text_is_small(kind, extreme, language) -> None:
    """No letter is set smaller than 7 pt on card, tag and set, than 5.5 pt on stickers and wraps."""
    sizes = [char["size"] for page in pages(made(kind, extreme, language=language)) for char in page.chars]
    assert min(sizes) > LEAST[kind] - 0.01


@pytest.mark.parametrize(("kind", "extreme", "language"), ALL)
def test_text_keeps_from_the_cut(kind, extreme, language) -> None:
    """Every letter stays 3 mm inside the cut, on stickers and wraps 1.9 mm; on a disc, inside its circle."""
    safe = SAFE[kind]
    for page in pages(made(kind, extreme, language=language)):
        middle = page.width / 2
        for char in page.chars:
            x0, x1, low, high = inked(char)
            assert x0 > safe - 0.01 and x1 < page.width - safe + 0.01, char["text"]
            assert low > safe and high < page.height - safe, char["text"]
            if kind == "round":
                reach = max(abs(x - middle) for x in (x0, x1)), max(abs(y - middle) for y in (low, high))
                assert (reach[0] ** 2 + reach[1] ** 2) ** 0.5 < middle - safe


@pytest.mark.parametrize(("kind", "extreme", "language"), ALL)
def test_no_text_over_other_text(kind, extreme, language) -> None:
    """No two letters lie on each other."""
    for page in pages(made(kind, extreme, language=language)):
        assert overlaps(page) == []


@pytest.mark.parametrize("kind", KINDS)
def test_text_is_readable_in_colour_and_in_plain_black(kind) -> None:
    """Each letter has a contrast of 4.5 to its ground (WCAG 2.2, 1.4.3), and in plain black is not of its ground's side."""
    data = made(kind)
    for number in range(len(list(pages(data)))):
        for letter, ink, ground in grounds(data, number):
            assert contrast(ink, ground) >= 4.5, (letter, ink, ground)
            assert black_and_white(ink) != black_and_white(ground), (letter, ink, ground)


@pytest.mark.parametrize("kind", KINDS)
def test_pictures_are_vectors(kind) -> None:
    """A printed piece holds no raster picture, codes included."""
    for page in pages(made(kind)):
        assert page.images == []


def test_a_shop_may_replace_a_template(tmp_path) -> None:
    """A card template in the content folder stands in the place of the shipped one, and counts as used."""
    folder = tmp_path / "templates" / "card"
    folder.mkdir(parents=True)
    shipped = (assets.templates() / "card" / "card.html.j2").read_text(encoding="utf-8")
    (folder / "card.html.j2").write_text(shipped.replace("Racquet passport", "Racquet pedigree"), encoding="utf-8")
    plain = card_pdf(FRAME, SHOP)
    with assets.using(tmp_path), assets.noted() as names:
        own = card_pdf(FRAME, SHOP)
    said = ["".join(c["text"] for c in next(pages(data)).chars).casefold() for data in (plain, own)]
    assert "racquet pedigree" in said[1] and "racquet pedigree" not in said[0]
    assert {"card/card.html.j2", "card/kit.html.j2", "card/kit.css", "card/card.css", "style/fonts-print.css"} <= names
