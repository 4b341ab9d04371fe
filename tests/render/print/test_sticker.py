"""The sticker: a code and a number, square or round."""

import math
from dataclasses import replace

import pytest
from cardfacts import EXTREMES, FRAME, SHOP
from printed import made
from printread import MM, codes, inked, pages, raster, text

from passport.render.drawing.qr import QrTooLarge
from passport.render.print.sticker import ROUND_MM, WRAP, sticker_pdf, wrap_pdf
from passport.render.theme.address import public_address


@pytest.mark.parametrize("kind", ["sticker", "round"])
@pytest.mark.parametrize("extreme", EXTREMES)
def test_code_and_number(kind, extreme) -> None:
    """A sticker has the page's code at level Q or H and the number, whole, and nothing else."""
    frame, shop = EXTREMES[extreme]
    data = made(kind, extreme)
    (found,) = codes(data, 0)
    assert found.text == public_address(shop, frame.key)
    assert found.ec_level in ("Q", "H")
    assert text(data, 0) == frame.number
    assert len(list(pages(data))) == 1


def test_a_round_one_is_cut_to_a_disc() -> None:
    """Beyond the disc the paper stays white; with bleed the print runs 3 mm past it all round."""
    plain = raster(made("round"), 0)
    white = (255, 255, 255)
    assert plain.getpixel((6, 6)) == white and plain.getpixel((plain.width // 2, 6)) != white
    wide = raster(made("round", bleed=True), 0)
    scale, middle = 300 / 25.4, wide.width / 2
    for reach, printed in ((24 + 2.7, True), (24 + 3.3, False)):
        corner = middle + reach * scale / 2**0.5
        assert (wide.getpixel((round(corner), round(corner))) != white) is printed


def test_an_address_too_long_is_refused() -> None:
    """An address whose modules would be below 0.4 mm is an error, not an unreadable code."""
    with pytest.raises(QrTooLarge):
        sticker_pdf(FRAME, replace(SHOP, address="https://halyard.example/" + "a-long-way-down/" * 20))


SHAFT = 7.0
"""How thick a badminton shaft is, mm (common practice, no source)."""


@pytest.mark.parametrize("extreme", EXTREMES)
def test_a_wrap_goes_round_a_shaft(extreme) -> None:
    """All lines of a wrap lie on one turn round a shaft of 7 mm, none smaller than 7 pt; the rest sticks on the other end."""
    (page,) = pages(made("wrap", extreme))
    heights = [height for char in page.chars for height in inked(char)[2:]]
    assert max(heights) - min(heights) <= math.pi * SHAFT * MM and math.pi * SHAFT == pytest.approx(ROUND_MM, abs=0.05)
    assert WRAP.height >= ROUND_MM + 3 and min(heights) > (WRAP.height - ROUND_MM - 3) * MM
    assert min(char["size"] for char in page.chars) > 6.99


def test_a_wrap_says_which_and_how_strung() -> None:
    """A wrap has label, number, both strings with both units, the day to restring by, the shop, and the page's code."""
    data = made("wrap")
    for words in (
        "“Match 1”", "1042-9", "Mains Tessera Soft", "27 lb / 12.2 kg", "Crosses Tessera Soft", "25 lb / 11.3 kg",
        "Restring by 11 Feb 2027", "Halyard & Pine", "01632 960417",
    ):  # fmt: skip
        assert words in text(data, 0), words
    (found,) = codes(data, 0)
    assert found.text == public_address(SHOP, FRAME.key)


def test_a_bare_wrap_says_what_nobody_recorded() -> None:
    """Without a stringing and a due day a wrap says the first and is silent of the second."""
    said = text(wrap_pdf(EXTREMES["bare"][0], SHOP), 0)
    assert "No stringing recorded" in said and "Restring" not in said
