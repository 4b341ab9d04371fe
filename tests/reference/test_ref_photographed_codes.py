"""Printed codes as telephones photograph them, read by another package (zxing-cpp).

The pictures are simulated from a raster of the print at 300 dots per inch, see photographs.py; their seeds are fixed.
``bash .dev/photographs`` takes 200 pictures of each, here the first 60 of them are held to the same share.
"""

import os
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import zxingcpp
from cardfacts import FRAME, SHOP
from photographs import QUIET, covered, photograph
from printed import made, twins
from printread import raster

from passport.render.drawing.qr import LEAST_MODULE_MM
from passport.render.print.card import card_pdf
from passport.render.print.recipe import recipe_code
from passport.render.print.setcard import RECIPE_MM as SET_RECIPE_MM
from passport.render.print.tag import RECIPE_MM
from passport.render.theme.address import public_address

PICTURES = int(os.environ.get("PASSPORT_PHOTOGRAPHS", "60"))
LEAST = 0.95
"""Share of the pictures that must be read with nothing and with a tenth of the symbol covered."""
DPI = 300
SQUARES = {
    "card": ("card", 1, (1.0, 1.0, 27.0)),
    "sticker": ("sticker", 0, (1.0, 1.0, 32.0)),
    "sealed": ("card", 1, (1.0, 1.0, 32.0)),
    "recipe": ("tag", 1, (2.0, 25.6, 56.0)),
    "set": ("set", 1, (3.0, 21.5, 48.5)),
}
"""Kind of piece, its page, and left, top and side in mm of the square in which the code stands."""
SEALED = replace(FRAME, sealed=True, secret="Q7ZK3M9XV2B4T8RWD5NHC6YFJAG1E0PS")
"""A frame whose code holds the secret of its page as well: a longer text, finer modules."""


@cache
def square(name: str) -> np.ndarray:
    """The square of a code in grey."""
    kind, page, box = SQUARES[name]
    left, top, side = (round(v * DPI / 25.4) for v in box)
    data = card_pdf(SEALED, SHOP) if name == "sealed" else made(kind)
    return np.asarray(raster(data, page, DPI).convert("L"))[top : top + side, left : left + side]


def wanted(name: str) -> str:
    """What the code says."""
    if name == "recipe":
        return recipe_code(FRAME, RECIPE_MM)[0]
    if name == "set":
        return recipe_code(twins(3)[1].frames[0], SET_RECIPE_MM)[0]
    return public_address(SHOP, FRAME.key, SEALED.secret if name == "sealed" else "")


def modules(name: str) -> int:
    """Modules on a side: 17 + 4·v for version v (ISO/IEC 18004)."""
    (found,) = zxingcpp.read_barcodes(square(name))
    assert found.ec_level in (("M", "Q", "H") if name in ("recipe", "set") else ("Q", "H"))
    return 17 + 4 * int(found.extra["Version"])


def read(name: str, soil: Callable[[np.ndarray, np.random.Generator], np.ndarray]) -> float:
    """The share of the pictures that are read; none may be read wrongly."""
    good = 0
    for seed in range(PICTURES):
        rng = np.random.default_rng([seed, len(name)])
        seen = photograph(soil(square(name), rng), rng)
        texts = [found.text for found in zxingcpp.read_barcodes(seen, formats=zxingcpp.BarcodeFormat.QRCode)]
        assert texts in ([], [wanted(name)])
        good += bool(texts)
    return good / PICTURES


@pytest.mark.parametrize("name", SQUARES)
def test_modules_are_large_enough(name) -> None:
    """A module is at least 0.4 mm wide, that of a sealed frame too (common practice, no source)."""
    assert SQUARES[name][2][2] / (modules(name) + 2 * QUIET) >= LEAST_MODULE_MM - 1e-9


@pytest.mark.parametrize("name", SQUARES)
def test_a_clean_code(name) -> None:
    """Of the photographs of a clean code at least 95 % are read."""
    assert read(name, lambda picture, _: picture) >= LEAST


@pytest.mark.parametrize("name", SQUARES)
def test_a_tenth_covered(name) -> None:
    """Of the photographs with a tenth of the symbol covered at least 95 % are read."""
    count = modules(name)
    assert read(name, lambda picture, rng: covered(picture, count, 0.1, rng)) >= LEAST


@pytest.mark.parametrize("name", SQUARES)
def test_a_fifth_covered(name, record_property, capsys) -> None:
    """With a fifth of the symbol covered what is read is right, and the share that is read is told."""
    count = modules(name)
    share = read(name, lambda picture, rng: covered(picture, count, 0.2, rng))
    record_property("read_with_a_fifth_covered", share)
    with capsys.disabled():
        print(f"\n{name}: {share:.0%} of {PICTURES} photographs read with 20 % of the code covered")
