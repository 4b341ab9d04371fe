"""The frame that somebody means."""

import pytest
import smallshop

from passport.acts.picking import concerned, folder_named, matching, pick
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


def test_whom_a_correction_concerns(tmp_path):
    """The frame's own player, and who has the serial, the number, or the name with the label that the record gets."""
    players = {
        "ada": ("Ada B.", "number: 1001-5\nlabel: Blue\nserial: AA-1\n"),
        "ben": ("Ben C.", "number: 1002-3\nlabel: Blue\nserial: BB-2\n"),
        "ada-two": ("Ada D.", "number: 1003-1\nlabel: Red\nserial: CC-3\n"),
    }
    (tmp_path / "workshop.yaml").write_text("name: Shop\n", encoding="utf-8")
    for folder, (name, frame) in players.items():
        (tmp_path / "players" / folder).mkdir(parents=True)
        (tmp_path / "players" / folder / "player.yaml").write_text(f"name: {name}\n", encoding="utf-8")
        (tmp_path / "players" / folder / "one.yaml").write_text(frame, encoding="utf-8")
    assert concerned(tmp_path, "1001-5", ["Green"]) == {"ada"}
    assert concerned(tmp_path, "ada/one", ["bb-2"]) == {"ada", "ben"}
    assert concerned(tmp_path, "1001-5", ["1002 3"]) == {"ada", "ben"}
    assert concerned(tmp_path, "1001-5", ["red"]) == {"ada", "ada-two"}
    assert concerned(tmp_path, "Blue", ["Red"]) is None
    assert folder_named(tmp_path, "ben") == {"ben"}
    assert folder_named(tmp_path, "blue") is folder_named(tmp_path, "nobody") is None
