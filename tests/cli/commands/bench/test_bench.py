"""Targets, blanks, instruments and players without an editor."""

import math

import manynames
import pytest
import rebuildshop
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, passport, tree

from passport.cli.main import main
from passport.records.load import load
from passport.workshop.measuring.states import State
from passport.workshop.rebuild.subject import Workbench

SHOP = """\
name: Bench Nine
address: https://cards.bench-nine.example/p
units: {tension: lb, balance: points}
instruments:
  - kind: scale
    name: Letter scale
    resolution: 0.1 g
    checks:   # oldest first
      - {date: 2026-01-05, known: 200.0 g, reads: 200.1 g, against: class M1 weight}
  - kind: swing machine
    name: Swing machine
    resolution: 0.5 kgcm2
    checks:
      - {date: 2026-01-05, rod: {mass: 276.2 g, length: 700 mm, diameter: 8 mm}, reads: 285.5 kgcm2, against: steel rod}
"""


@pytest.fixture
def content(tmp_path):
    """The small workshop, in pounds and points."""
    return smallshop.write(tmp_path / "content", {"workshop.yaml": SHOP})


@pytest.fixture
def typed(monkeypatch, content):
    """Types lines into a command's dialogue."""
    as_a_person(monkeypatch)

    def run(name, *words, lines=()):
        runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
        text = "".join(f"{line}\n" for line in lines)
        return runner.invoke(main, [name, str(content), *words], input=text)

    return run


def setup(content, name="ada/main"):
    """The setup of a frame."""
    return load(content)[0].frames[name].record.setup


def test_a_target_is_asked_with_what_stands_there(content, typed):
    """Enter keeps a target, a bare figure has the shop's unit, '-' takes one out; the last reading stands above."""
    result = typed("target", "ada/main", lines=["331 ± 1", "6 HL", "-", "", "One overgrip.", "y"])
    assert result.exit_code == 0, result.output
    assert "Measured on 2026-03-02: mass 331.1 g." in result.output
    found = setup(content)
    assert (found.balance.text, found.swingweight, found.twistweight, found.note) == (
        "6 HL",
        None,
        None,
        "One overgrip.",
    )


def test_what_was_measured_becomes_the_target(content):
    """--as-measured takes the last reading of the frame as it is in the hand, and nothing that was not measured."""
    assert passport("target", content, "ada/twin", "--as-measured", "--yes").exit_code == 0
    found = setup(content, "ada/twin")
    assert (found.mass.text, found.balance.text, found.swingweight.text) == ("331.5 g", "329.5 mm", "319 kgcm2")
    assert found.twistweight is None
    refused = passport("target", content, "ada/fresh", "--as-measured", "--yes")
    assert refused.exit_code == 1
    assert "Nothing was measured" in refused.output


def test_a_target_that_cannot_be_read_is_named(content):
    """A slip is told with its option; nothing is written."""
    before = tree(content / "players")
    for words, said in ((["--mass", "heavy"], "--mass: 'heavy' is not a mass"), ([], "Say what it must be")):
        refused = passport("target", content, "ada/main", *words)
        assert refused.exit_code == 2
        assert said in refused.output
    assert tree(content / "players") == before


def test_a_blank_comes_into_stock_by_a_dialogue(content, typed):
    """Its file is named after its model; what was not measured stays out."""
    lines = ["Larch 98", "TL-7", "", "", "Peg 4", "", "bare", "290.1", "", "", "", "", "y"]
    result = typed("blank", lines=lines)
    assert result.exit_code == 0, result.output
    blank = load(content)[0].blanks["larch-98"].record
    assert (blank.model, blank.serial, blank.grip, blank.location) == ("larch-98", "TL-7", "", "Peg 4")
    assert blank.received == smallshop.TODAY
    reading = blank.readings[0]
    assert (reading.state, reading.mass.text, reading.balance, reading.swingweight) == ("bare", "290.1 g", None, None)


def test_a_blank_is_timed_as_a_pendulum(content, tmp_path):
    """A rod of 300 g and 700 mm hung at its end swings in T = 2π·√(2L/3g), and is 300·(70²/12 + 25²)/1000 = 310 kg·cm² about
    10 cm (any mechanics text)."""
    rod = tmp_path / "rod"
    rebuildshop.shop(rod, blanks={"near": "mass: 300 g, balance: 350 mm"})
    period = 2 * math.pi * math.sqrt(2 * 0.7 / (3 * 9.80665))
    timed = f"0 mm {20 * period:.3f} s 20 swings"
    done = passport("blank", rod, "near", "--mass", "300 g", "--balance", "350 mm", "--pendulum", timed, "--yes")
    assert done.exit_code == 0, done.output
    bench = Workbench(load(rod)[0], rebuildshop.TODAY)
    body = bench.known(bench.blank("near"), State(bench.blank("near").on.parts)).body
    assert body.moments.swingweight() == pytest.approx(310, abs=0.1)


