"""``passport what-if``: options, table, data, and what it says when the question cannot be answered."""

import json

import pytest
from bedshop import frame, job, shop
from commandline import passport, refused, tree

from passport.records.schema.numbers import with_check

NUMBER = with_check(3001)
READING = "mass: 330 g, balance: 320 mm, swingweight: 318 kgcm2, ring: 600 Hz, age: 15 min"


@pytest.fixture
def content(tmp_path):
    """One frame strung at 50 lb, read and measured, and one that was never strung."""
    frames = {"one": frame(job("2026-01-05", READING)), "bare": "model: larch-98\nlabel: Bare\n"}
    return shop(tmp_path, frames).root


def data(content, *options: str) -> dict:
    """What ``--json`` prints."""
    result = passport("what-if", content, "cy/one", *options, "--json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


def test_the_table_compares_both_units(content):
    """Now, then and change stand beside each other, tensions in lb and kg; nothing is written."""
    before = tree(content)
    result = passport(
        "what-if", content, "cy/one", "--mains", "flint-120", "--tension", "52 lb", env={"COLUMNS": "120"}
    )
    assert result.exit_code == 0, result.stderr
    for words in ("Reed, 1.25 mm", "Flint, 1.20 mm", "50.0 lb (22.7 kg)", "52.0 lb (23.6 kg)", "+2.0 lb (+0.9 kg)"):
        assert words in result.stdout
    for words in ("600 ± ", "330.0 g", "320.0 mm", "318.0 kg·cm²", "own fresh reading, 600 Hz", "believe the reading"):
        assert words in result.stdout
    assert tree(content) == before


def test_every_option(content):
    """String, crosses, gauge, two tensions and pattern reach the answer."""
    then = data(
        content, "--mains", "birch-130", "--crosses", "flint-120", "--tension", "24/23 kg", "--pattern", "18x20"
    )["then"]
    assert (then["mains"]["string"], then["crosses"]["string"]) == ("Birch", "Flint")
    assert (then["mains"]["pull_kg"], then["crosses"]["pull_kg"]) == (24.0, 23.0)
    assert then["mains"]["pull_lb"] == pytest.approx(24 / 0.45359237, abs=0.01)  # exact, 1959 agreement
    assert then["pattern"] == [18, 20]
    assert data(content, "--gauge", "1.30 mm")["then"]["crosses"]["gauge_mm"] == 1.3


def test_a_heavier_string_shows(content):
    """More mass in the head moves mass, balance and swingweight up, and the frequency down."""
    found = data(content, "--mains", "flint-120")
    now, then = found["now"], found["then"]
    for name in ("strings_g", "mass_g", "balance_mm", "swingweight_kgcm2"):
        assert then[name] > now[name]
    assert then["reading_hz"] < now["reading_hz"]
    assert then["swingweight_kgcm2"] - now["swingweight_kgcm2"] == pytest.approx(
        found["swingweight_change_kgcm2"], abs=0.02
    )
    assert found["from"] == "reading"


def test_over_the_makers_limit(content):
    """A pull over the frame maker's limit is called out, in both units."""
    result = passport("what-if", content, "cy/one", "--tension", "60 lb")
    assert "over the frame maker's limit of 57.3 lb (26.0 kg)" in result.stdout
    assert data(content, "--tension", "60 lb")["over_limit"] is True
    assert data(content, "--tension", "56 lb")["over_limit"] is False


def test_without_a_reading_it_says_where_it_starts(tmp_path):
    """Without a reading in Hz the answer says that it starts from the pull tension; what nobody measured is a dash."""
    content = shop(tmp_path, {"one": frame(job("2026-01-05"))}).root
    result = passport("what-if", content, "cy/one", "--tension", "52 lb")
    assert "usual 70 % of the pull tension" in result.stdout
    assert "–" in next(line for line in result.stdout.splitlines() if line.startswith("Balance"))


@pytest.mark.parametrize("called", [NUMBER, NUMBER[:4], "cy one"])
def test_the_frame_is_named_as_everywhere(tmp_path, called):
    """A number, or what is said of the frame, will do as well as player/frame."""
    more = f"number: {NUMBER}\nkey: {'C' * 26}\n"
    content = shop(tmp_path, {"one": frame(job("2026-01-05"), more=more)}).root
    result = passport("what-if", content, called, "--tension", "52 lb")
    assert result.exit_code == 0, result.stderr
    assert "52.0 lb" in result.stdout


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("cy/one", "--mains", "flnt-120"), ("'flnt-120' is not in the catalogue", "Did you mean 'flint-120'?")),
        (("cy/on", "--mains", "flint-120"), ("no frame 'cy/on'", "Did you mean 'cy/one'?")),
        (("cy/bare", "--mains", "flint-120"), ("no strings in its record",)),
    ],
)
def test_what_is_not_there(content, options, words):
    """An unknown string or frame, or a frame without strings, ends with 1 and a hint."""
    refused(passport("what-if", content, *options), *words)


@pytest.mark.parametrize(
    ("options", "word"),
    [
        ((), "Name what is to change"),
        (("--tension", "50"), "has no unit"),
        (("--gauge", "13 mm"), "cannot be right"),
        (("--pattern", "18"), "18x20"),
        (("--pattern", "3x3"), "18x20"),
    ],
)
def test_wrong_usage_ends_with_2(content, options, word):
    """A question without a change, or with a value that cannot be read, is wrong usage."""
    result = passport("what-if", content, "cy/one", *options)
    assert result.exit_code == 2
    assert word in result.stderr


def test_the_same_strings_change_nothing(content):
    """A change of tension alone says of the masses that they stay, and claims no uncertainty of nothing."""
    said = passport("what-if", content, "cy/one", "--tension", "52 lb").stdout
    assert "± 0.0" not in said
    assert sum("0.0 g" in line for line in said.splitlines()) >= 1
