"""When a frame should be restrung."""

from datetime import date, timedelta

import pytest
from bedshop import frame, hz, job, shop
from hypothesis import given
from hypothesis import strategies as st

from passport.workshop.facts.bedfacts import DueFacts
from passport.workshop.strings.beds import BedBook
from passport.workshop.strings.due import due_facts, due_list, restring_by

DAY = date(2026, 3, 4)
DAY_STRUNG = date(2026, 1, 5)


@given(st.floats(1, 21))
def test_at_least_as_many_times_a_year_as_played_a_week(plays):
    """Restringing on the day it is due comes to at least as many times a year as the player plays a week.

    Common practice, no source.
    """
    due = restring_by(DAY, plays)
    assert due is not None
    gap = (due - DAY).days
    assert gap * plays <= 365 < (gap + 1) * plays


@pytest.mark.parametrize("plays", [0.1, 0.5, 1])
def test_at_least_once_a_year(plays):
    """Strings of a player who plays less than once a week are still renewed once a year."""
    assert restring_by(DAY, plays) == DAY + timedelta(days=365)


@pytest.mark.parametrize("plays", [None, 0])
def test_nothing_is_made_up(plays):
    """Where nobody noted how often the player plays there is no date."""
    assert restring_by(DAY, plays) is None


def due(tmp_path, *jobs: str, workshop: str = "", player: str = "", **frames: str) -> DueFacts | None:
    """When the strings of a frame with these jobs are due."""
    content = shop(tmp_path, {"one": frame(*jobs), **frames}, workshop=workshop, player=player)
    book = BedBook(content)
    bed = book.current("cy/one")
    return due_facts(bed, book, content.players["cy"].record, content.workshop.record.restring)


LOSS = "restring: {loss: 15 %}\n"
HOURS = "restring: {hours: {nylon: 30 h, polyester: 12 h}}\n"
READ = (
    job("2026-01-05", "ring: 600 Hz, age: 15 min"),
    job("2026-01-25", f"ring: {hz(600, 0.04, 20 * 1440):.2f} Hz, age: 20 d", strung=False),
)
"""A bed that loses 4 % of its fresh tension in each decade of age."""


def test_nothing_noted_nothing_due(tmp_path):
    """Without a word on play, loss or hours there is no date and no reason."""
    assert due(tmp_path, *READ) is None


def test_by_the_predicted_loss(tmp_path):
    """The day is that of the law: 15 % at 4 % a decade is 3.75 decades of 15 minutes, 58.6 days; its band holds it."""
    found = due(tmp_path, *READ, workshop=LOSS)
    (reason,) = found.reasons
    assert reason.kind == "loss"
    assert reason.amount == 0.15
    exact = DAY_STRUNG + timedelta(days=15 / 1440 * 10 ** (0.15 / 0.04))
    assert abs((reason.day - exact).days) <= 6  # the prior pulls a little, and readings have two decimals
    assert reason.early < reason.day < reason.late


def test_the_prior_alone_calls_nothing_due(tmp_path):
    """Where nobody read this bed or its string, a loss is not a reason."""
    assert due(tmp_path, job("2026-01-05"), workshop=LOSS) is None


def test_a_string_that_holds_is_not_due_by_its_loss(tmp_path):
    """A loss that would take more than ten years is no reason, and its late end may be open."""
    still = (job("2026-01-05", "ring: 600 Hz, age: 15 min"), job("2026-01-25", "ring: 598 Hz, age: 20 d", strung=False))
    assert due(tmp_path, *still, workshop="restring: {loss: 30 %}\n") is None


def test_by_hours_of_play(tmp_path):
    """10 h in 20 days are 0.5 h a day: 30 h of nylon last 60 days."""
    found = due(tmp_path, job("2026-01-05"), job("2026-01-25", "played: 10 h", strung=False), workshop=HOURS)
    (reason,) = found.reasons
    assert (reason.kind, reason.amount, reason.day) == ("hours", 1800, DAY_STRUNG + timedelta(days=60))
    assert reason.weekly == pytest.approx(3.5 * 60)


