"""A customer comes in, at a real terminal: how many answers and characters that takes."""

import os
import re

import pytest
import smallshop
from commandline import EPOCH
from counter import typed
from places import ROOT

from passport.records.load import load

ENV = {"SOURCE_DATE_EPOCH": EPOCH, "PYTHONPATH": str(ROOT), "COLUMNS": "200"}
MOST_ANSWERS, MOST_CHARACTERS = 12, 150
"""What a walk-in with everything new may take; characters beyond names."""

PAST = """\
Date,Customer,Racquet,String,Tension,Paid
13/04/2024,Ines Holm,Ropewalk Elm 100,Gorse 1.25,24/23,yes
27/05/2024,Ines Holm,Ropewalk Elm 100,Gorse 1.25,24,yes
"""

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="a pseudo-terminal is POSIX's own")


@pytest.fixture
def content(tmp_path):
    """The small workshop, in pounds."""
    shop = smallshop.FILES["workshop.yaml"] + "units: {tension: lb, balance: mm}\n"
    return smallshop.write(tmp_path / "content", {"workshop.yaml": shop})


def test_a_walk_in_with_everything_new(content):
    """A new player with a model and a string that no catalogue has: one pass, within the answers and characters."""
    names = ["Żaneta B.", "Żaneta Brzoskwinia", "Haldric", "Rowan 100", "Oxbow", "Gorse"]
    said = [
        "Żaneta B., Żaneta Brzoskwinia", "01632 960155, zaneta@ropewalk.example", "", "2", "Haldric, Rowan 100, tennis, 100", "I, L3",
        "Oxbow, Gorse, 1.30, polyester", "52/50", "the logo in red", "friday", "18", "y",
    ]  # fmt: skip
    done = typed(content, ["walk-in"], said, ENV)
    assert done.code == 0, done.screen
    count = done.characters(names)
    print(f"walk-in with everything new: {done.answers} answers, {count} characters beyond names")
    assert done.answers == len(said) <= MOST_ANSWERS
    assert count <= MOST_CHARACTERS
    records, faults = load(content)
    assert not [fault for fault in faults if fault.severity == "error"]
    frame = records.frames["zaneta-b/i"].record
    order = frame.order
    assert order
    assert order.strings
    assert (frame.grip, order.strings.mains.tension.text, order.promised.isoformat()) == ("L3", "52 lb", "2026-11-27")


def test_an_ordinary_restring_is_one_command(content):
    """The last recipe again, by the frame's number as it stands on the card: nothing is asked."""
    done = typed(content, ["log", smallshop.NUMBERS["main"], "--again", "--no-build"], [], ENV)
    assert (done.code, done.answers) == (0, 0), done.screen
    assert len(load(content)[0].frames["ada/main"].record.jobs) == 4


def test_a_closed_window_loses_nothing(content):
    """Whoever is hung up on in the middle goes on from there with the next call."""
    first = typed(content, ["walk-in", "--done", "--no-build"], ["Mira T.", "01632 960155", "fr"], ENV)
    assert first.code != 0
    rest = ["y", "fr", "3", "larch-98", "", "reed-125", "52", "", "", "y"]
    second = typed(content, ["walk-in", "--done", "--no-build"], rest, ENV)
    assert second.code == 0, second.screen
    player = load(content)[0].players["mira-t"].record
    assert (player.contact.phone, player.language, player.plays_a_week) == ("01632 960155", "fr", 3)


def test_a_whole_day_at_the_counter(tmp_path):
    """A second workshop from its first minute, over two months: a walk-in, its order done, a second visit that differs, a replacement out
    of stock that is strung as before, its player told, and the table of the years before taken over. No record is opened,
    no name of one is typed."""
    content = tmp_path / "second"
    (tmp_path / "past.csv").write_text(PAST, encoding="utf-8")
    counts = []

    def did(what, command, lines=(), days=0):
        folder = content if content.is_dir() else tmp_path
        day = {"SOURCE_DATE_EPOCH": str(int(EPOCH) + days * 86_400)}
        done = typed(folder, command, list(lines), {**ENV, **day})
        assert done.code == 0, f"{what}:\n{done.screen}"
        assert not [word for word in (*command[1:], *lines) if word.endswith(".yaml")]
        counts.append((what, done.answers, sum(map(len, done.typed)) + len(" ".join(command))))
        return done.screen

    did("begin", ["start", "second", "--yes"])
    said = ["Mira T.", "01632 960155", "", "2", "Haldric, Rowan 100, tennis, 100", "", "Oxbow, Gorse, 1.30, polyester",
            "52/50 lb", "", "friday", "18", "y"]  # fmt: skip
    shown = did("walk-in, all new", ["walk-in"], said)
    number = re.search(r"New frame: (\d{4}-[0-9X])", shown)[1]
    did("done as ordered", ["log", number, "--ordered", "--no-build"])
    did("the next visit", ["take", number, "--tension", "2 lb looser", "--promised", "tomorrow", "--yes"], days=40)
    did("done as ordered", ["log", number[:4], "--ordered", "--no-build"], days=41)
    did(
        "a blank in stock",
        ["blank"],
        ["Rowan 100", "R-100-7", "", "", "", "", "", "291.0", "318", "", "", "", "y"],
        days=60,
    )
    shown = did("a replacement", ["issue", "--replaces", number, "--blank", "R-100-7", "--yes"], days=60)
    new = re.search(r"passport (\d{4}-[0-9X])", shown)[1]
    did("strung as before", ["log", new, "--again", "--no-build"], days=60)
    did("told", ["tell", new, "--said"], days=60)
    did(
        "the years before",
        ["import", "../past.csv", "--write"],
        ["y", "kg", "y", "new", "Ropewalk", "tennis", "100", "new", "Oxbow", "nylon"],
        days=61,
    )
    for what, answers, characters in counts:
        print(f"{what}: {answers} answers, {characters} characters typed in all")
    records, faults = load(content)
    assert not [fault for fault in faults if fault.severity == "error"]
    old, fresh = records.by_number(number), records.by_number(new)
    assert old
    assert fresh
    assert (old.record.status, old.record.replaced_by, fresh.record.rebuilds) == ("broken", new, number)
    last, first = old.record.jobs[-1].strings, fresh.record.jobs[0].strings
    assert last
    assert first
    assert [part.tension.text for part in last.both] == ["50 lb", "48 lb"] == [part.tension.text for part in first.both]
    assert (fresh.record.serial, records.blanks) == ("R-100-7", {})
    assert records.players["mira-t"].record.told[0].what == "replacement"
    assert [str(job.date) for job in records.frames["ines-holm/elm-100"].record.jobs] == ["2024-04-13", "2024-05-27"]
