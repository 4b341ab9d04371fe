"""The stock at one look: the speed of use, how long it lasts, what to order."""

from datetime import date, timedelta

import pytest
import smallshop

from passport.records.load import load
from passport.workshop.stockroom.shelf import shelves

TODAY = date(2026, 11, 25)


def _shelves(tmp_path, jobs: int, every: int, amount: str, *, batch: str = "B1"):
    days = [TODAY - timedelta(days=every * (i + 1)) for i in range(jobs)][::-1]
    lines = "\n".join(f"  - {{date: {d}, fitted: {{part: thin-overgrip, place: along the handle}}}}" for d in days)
    lot = f"grips: {{of: thin-overgrip, counted: {{date: {TODAY}, amount: {amount}}}}}\n"
    changes = {
        "catalogue/stock.yaml": lot,
        "players/ada/main.yaml": f"model: larch-98\nlabel: Main\njobs:\n{lines}\n",
    }
    content, faults = load(smallshop.write(tmp_path, changes))
    assert not faults, [fault.text() for fault in faults]
    return shelves(content, TODAY)


def test_the_pace_and_how_long_it_lasts(tmp_path):
    """25 grips, one every 14 days of 350: half a one a week; 9 last 18 weeks. 25 visits are known to 1/√25 = 20 % (Poisson)."""
    (shelf,) = _shelves(tmp_path, 25, 14, "9 pieces")
    assert shelf.pace is not None
    assert (shelf.pace.jobs, shelf.pace.days) == (25, 350)
    assert shelf.pace.a_week.value == pytest.approx(0.5)
    assert shelf.pace.a_week.u / shelf.pace.a_week.value == pytest.approx(0.2)
    assert shelf.lasts == pytest.approx((18, 9 / 0.7, 9 / 0.3))
    assert not shelf.short(timedelta(days=28))
    assert shelf.short(timedelta(days=91))


def test_only_the_last_year_counts(tmp_path):
    """What was used more than a year ago says nothing of the pace."""
    (shelf,) = _shelves(tmp_path, 100, 14, "9 pieces")
    assert shelf.pace is not None
    assert shelf.pace.jobs == 26
    assert shelf.pace.a_week.value == pytest.approx(0.5, rel=0.03)


def test_too_little_is_known(tmp_path):
    """One use of last week is no pace, so nothing is said of how long it lasts; nothing left is to be ordered all the same."""
    (shelf,) = _shelves(tmp_path, 1, 7, "9 pieces")
    assert (shelf.pace, shelf.lasts, shelf.short()) == (None, None, False)
    (gone,) = _shelves(tmp_path / "gone", 1, 7, "0 pieces")
    assert gone.short()


def test_without_a_book_there_is_nothing(tmp_path):
    """A workshop that keeps no book of its stock is told nothing of it."""
    content, _ = load(smallshop.write(tmp_path))
    assert shelves(content, TODAY) == ()
