"""The sticker: a code and a number, square or round."""

from dataclasses import replace

import pytest
from cardfacts import EXTREMES, FRAME, SHOP
from printed import made
from printread import codes, pages, raster, text

from passport.render.drawing.qr import QrTooLarge
from passport.render.print.sticker import sticker_pdf
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
