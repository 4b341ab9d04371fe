"""The frame that somebody means."""

import pytest
import smallshop

from passport.acts.picking import matching, pick
from passport.acts.refused import Refused

NUMBERS, KEY = smallshop.NUMBERS, smallshop.KEYS["main"]


@pytest.fixture(scope="module")
def records(tmp_path_factory):
    """The small workshop with two frames that have the same label."""
    double = "model: larch-98\nlabel: Main\n"
    return smallshop.read(tmp_path_factory.mktemp("shop"), {"players/bo/main.yaml": double})[0]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("ada/main", "ada/main"),
        (NUMBERS["twin"], "ada/twin"),
        (NUMBERS["twin"].replace("-", ""), "ada/twin"),
        (f" {NUMBERS['twin'].replace('-', ' – ')} ", "ada/twin"),
        (NUMBERS["twin"][:4], "ada/twin"),
        ("tl-torn", "ada/torn"),
        ("ADA  twin", "ada/twin"),
        ("twin", "ada/twin"),
        ("bo main", "bo/main"),
        (KEY, "ada/main"),
        (f"https://cards.example/{KEY}/", "ada/main"),
        (f"HTTPS://CARDS.EXAMPLE/{KEY}/#{'7' * 32}", "ada/main"),
        (f"cards.example/{KEY.lower()}", "ada/main"),
        (f'{NUMBERS["twin"]}: "Twin"; Ada A.; 2 Mar 2026\nFrame: Larch 98; grip L3', "ada/twin"),
        (f'{NUMBERS["twin"]}: "Twin"; Ada A.; 2 Mar 2026', "ada/twin"),
    ],
)
def test_the_frame_is_found(records, text, name):
    """However a frame is named at the bench, it is found."""
    assert pick(records, text).name == name


def test_a_name_that_fits_several(records):
    """Where several fit, they are named with their numbers."""
    with pytest.raises(Refused, match=r"'ada/main' \(2001-\w\), 'bo/main' \(no number yet\)"):
        pick(records, "main")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("9999-X", "has a typo"),
        (NUMBERS["main"][:-1] + ("0" if NUMBERS["main"][-1] != "0" else "1"), "Did you mean"),
        ("ada/mian", "Did you mean 'ada/main'"),
        ("x", "Name it by its number"),
        ("", "There is no frame"),
        ("serial", "Name it by its number"),
        (f"https://cards.example/{'N' * 26}/", "Name it by its number"),
    ],
)
def test_a_name_that_fits_none(records, text, words):
    """What fits nothing is refused with what was probably meant, or how frames are named."""
    with pytest.raises(Refused, match=words):
        pick(records, text)
    assert matching(records, text) == []


def test_a_record_that_cannot_be_read(tmp_path):
    """A frame whose record is broken is told apart from one that does not exist."""
    records, _ = smallshop.read(tmp_path, {"players/bo/only.yaml": "lable: x\n"})
    with pytest.raises(Refused, match="cannot be read"):
        pick(records, "bo/only")
