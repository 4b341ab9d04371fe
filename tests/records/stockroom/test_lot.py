"""Lots of the stock as they are written."""

from datetime import date

import pytest
from pydantic import ValidationError

from passport.records.schema.visibility import redacted
from passport.records.stockroom.lot import StockLot

BOUGHT = {"date": "2026-11-01", "amount": "200 m"}


def test_one_entry_stands_for_a_list() -> None:
    """What was bought once needs no list."""
    lot = StockLot.model_validate({"of": "reed-125", "bought": BOUGHT})
    assert [(e.date, e.amount.value) for e in lot.bought] == [(date(2026, 11, 1), 200)]
    assert lot.measure == "m"


@pytest.mark.parametrize(
    ("tree", "why"),
    [
        ({"bought": BOUGHT}, "of\n  Field required"),
        ({"of": "reed-125"}, "Nothing says how much"),
        ({"of": "reed-125", "taken": BOUGHT}, "Nothing says how much"),
        ({"of": "reed-125", "bought": BOUGHT, "taken": {**BOUGHT, "amount": "2 sets"}}, "cannot be added up"),
    ],
)
def test_what_is_no_lot(tree: dict[str, object], why: str) -> None:
    """A lot says what it is of and how much there is, all in one measure."""
    with pytest.raises(ValidationError, match=why):
        StockLot.model_validate(tree)


def test_what_a_lot_holds_is_private() -> None:
    """Cut off, a lot says no more than what it is of."""
    lot = StockLot.model_validate({"of": "reed-125", "batch": "B1", "bought": BOUGHT, "place": "x", "note": "y"})
    assert redacted(lot) == StockLot.model_construct(of="reed-125")