def test_a_blank_in_stock_is_measured(content):
    """A reading joins those that are there; a new model comes into the catalogue with its first blank."""
    done = passport("blank", content, "larch-a", "--mass", "292.0 g", "--balance", "4 pt HL", "--yes")
    assert done.exit_code == 0, done.output
    assert [one.mass.text for one in load(content)[0].blanks["larch-a"].record.readings] == ["292.0 g"]
    done = passport("blank", content, "--frame", "Haldric, Rowan 100, tennis, 100", "--serial", "R-1", "--yes")
    assert done.exit_code == 0, done.output
    records = load(content)[0]
    assert records.blanks["haldric-rowan-100"].record.readings == ()
    assert "haldric-rowan-100" in records.models


def test_an_instrument_is_checked_like_last_time(content, typed):
    """Enter takes what it was held against before; the line is added below the others and nothing else is touched."""
    before = (content / "workshop.yaml").read_text(encoding="utf-8").splitlines()
    result = typed("check-instrument", lines=["1", "", "", "200.0 g", "", "y"])
    assert result.exit_code == 0, result.output
    after = (content / "workshop.yaml").read_text(encoding="utf-8").splitlines()
    added = [line for line in after if line not in before]
    assert added == ["      - {date: 2026-11-25, known: 200.0 g, reads: 200.0 g, against: class M1 weight}"]
    assert [line for line in after if line in before] == before
    done = passport("check-instrument", content, "swing", "--reads", "285.0 kgcm2", "--yes")
    assert done.exit_code == 0, done.output
    check = load(content)[0].workshop.record.instruments[1].checks[-1]
    assert (check.known, check.rod.mass.text, check.reads.text, check.against) == (
        None,
        "276.2 g",
        "285.0 kgcm2",
        "steel rod",
    )


def test_an_instrument_that_is_not_listed_is_listed(content):
    """Its kind, name and last digit come with its first check."""
    words = [
        "--name",
        "Reader",
        "--resolution",
        "1 Hz",
        "--known",
        "440 Hz",
        "--reads",
        "441 Hz",
        "--against",
        "tuning fork",
    ]
    done = passport("check-instrument", content, "ring reader", *words, "--yes")
    assert done.exit_code == 0, done.output
    found = load(content)[0].workshop.record.instruments[-1]
    assert (found.kind, found.name, found.resolution.text, found.checks[0].reads.text) == (
        "ring reader",
        "Reader",
        "1 Hz",
        "441 Hz",
    )
    refused = passport("check-instrument", content, "barometer", "--reads", "1 g")
    assert refused.exit_code == 1
    assert "There is no instrument 'barometer'. There are: Letter scale" in refused.output
    refused = passport("check-instrument", content, "scale", "--reads", "20 mm", "--yes")
    assert refused.exit_code == 2
    assert "--reads: 'mm' is not a unit of a mass" in refused.output


def test_what_a_player_wishes_is_asked(content, typed):
    """Every wish with what stands there offered; what is not touched stays, letter for letter."""
    lines = ["", "", "-", "01632 960199", "de", "kg", "2", "no", "", "", "no", "bare", "", "y"]
    result = typed("player", "ada", lines=lines)
    assert result.exit_code == 0, result.output
    player = load(content)[0].players["ada"].record
    assert (player.name, player.full_name) == ("Ada", "SECRET-FULL-NAME")
    assert (player.contact.email, player.contact.phone) == ("", "01632 960199")
    assert (player.language, player.units, player.plays_a_week, player.messages) == ("de", "kg", 2, "no")
    assert player.hoop == "bare"
    assert (player.shows.history, player.shows.photos, player.private_note) == (False, True, "SECRET-PLAYER")
    again = passport("player", content, "ada", "--messages", "-", "--yes")
    assert again.exit_code == 0, again.output
    assert load(content)[0].players["ada"].record.messages is None


def test_how_a_name_is_read_is_asked_of_other_letters(content, typed, monkeypatch):
    """A name in another script is asked how it is read, and found by that; the pages never show it."""
    manynames.add(content, monkeypatch)
    passport("player", content, "ada", "--name", "山瀬 実波", "--yes")
    result = typed("player", "ada", lines=["", "", "Yamase Minami", "", "-", *[""] * 9, "y"])
    assert result.exit_code == 0, result.output
    assert "as it is read aloud" in result.output
    assert load(content)[0].players["ada"].record.reading == "Yamase Minami"
    said = [passport("find", content, text).output for text in ("yamase", "山瀬", "実波")]
    assert said[0] == said[1] == said[2] != ""
