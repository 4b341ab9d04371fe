"""A change tried on the content before it is written."""

from functools import partial

import overlay
import pytest

from passport.records import checks
from passport.records.faults import Fault
from passport.records.load import Content
from passport.records.trial import only_new, tried

CHECK = partial(checks.run, today=overlay.TODAY)
MAIN = "players/ines/main.yaml"


@pytest.fixture
def shop(tmp_path) -> tuple[Content, list[Fault]]:
    """The valid workshop with one frame that has an error and a warning of its own."""
    return overlay.checked(tmp_path, {overlay.THIRD: "model: larch-99\nlabel: Third\n", "players/notes.yaml": "a: b\n"})


def test_a_sound_change_brings_no_fault(shop) -> None:
    """What was wrong before is not told again, even where a line moved; the record is the changed one."""
    content, before = shop
    text = (content.root / overlay.THIRD).read_text()
    after, new = tried(content, {overlay.THIRD: f"# new line\n{text}grip: L2\n"}, before, CHECK)
    assert [f.rule for f in before] == ["unknown-model", "not-read"]
    assert new == []
    assert after.frames["ines/third"].record.grip == "L2"
    assert content.frames["ines/third"].record.grip == ""


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("model: larch-98\nlabel: Third\nnumber: 1002-3\nkey: 9R6S7T8V9W0X1Y2Z3A4B5C6D7E\n", "number-twice"),
        ("model: larch-98\nlabel: Third\nmass: 3 g\n", "unknown-key"),
        ("model: larch-98\n", "missing-key"),
        ("model: [\n", "yaml-syntax"),
        ("model\n", "yaml-syntax"),  # found by fuzzing: one word is no record, and nobody said so
        ("- model: larch-98\n", "yaml-syntax"),
        ("model: larch-98\nlabel: Third\njobs:\n", "no-value"),
    ],
)
def test_a_new_fault_is_found(shop, text: str, rule: str) -> None:
    """A fault of the changed file, or between it and another, is new."""
    content, before = shop
    after, new = tried(content, {overlay.THIRD: text}, before, CHECK)
    assert rule in {f.rule for f in new}
    assert ("ines/third" in after.frames) == (rule == "number-twice")


def test_a_new_player_with_a_frame(shop) -> None:
    """Files that do not exist yet are tried as well."""
    content, before = shop
    texts = {"players/noa/player.yaml": "name: Noa\n", "players/noa/one.yaml": "model: larch-98\nlabel: One\n"}
    after, new = tried(content, texts, before, CHECK)
    assert new == []
    assert after.players["noa"].record.name == "Noa"
    assert after.frames["noa/one"].record.label == "One"
    assert "noa" not in content.players


def test_a_fault_for_the_second_time_is_new(shop) -> None:
    """The same fault twice where it was there once is one new fault."""
    _, before = shop
    assert list(only_new([*before, *before], before)) == before
    assert list(only_new([], before)) == []


def test_a_changed_record_keeps_its_place(shop) -> None:
    """Of two records that clash the same one is at fault before and after a change of either: nothing is new."""
    content, _ = shop
    before = list(content.frames)
    texts = {f"players/{name}.yaml": (content.root / f"players/{name}.yaml").read_text() for name in before[:1]}
    after, _ = tried(content, {path: f"{text}\nrack: Grip\n" for path, text in texts.items()}, [], CHECK)
    assert list(after.frames) == before and after.frames[before[0]].record.rack == "Grip"
