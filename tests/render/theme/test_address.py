"""The public address: as few bits in a QR code as the web allows."""

from dataclasses import replace

import pytest
from cardfacts import KEY, SHOP

from passport.render.drawing.qr import is_alphanumeric
from passport.render.theme.address import public_address


@pytest.mark.parametrize(
    ("shop", "address"),
    [
        ("https://cards.halyard-pine.example", f"HTTPS://CARDS.HALYARD-PINE.EXAMPLE/{KEY}/"),
        ("http://localhost:8000", f"HTTP://LOCALHOST:8000/{KEY}/"),
        ("https://halyard.example/P", f"HTTPS://HALYARD.EXAMPLE/P/{KEY}/"),
        ("https://halyard.example/Cards/p", f"HTTPS://HALYARD.EXAMPLE/Cards/p/{KEY}/"),
        ("https://halyard.example/cards/", f"HTTPS://HALYARD.EXAMPLE/cards/{KEY}/"),
    ],
)
def test_scheme_and_host_in_capitals(shop: str, address: str) -> None:
    """Scheme and host are in capitals, a path keeps its letters, and one slash stands before and after the key."""
    assert public_address(replace(SHOP, address=shop), KEY) == address


def test_a_plain_host_takes_the_dense_mode() -> None:
    """The address of a shop without a path has only characters of a QR code's alphanumeric mode."""
    assert is_alphanumeric(public_address(SHOP, KEY))
