"""``passport stock`` and what a job, taken back, does to it."""

import json
import re

import pytest
import smallshop
from commandline import passport

REEL = "reel: {of: reed-125, batch: B1, bought: {date: 2026-10-01, amount: 200 m}}\n"


def _left(content) -> float:
    (shelf,) = json.loads(passport("stock", content, "--json").stdout)
    return float(shelf["left"])


def test_a_job_takes_from_stock_and_undo_gives_it_back(tmp_path):
    """What is left goes down by what a logged job takes, and is whole again when the job is taken back."""
    content = smallshop.write(tmp_path / "content", {"catalogue/stock.yaml": REEL})
    assert _left(content) == 200
    logged = passport(
        "log", content, "ada/twin", "--again", "--batch", "B1", "--date", "2026-11-20", "--no-build", "--yes"
    )
    assert "left after this, by the book" in logged.output
    assert 188 < _left(content) < 191
    assert passport("undo", content, "--yes").exit_code == 0
    assert _left(content) == 200


def test_a_purchase_is_written_and_taken_back(tmp_path):
    """--buy writes to the book in a transaction that undo knows."""
    content = smallshop.write(tmp_path / "content", {"catalogue/stock.yaml": REEL})
    done = passport("stock", content, "--buy", "reed-125", "--batch", "B1", "--amount", "100 m", "--yes")
    assert (done.exit_code, _left(content)) == (0, 300)
    passport("undo", content, "--yes")
    assert _left(content) == 200
    assert (content / "catalogue/stock.yaml").read_text(encoding="utf-8") == REEL


def test_without_a_book(tmp_path):
    """Nothing is said of stock where no book is kept, and how to begin one is."""
    content = smallshop.write(tmp_path / "content")
    shown = passport("stock", content)
    assert (shown.exit_code, "Nothing is in the book" in shown.stdout) == (0, True)
    logged = passport("log", content, "ada/twin", "--again", "--dry-run")
    assert "book" not in logged.output


def test_misuse(tmp_path):
    """Two things at once, no amount, or an amount of nothing is wrong usage."""
    content = smallshop.write(tmp_path / "content")
    for said in (["--buy", "a", "--count", "b"], ["--buy", "reed-125"], ["--amount", "3 m"]):
        assert passport("stock", content, *said).exit_code == 2


def test_an_order_is_held_against_the_stock(tmp_path):
    """A frame that is taken in is warned of where the reel cannot serve it, before anything is at the machine."""
    content = smallshop.write(tmp_path / "content", {"catalogue/stock.yaml": REEL.replace("200 m", "4 m")})
    said = passport("take", content, "ada/twin", "--again", "--dry-run").output
    assert "Not enough in stock: Reed, 4.0 m by the book, and " in said


def test_what_other_players_took_counts(tmp_path):
    """What a job says is left is what the whole book has: jobs of players whose records it did not need count as well."""
    only = "model: larch-98\nlabel: Only\njobs:\n"
    only += "  - {date: 2026-10-05, strings: {mains: {string: reed-125, tension: 52 lb, batch: 'B1'}}}\n"
    changes = {"catalogue/stock.yaml": REEL, "players/bo/only.yaml": only}
    content = smallshop.write(tmp_path / "content", changes)
    assert 188 < _left(content) < 191
    said = passport(
        "log", content, "ada/twin", "--again", "--batch", "B1", "--date", "2026-11-20", "--no-build", "--yes"
    )
    told = re.search(r"B1: ([0-9.]+) m .*left after this", said.output)
    assert told
    assert float(told[1]) == pytest.approx(_left(content), abs=0.06)
