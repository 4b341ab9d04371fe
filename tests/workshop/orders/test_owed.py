"""Amounts as people write them, and sums by currency."""

from decimal import Decimal

import pytest

from passport.workshop.orders.owed import amount_of


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("£84.00, to the treasurer", ("£", Decimal("84.00"))),
        ("21,00 €", ("€", Decimal("21.00"))),
        ("21 €, bar", ("€", Decimal("21"))),
        ("EUR 21", ("EUR", Decimal("21"))),
        ("CHF 21.50 by transfer", ("CHF", Decimal("21.50"))),
        ("$7", ("$", Decimal("7"))),
    ],
)
def test_an_amount_that_says_its_currency_is_read(text, amount):
    """Sign or ISO 4217 code, before or behind; what follows does no harm."""
    assert amount_of(text) == amount


@pytest.mark.parametrize(
    "text", ["", "84", "a bottle", "£1,200", "£1.200", "£1,200.00", "£12 to £14", "£5.0", "£ 5 €", "£20 and £4", "half"]
)
def test_what_could_be_read_in_two_ways_is_not_read(text):
    """No currency, two of them, or a thousand that could be a decimal: no amount."""
    assert amount_of(text) is None
