"""``passport handover`` and ``passport owed``: handed back, paid or owed, and taken back again."""

import json

import pytest
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, passport, refused, tree

from passport.acts.safekeeping.retention import unneeded
from passport.cli.main import main
from passport.records.load import load

MAIN, TWIN = smallshop.NUMBERS["main"], smallshop.NUMBERS["twin"]


@pytest.fixture
def content(tmp_path):
    """The small workshop, with a job that was ordered, done and priced on two frames of one player."""
    folder = smallshop.write(tmp_path / "content")
    passport("take", folder, MAIN, "--again", "--price", "£28.00")
    passport("take", folder, TWIN, "--again", "--price", "£30.50, with the grip")
    for number in (MAIN, TWIN):
        passport("log", folder, number, "--ordered", "--no-build")
    return folder


def last(content, name="ada/main"):
    """The last job of a frame."""
    return load(content)[0].frames[name].record.jobs[-1]


def hand(content, *arguments):
    """A frame handed back."""
    return passport("handover", content, *arguments)


def listed(content):
    """What is owed, as data."""
    return json.loads(passport("owed", content, "--json").stdout)


def test_two_frames_go_home_together_and_undo_brings_both_back(content):
    """Who collected them, when and what was paid stand in both jobs, in one change that can be taken back."""
    before = tree(content)
    result = hand(content, MAIN, TWIN, "--to", "her brother", "--paid", "all")
    assert result.exit_code == 0, result.output
    for name, price in (("ada/main", "£28.00"), ("ada/twin", "£30.50, with the grip")):
        handed = last(content, name).handed
        assert (handed.date, handed.to, handed.paid, handed.owed) == (smallshop.TODAY, "her brother", price, "")
    assert passport("check", content).exit_code == 0
    passport("undo", content, "--yes")
    assert tree(content) == before


def test_what_is_owed_is_listed_added_up_and_settled(content):
    """28.00 and 30.50 are 58.50; a part payment leaves the rest, the last one nothing."""
    hand(content, MAIN, "--owed", "all", "--date", "2026-11-25")
    hand(content, TWIN, "--owed", "£30.50")
    text = passport("owed", content).stdout
    assert "2 jobs owed for: £58.50 in all." in text
    assert "SECRET-PHONE" in text and "0 d ago" in text
    one, other = listed(content)
    assert [(e["number"], e["amount"], e["currency"]) for e in (one, other)] == [
        (MAIN, "28.00", "£"),
        (TWIN, "30.50", "£"),
    ]
    assert (one["handed"], one["done"], one["email"]) == ("2026-11-25", "2026-11-25", "secret-mail@ada.example")
    hand(content, TWIN, "--paid", "£20.50, cash", "--owed", "£10.00")
    assert last(content, "ada/twin").handed.paid == "£20.50, cash (2026-11-25)"
    hand(content, TWIN, "--paid", "£10.00")
    hand(content, MAIN, "--paid", "all")
    assert last(content, "ada/twin").handed.paid == "£20.50, cash (2026-11-25); £10.00 (2026-11-25)"
    assert listed(content) == []
    assert passport("owed", content).stdout == "Nothing is owed.\n"


def test_what_says_no_amount_is_not_added_up(content):
    """Words without an amount are listed, and named as what the sum leaves out; currencies are not mixed."""
    hand(content, MAIN, "--owed", "a bottle of wine")
    hand(content, TWIN, "--owed", "21,00 €")
    text = " ".join(passport("owed", content).stdout.split())
    assert "2 jobs owed for: €21.00 in all. Not added up, since it says no amount: a bottle of wine." in text


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["ada/fresh"], ("no job on record",)),
        ([MAIN, "--job", "2026-01-01"], ("no job of 2026-01-01", "2026-04-02")),
        (["ada/nobody"], ("There is no frame",)),
    ],
)
def test_what_cannot_be_handed_back_is_refused(content, arguments, words):
    """Each case ends in words and leaves every file alone."""
    before = tree(content)
    refused(hand(content, *arguments), *words)
    assert tree(content) == before


def test_a_frame_that_waits_is_not_handed_back(content):
    """What was ordered is done first, or withdrawn."""
    passport("take", content, MAIN, "--again")
    refused(hand(content, MAIN, "--paid", "all"), "waits at the bench", "log --ordered", "--withdraw")


def test_the_price_stands_for_all_only_where_there_is_one(content):
    """'all' without a price on record is wrong usage, named by its option."""
    result = hand(content, "bo/only", "--owed", "all")
    assert result.exit_code == 2
    assert "--owed all: no price is on record" in result.stderr


def test_nothing_is_said_twice(content):
    """A frame that was handed back is not handed back again without a word of what changed; a mistake is corrected."""
    hand(content, MAIN, "--to", "her brother")
    refused(hand(content, MAIN), "handed back already", "--paid")
    hand(content, MAIN, "--to", "her sister")
    assert last(content).handed.to == "her sister"


def test_a_day_before_the_job_is_an_error(content):
    """Nothing is handed back before it was done."""
    refused(hand(content, MAIN, "--date", "2026-11-20"), "date-order", "before this job of 2026-11-25")


def test_several_jobs_that_are_owed_for_are_told_apart(content):
    """Where two jobs of a frame are owed for, a payment says for which."""
    hand(content, MAIN, "--owed", "all")
    hand(content, MAIN, "--job", "2026-03-02", "--owed", "£12.00")
    refused(hand(content, MAIN, "--paid", "£12.00"), "several jobs", "2026-03-02 (£12.00)", "--job")
    hand(content, MAIN, "--job", "2026-03-02", "--paid", "all")  # no price on record there
    assert len(listed(content)) == 2
    hand(content, MAIN, "--job", "2026-03-02", "--paid", "£12.00")
    assert [entry["owed"] for entry in listed(content)] == ["£28.00"]


def test_it_asks_with_the_price_offered(content, monkeypatch):
    """At a terminal who collects and what is paid are asked; Enter says that the player did, and owes it."""
    as_a_person(monkeypatch)
    runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
    result = runner.invoke(main, ["handover", str(content), MAIN], input="\n\n\ny\n")
    assert result.exit_code == 0, result.output
    for asked in ("Collected by [SECRET-FULL-NAME]", "Paid, of £28.00", "Owed [£28.00]"):
        assert asked in result.output
    assert (last(content).handed.owed, last(content).handed.to) == ("£28.00", "SECRET-FULL-NAME")


def test_a_contact_is_kept_while_something_is_owed(content):
    """Whoever waits for a frame, or owes for one, is not asked about in the yearly look, however long ago."""
    future = smallshop.TODAY.replace(year=2036)

    def contacts():
        return [one.name for one in unneeded(content, 3, future) if one.name == "contact:ada"]

    assert contacts() == []
    hand(content, MAIN, TWIN, "--owed", "£5.00")
    assert contacts() == []
    hand(content, MAIN, TWIN, "--paid", "£5.00")
    assert contacts() == ["contact:ada"]


def test_show_says_where_it_stands(content):
    """Done and waiting, handed back, owed for: each from the record."""
    assert "Done 2026-11-25, waits to be collected." in passport("show", content, MAIN).stdout
    hand(content, MAIN, "--to", "her brother", "--owed", "all")
    shown = passport("show", content, MAIN).stdout
    assert "Handed back 2026-11-25 to her brother." in shown
    assert "Owed for 2026-11-25: £28.00" in shown
