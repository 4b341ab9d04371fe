"""The book of the stock written, and what it says before a job."""

import re
from datetime import date

import pytest
import smallshop

from passport.acts.change import base_of
from passport.acts.refused import Misused, Refused
from passport.acts.stock import carriers, entered, of_job
from passport.records.load import STOCK, load
from passport.records.schema.frame import Job

REEL = "# the rack\nreel:\n  of: reed-125\n  batch: B1\n  bought: {date: 2026-10-01, amount: 200 m}   # the big one\n"
JOB = Job.model_validate(
    {"date": "2026-11-20", "strings": {"mains": {"string": "reed-125", "tension": "52 lb", "batch": "B1"}}}
)


def _change(root, **said):
    words = {"kind": "counted", "what": "reed-125", "batch": "B1", "amount": "80 m", "note": ""} | said
    return entered(base_of(root, ()), day=date(2026, 11, 20), **words)


def test_an_entry_is_added_and_nothing_else_changes(tmp_path):
    """A count goes into its lot; every other line stays."""
    root = smallshop.write(tmp_path, {STOCK: REEL})
    after = _change(root, note="weighed").files[STOCK]
    assert after == f"{REEL}  counted:\n    - {{date: 2026-11-20, amount: 80 m, note: weighed}}\n"


def test_the_first_lot_begins_the_book(tmp_path):
    """Where there is no book the first purchase begins it, under a name that is made from what it is."""
    root = smallshop.write(tmp_path)
    change = _change(root, kind="bought", what="Oxbow Reed", batch="B 7", amount="200 m")
    (root / STOCK).write_text(change.files[STOCK] or "", encoding="utf-8")
    content, faults = load(root)
    assert not faults
    lot = content.lots["reed-125-b-7"].record
    assert (lot.of, lot.batch, lot.bought[0].amount.text) == ("reed-125", "B 7", "200 m")


@pytest.mark.parametrize(
    ("said", "kind", "why"),
    [
        ({"what": "reed-152"}, Refused, "Did you mean 'reed-125'"),
        ({"amount": "80"}, Misused, "is not an amount"),
        ({"kind": "taken", "batch": "B9"}, Refused, "No such lot of 'reed-125'.*'B1'"),
    ],
)
def test_what_is_refused(tmp_path, said, kind, why):
    """What is not in the catalogue, no amount, or taken from nothing is refused with what there is."""
    root = smallshop.write(tmp_path, {STOCK: REEL})
    with pytest.raises(kind, match=why):
        _change(root, **said)


@pytest.mark.parametrize(
    ("amount", "says"),
    [
        ("200 m", r"reed-125 B1: (189\.\d|190\.0) m \(± \d\.\d\) left after this"),
        ("10.3 m", "Perhaps not enough in stock"),
        ("4 m", r"Not enough in stock: reed-125 B1 has 4\.0 m by the book, and this takes 1\d\.\d m"),
    ],
)
def test_before_a_job(tmp_path, amount, says):
    """A job that the reel cannot serve, or perhaps not, is warned of before it is written."""
    root = smallshop.write(tmp_path, {STOCK: REEL.replace("200 m", amount)})
    content, _ = load(root)
    (line,) = of_job(content, "ada/twin", JOB)
    assert re.search(says, line), line


def test_nothing_is_said_without_a_book_or_of_other_things(tmp_path):
    """No book, no word; a batch that is in no lot is told; a job on the day of a count is taken to be in it."""
    bare, _ = load(smallshop.write(tmp_path / "bare"))
    assert list(of_job(bare, "ada/twin", JOB)) == []
    other, _ = load(smallshop.write(tmp_path / "other", {STOCK: REEL.replace("B1", "B2")}))
    assert list(of_job(other, "ada/twin", JOB)) == [
        "Batch B1 of reed-125 is not in the book of the stock: this is taken from none (B2)."
    ]
    counted, _ = load(
        smallshop.write(tmp_path / "counted", {STOCK: f"{REEL}  counted: {{date: 2026-11-20, amount: 3 m}}\n"})
    )
    assert "was counted on 2026-11-20" in next(of_job(counted, "ada/twin", JOB))


def test_every_frame_that_carries_a_batch(tmp_path):
    """A batch is found however it is spelt, on the side that it was put in, and whether that bed is still in."""
    twin = (
        "model: larch-98\nlabel: Twin\njobs:\n"
        "  - {date: 2026-03-02, strings: {mains: {string: reed-125, tension: 52 lb, batch: BP 26-09}}}\n"
        "  - {date: 2026-05-02, strings: {mains: {string: reed-125, tension: 52 lb, batch: Z}, "
        "crosses: {string: flint-120, tension: 50 lb, batch: bp26-09}, pieces: 2}}\n"
    )
    only = twin.replace("Twin", "Only").replace("bp26-09", "other")
    content, faults = load(smallshop.write(tmp_path, {"players/ada/twin.yaml": twin, "players/bo/only.yaml": only}))
    assert not faults
    found = {entry.name: (days, now) for entry, days, now in carriers(content, "BP26-09")}
    assert found == {
        "ada/twin": (
            [(date(2026, 3, 2), "all strings", "reed-125"), (date(2026, 5, 2), "crosses", "flint-120")],
            True,
        ),
        "bo/only": ([(date(2026, 3, 2), "all strings", "reed-125")], False),
    }
