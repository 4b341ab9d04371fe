"""What the book of the stock says to a plan."""

import pytest
from rebuildshop import bench, shop

from passport.records.load import STOCK, load
from passport.workshop.rebuild.rebuild import rebuild
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.stockroom.supply import StockSupply

TODAY_LOT = "counted: {date: 2026-11-20, amount: %s}"


def _bench(tmp_path, stock: str) -> Workbench:
    work = bench(tmp_path)
    (tmp_path / STOCK).write_text(stock, encoding="utf-8")
    content, faults = load(tmp_path)
    assert not faults, [fault.text() for fault in faults]
    return Workbench(content, work.today)


@pytest.mark.parametrize(
    ("amount", "says"),
    [("10 m", "In stock by the book: Tungsten tape, 10.0 m; "), ("5 cm", "Not enough in stock: Tungsten tape, 0.1 m")],
)
def test_a_plan_says_whether_there_is_enough(tmp_path, amount, says):
    """A plan that takes tape of which there is too little says so; else what is left stands beside it."""
    found = rebuild(_bench(tmp_path, f"tape: {{of: tungsten-tape, {TODAY_LOT % amount}}}\n"), "ada/main", "near")
    assert any(piece.part == "tungsten-tape" for piece in found.plans[0].additions)
    assert any(note.startswith(says) for note in found.notes), found.notes


def test_a_plan_takes_nothing_that_is_gone(tmp_path):
    """Of what the book says is gone no plan is made."""
    gone = f"tape: {{of: tungsten-tape, {TODAY_LOT % '0 m'}}}\n"
    found = rebuild(_bench(tmp_path, gone), "ada/main", "near")
    assert not any(piece.part == "tungsten-tape" for plan in found.plans for piece in plan.additions)


def test_grips_and_strings(tmp_path):
    """Whole parts count by the piece, and a string is cut from one reel: what two have left is not added up."""
    stock = (
        f"one: {{of: reed-125, batch: A, {TODAY_LOT % '7 m'}}}\ntwo: {{of: reed-125, batch: B, {TODAY_LOT % '8 m'}}}\n"
        f"grips: {{of: overgrip, {TODAY_LOT % '4 pieces'}}}\n"
    )
    found = rebuild(_bench(tmp_path, stock), "ada/main", "near")
    assert "In stock by the book: Overgrip, 4 pieces; 1 piece are needed." in found.notes
    (strings,) = [note for note in found.notes if "Reed" in note]
    assert strings.startswith("Not enough in stock: Reed, 8.0 m by the book, and ")


def test_without_a_book_nothing_is_said(tmp_path):
    """A workshop that keeps no book is told nothing of its stock."""
    assert StockSupply(shop(tmp_path)).left == {}
    found = rebuild(bench(tmp_path / "other"), "ada/main", "near")
    assert not any("stock" in note for note in found.notes)