def test_the_pace_of_an_earlier_bed_holds_until_there_is_a_note(tmp_path):
    """What was played with the strings before tells the pace for fresh ones; the bed's own note then replaces it."""
    before = job("2025-11-26"), job("2026-01-05", "when: before, played: 40 h")
    assert due(tmp_path / "a", *before, workshop=HOURS).day == DAY_STRUNG + timedelta(days=30)
    own = job("2026-01-25", "played: 5 h", strung=False)
    assert due(tmp_path / "b", *before, own, workshop=HOURS).day == DAY_STRUNG + timedelta(days=120)


def test_the_string_that_lasts_less_decides(tmp_path):
    """A hybrid is played as long as the shorter-lived of its two strings."""
    jobs = (job("2026-01-05", crosses="flint-120, tension: 50 lb"), job("2026-01-25", "played: 10 h", strung=False))
    assert due(tmp_path, *jobs, workshop=HOURS).first.amount == 12 * 60


@pytest.mark.parametrize("note", ["played: 2000 h", "ring: 590 Hz, age: 20 d"])
def test_hours_that_do_not_fit_or_are_not_noted(tmp_path, note):
    """More play than time, or none noted, gives no reason; nor does a material without a limit."""
    assert due(tmp_path / "a", job("2026-01-05"), job("2026-01-25", note, strung=False), workshop=HOURS) is None
    limits = "restring: {hours: {gut: 40 h}}\n"
    jobs = (job("2026-01-05"), job("2026-01-25", "played: 10 h", strung=False))
    assert due(tmp_path / "b", *jobs, workshop=limits) is None


def test_the_earliest_reason_wins_and_all_are_kept(tmp_path):
    """Each reason keeps its own day; they stand in order and the first is the day that counts."""
    jobs = (*READ, job("2026-02-04", "played: 20 h", strung=False))
    both = "restring: {loss: 15 %, hours: {nylon: 30 h}}\n"
    found = due(tmp_path, *jobs, workshop=both, player="plays_a_week: 4\n")
    assert {r.kind for r in found.reasons} == {"plays", "loss", "hours"}
    days = [r.day for r in found.reasons]
    assert days == sorted(days)
    assert (found.day, found.first.kind) == (DAY_STRUNG + timedelta(days=45), "hours")
    assert found.soon == DAY_STRUNG + timedelta(days=34)


def test_the_list_is_in_order_with_private_contact(tmp_path):
    """Who is due first stands first; frames without a day come last; frames out of play or without strings are left out."""
    content = shop(
        tmp_path,
        {
            "late": frame(job("2026-03-01"), label="Late"),
            "early": frame(job("2026-01-01"), label="Early"),
            "torn": frame(job("2025-01-01"), label="Torn", more="status: broken\n"),
            "bare": "model: larch-98\nlabel: Bare\n",
        },
        player="plays_a_week: 3\n",
        changes={
            "players/dee/player.yaml": "name: Dee\n",
            "players/dee/one.yaml": frame(job("2024-01-01"), label="Unknown"),
        },
    )
    found = due_list(content, date(2026, 4, 1))
    assert [e.label for e in found] == ["Early", "Late", "Unknown"]
    assert [e.due.day if e.due else None for e in found] == [
        date(2026, 1, 1) + timedelta(days=121),
        date(2026, 3, 1) + timedelta(days=121),
        None,
    ]
    assert (found[0].full_name, found[0].contact.email, found[0].contact.phone) == (
        "Cyrus Cole",
        "cy@cole.example",
        "01632 960777",
    )
    assert found[2].full_name == "Dee"
    assert found[0].left.value < found[1].left.value


def test_the_demo_is_due_by_every_kind_of_reason(demo_content):
    """In the demo some strings are due first by play, some by their loss and some by hours."""
    kinds = {e.due.first.kind for e in due_list(demo_content, date(2026, 11, 25)) if e.due}
    assert kinds == {"plays", "loss", "hours"}
