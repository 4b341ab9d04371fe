"""The rack in the order of promises, and what string it takes."""

from dataclasses import replace
from datetime import date

import pytest
import smallshop

from passport.records.load import Entry, load
from passport.records.schema.frame import Frame
from passport.records.stockroom.amount import parse_amount
from passport.records.stockroom.lot import StockEntry, StockLot
from passport.records.yaml.yamltext import Source
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.needs import string_needs, with_stock
from passport.workshop.orders.rack import as_wanted, rack, to_collect
from passport.workshop.stockroom.supply import StockSupply
from passport.workshop.strings.string_course import string_course

TODAY = date(2026, 11, 25)
ORDERS = {
    "ada/main": "order: {asked: soon, promised: 2026-11-27}\n",
    "ada/twin": "order: {asked: late, promised: 2026-11-20}\n",
    "ada/fresh": "order: {asked: some day, taken: 2026-11-24}\n",
    "ada/torn": "order: {asked: some day, taken: 2026-11-23}\n",
    "bo/only": "rack: as before\n",
}


@pytest.fixture(scope="module")
def content(tmp_path_factory):
    """The small workshop with five frames on the rack."""
    files = {f"players/{name}.yaml": smallshop.FILES[f"players/{name}.yaml"] + text for name, text in ORDERS.items()}
    return load(smallshop.write(tmp_path_factory.mktemp("rack") / "content", files))[0]


def test_late_ones_lead_and_those_without_a_promise_come_last(content):
    """By the promise, then by when they were taken; 20 to 25 November are five days."""
    found = rack(content, TODAY)
    assert [one.entry.name for one in found] == ["ada/twin", "ada/main", "ada/torn", "ada/fresh", "bo/only"]
    assert [one.late for one in found] == [5, 0, 0, 0, 0]
    assert all(one.late == 0 for one in rack(content, date(2026, 11, 20)))


def test_what_is_wanted_is_followed_and_nothing_else_changes(demo_content):
    """The recipe that is wanted stands where the last one was, in that copy alone."""
    wanted = as_wanted(demo_content, TODAY)
    changed = {name for name in wanted.frames if wanted.frames[name] is not demo_content.frames[name]}
    assert changed == {"wachtelberg/zwei", "quintaval/dos"}
    assert demo_content.frames["quintaval/dos"].record.jobs[-1].date < TODAY
    assert (
        wanted.frames["quintaval/dos"].record.jobs[-1].strings
        == demo_content.frames["quintaval/dos"].record.order.strings
    )


def test_string_is_added_up_by_name_and_supply(demo_content):
    """Each string's metres are the sum of what is cut for each frame, and its uncertainties are added."""
    gatherer = Gatherer(as_wanted(demo_content, TODAY))
    names = ("quintaval/dos", "wachtelberg/zwei", "askwell/i")
    facts = [gatherer.recipe(name) for name in names]
    needs = {(need.string, need.supply): need for need in string_needs([*facts, facts[0]])}
    mains, crosses = (piece.cut for piece in string_course(facts[0]).pieces)
    gut, poly = needs["Amberlune Withybed 1.30", "set"], needs["Brindlecote Deep Petrol 1.20", "reel"]
    assert gut.cut.value == pytest.approx(2 * mains.value / 1000) and gut.cut.u == pytest.approx(2 * mains.u / 1000)
    assert poly.cut.value == pytest.approx(2 * crosses.value / 1000)
    # a 16×19 takes 10 to 10.5 m of a 12 m set (common practice, no source)
    whole = needs["Brindlecote Deep Petrol 1.25", "reel"]
    assert 9.9 < whole.cut.value < 11.0 and whole.frames == 1
    assert all(need.unknown == 0 for need in needs.values())


def test_a_length_that_nobody_knows_is_not_made_up(content):
    """Where the string's path is not on record the frame is counted, and no length is claimed."""
    gatherer = Gatherer(as_wanted(content, TODAY))
    (need,) = string_needs([gatherer.recipe("bo/only")])
    assert (need.frames, need.unknown, need.cut.value, need.supply) == (1, 1, 0, "")


@pytest.mark.parametrize(
    ("amount", "supply", "left", "short"),
    [
        ("200 m", "reel", "200.0 m left by the book", False),
        ("10 m", "reel", "10.0 m left by the book", True),
        ("11 m", "reel", "11.0 m left by the book", False),
        ("10.6 m", "reel", "10.6 m left by the book", True),  # 10.4 ± 0.4 m are needed: perhaps too little
        ("1 sets", "set", "1 set left by the book", False),
        ("0.5 sets", "set", "0.5 sets left by the book", True),
        ("3 sets", "reel", "", False),
    ],
)
def test_what_the_stock_cannot_serve_is_said(demo_content, amount, supply, left, short):
    """What is left stands beside what is needed, in sets or metres as it comes; too little, or perhaps so, is marked."""
    measured = parse_amount(amount)
    lot = StockLot(of="deep-petrol-125", counted=(StockEntry(date=TODAY, amount=measured),))
    stocked = replace(demo_content, lots={"reel": Entry("reel", lot, Source(""))})
    facts = Gatherer(demo_content).recipe("askwell/i")
    mains, crosses = (replace(side, supply=supply) for side in (facts.stringing.mains, facts.stringing.crosses))
    facts = replace(facts, stringing=replace(facts.stringing, mains=mains, crosses=crosses))
    (need,) = with_stock(string_needs([facts]), StockSupply(stocked))
    assert (need.left, need.short, need.sets) == (left, short, 1.0)


def test_what_is_done_and_not_collected(demo_content):
    """A job that was ordered waits to be collected until it is handed back; one that nobody ordered says nothing."""
    assert [one.entry.name for one in to_collect(demo_content)] == ["tremorel/un"]
    assert Frame(model="m", label="L").waiting is None
