"""Numbers, keys, successors and sets: who is who."""

from pathlib import Path

import pytest
from overlay import THIRD, checked, rules, third, underlined

from passport.records.schema.numbers import with_check

KEY = "2Z3A4B5C6D7E8F9G0H1J2K3M4N"
OTHER = "3Z3A4B5C6D7E8F9G0H1J2K3M4N"
N3, N4, N5 = (with_check(n) for n in (1003, 1004, 1005))


def _tomas(number: str, status: str, to: str, key: str) -> str:
    return f"number: {number}\nkey: {key}\nmodel: wren-490\nlabel: L\nstatus: {status}\nreplaced_by: {to}\n"


def test_a_number_used_twice_is_a_fault_at_both_places(tmp_path: Path) -> None:
    """Each of the two records names the other."""
    faults = third(tmp_path, f"number: 1001-5\nkey: {KEY}\n")
    assert rules(faults) == ["number-twice", "number-twice"]
    assert [Path(fault.place.file).name for fault in faults] == ["main.yaml", "third.yaml"]
    assert "third.yaml:" in faults[0].what and "main.yaml:1" in faults[1].what


def test_a_number_used_three_times_names_both_others(tmp_path: Path) -> None:
    """With three of them, each fault names two."""
    text = "number: 1001-5\nkey: {}\nmodel: larch-98\nlabel: L\n"
    _, faults = checked(tmp_path, {THIRD: text.format(KEY), "players/ines/x.yaml": text.format(OTHER)})
    assert rules(faults) == ["number-twice"] * 3
    assert all(fault.what.count(".yaml:") == 2 for fault in faults)


def test_frames_without_numbers_are_no_twins(tmp_path: Path) -> None:
    """Two records that were not issued yet share nothing."""
    text = "model: larch-98\nlabel: L\n"
    assert checked(tmp_path, {THIRD: text, "players/ines/x.yaml": text})[1] == []


def test_a_key_is_unique_among_frames_and_players(tmp_path: Path) -> None:
    """A player's page and a frame's page cannot stand at one address."""
    faults = third(tmp_path, f"number: {N3}\nkey: 7Q2M4X9T0V5B8C3D6F1G4H7J2K\n")
    assert rules(faults) == ["key-twice", "key-twice"]


@pytest.mark.parametrize(("text", "lacks"), [(f"number: {N3}\n", "adds the key"), (f"key: {KEY}\n", "adds the number")])
def test_half_issued(tmp_path: Path, text: str, lacks: str) -> None:
    """A number without a key, or a key without a number, is completed by issuing the frame."""
    (fault,) = third(tmp_path, text)
    assert fault.rule == "half-issued"
    assert "passport issue CONTENT ines/third" in fault.do
    assert lacks in fault.do


def test_a_chain_of_successors_is_fine(tmp_path: Path) -> None:
    """A frame may have been replaced by one that was itself replaced."""
    files = {
        "players/tomas/old.yaml": "model: wren-490\nlabel: Old\nstatus: broken\nreplaced_by: " + N3 + "\n",
        "players/tomas/mid.yaml": _tomas(N3, "lost", "1002-3", KEY),
    }
    assert checked(tmp_path, files)[1] == []


@pytest.mark.parametrize("length", [2, 3])
def test_a_circle_of_successors_is_found(tmp_path: Path, length: int) -> None:
    """Frames that replace each other in a ring would send a reader round and round."""
    numbers, keys = [N3, N4, N5][:length], [KEY, OTHER, "4" + KEY[1:]]
    files = {
        f"players/tomas/ring{i}.yaml": _tomas(number, "lost", numbers[(i + 1) % length], keys[i])
        for i, number in enumerate(numbers)
    }
    assert rules(checked(tmp_path, files)[1]) == ["wrong-successor"] * length


def test_a_frame_that_leads_into_a_circle_is_not_in_it(tmp_path: Path) -> None:
    """Only the members of a ring are told, and the search for it ends."""
    files = {
        "players/tomas/old.yaml": f"model: wren-490\nlabel: Old\nstatus: broken\nreplaced_by: {N3}\n",
        "players/tomas/a.yaml": _tomas(N3, "lost", N4, KEY),
        "players/tomas/b.yaml": _tomas(N4, "lost", N3, OTHER),
    }
    _, faults = checked(tmp_path, files)
    assert [Path(fault.place.file).name for fault in faults] == ["a.yaml", "b.yaml"]


@pytest.mark.parametrize("status", ["broken", "lost", "retired"])
def test_a_frame_out_of_use_may_have_a_successor(tmp_path: Path, status: str) -> None:
    """Whatever happened to a frame, its owner may have got another."""
    assert third(tmp_path, f"status: {status}\nreplaced_by: 1001-5\n") == []


def test_an_active_frame_has_no_successor(tmp_path: Path) -> None:
    """What was replaced is not in use."""
    (fault,) = third(tmp_path, "replaced_by: 1001-5\n")
    assert (fault.rule, underlined(fault)) == ("wrong-successor", "1001-5")


def test_an_unknown_number_is_one_fault(tmp_path: Path) -> None:
    """A sound number that nobody has is named."""
    assert rules(third(tmp_path, f"status: lost\nreplaced_by: {N5}\n")) == ["unknown-number"]


def test_a_successor_that_could_not_be_read_is_no_second_fault(tmp_path: Path) -> None:
    """The number may be in the player's own record that is broken."""
    files = {
        THIRD: f"model: larch-98\nlabel: Third\nstatus: lost\nreplaced_by: {N5}\n",
        "players/ines/fifth.yaml": f"number: {N5}\nkey: {KEY}\nmodel: larch-98\n",
    }
    assert rules(checked(tmp_path, files)[1]) == ["missing-key"]


def test_another_players_broken_record_excuses_nothing(tmp_path: Path) -> None:
    """A successor belongs to the same player, so only that player's records matter."""
    files = {
        THIRD: f"model: larch-98\nlabel: Third\nstatus: lost\nreplaced_by: {N5}\n",
        "players/tomas/fifth.yaml": "model: larch-98\n",
    }
    assert rules(checked(tmp_path, files)[1]) == ["unknown-number", "missing-key"]


def test_a_set_is_of_one_sport(tmp_path: Path) -> None:
    """Frames that are to feel alike are of one sport; sets of the same name of two players are two sets."""
    assert rules(third(tmp_path / "mixed", "model: wren-490\nset: pair\n")) == ["mixed-set"]
    other = {"players/tomas/third.yaml": "model: wren-490\nlabel: Third\nset: pair\n"}
    assert checked(tmp_path / "other", other)[1] == []
