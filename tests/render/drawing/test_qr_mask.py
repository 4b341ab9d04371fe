"""The mask of a QR symbol is the one that the encoder would choose by itself, trying all eight."""

import numpy as np
import pytest
import qrcode
from hypothesis import given, settings
from hypothesis import strategies as st
from qrcode import util

from passport.render.drawing.qr_mask import best_masked, penalties

LEVELS = {"Q": qrcode.constants.ERROR_CORRECT_Q, "H": qrcode.constants.ERROR_CORRECT_H}


def by_the_encoder(text: str, level: str) -> tuple[np.ndarray, int]:
    """The symbol that the encoder makes when nobody names a mask."""
    code = qrcode.QRCode(error_correction=LEVELS[level], border=0)
    code.add_data(text)
    code.make(fit=True)
    return np.array(code.get_matrix(), dtype=bool), code.version


@settings(max_examples=40)
@given(
    st.text(st.characters(max_codepoint=0x17F, exclude_categories=("Cs",)), min_size=1, max_size=180),
    st.sampled_from("QH"),
)
def test_the_symbol_is_the_encoder_s_own(text, level):
    """Module for module the same symbol, for addresses as for running text, with and without a version in it."""
    symbol, version = best_masked(text, level)
    wanted, wanted_version = by_the_encoder(text, level)
    assert version == wanted_version
    assert (symbol == wanted).all()


@pytest.mark.parametrize("length", [1, 60, 150, 400])
def test_large_symbols(length):
    """From the smallest to one of more than a hundred modules, of which each says its version in two places."""
    symbol, version = best_masked("0Aa-" * length, "Q")
    wanted, wanted_version = by_the_encoder("0Aa-" * length, "Q")
    assert version == wanted_version
    assert (symbol == wanted).all()


@given(st.integers(21, 45), st.integers(0, 2**32 - 1), st.sampled_from([0.05, 0.5, 0.8]))
def test_points_are_those_of_the_encoder(size, seed, dark):
    """The four features give the points that the encoder counts, for light, even and dark symbols."""
    symbol = np.random.default_rng(seed).random((size, size)) < dark
    assert penalties(np.stack([symbol, ~symbol])).tolist() == [
        util.lost_point(each.tolist()) for each in (symbol, ~symbol)
    ]
