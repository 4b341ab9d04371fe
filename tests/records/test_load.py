"""The content folder is read file by file: what is broken is named, what is sound is there."""

import os
from pathlib import Path
from typing import Any

import pytest
from overlay import THIRD, checked, laid, rules

from passport.records.disk import opening
from passport.records.load import load

BROKEN = {
    "syntax": "label: 'open\n",
    "type": "label: Third\n",
    "alias": "label: &x Third\n",
    "control": "label: Th\x07ird\n",
    "empty": "",
    "list": "- label\n",
}


def test_everything_of_the_workshop_is_read(tmp_path: Path) -> None:
    """Catalogue, players, frames, blanks and pages are all there, under their names, in the order of their files."""
    content, faults = load(laid(tmp_path, {}))
    assert faults == []
    assert content.workshop is not None
    assert content.workshop.record.name == "Bench Nine"
    assert list(content.strings) == ["reed-125", "flint-120"]
    assert list(content.models) == ["larch-98", "wren-490"]
    assert list(content.parts) == ["lead-tape", "thin-overgrip", "bumper-98"]
    assert list(content.players) == ["ines", "tomas"]
    assert list(content.frames) == ["ines/main", "ines/spare", "tomas/court", "tomas/old"]
    assert list(content.blanks) == ["larch-a"]
    assert content.pages["care"].text.startswith("# Care")
    assert content.unread == set()


def test_frames_are_found_by_player_and_by_number(tmp_path: Path) -> None:
    """A player's frames come in the order of their files, and a number leads to its frame."""
    content, _ = load(laid(tmp_path, {}))
    assert [entry.name for entry in content.frames_of("ines")] == ["ines/main", "ines/spare"]
    found = content.by_number("1002-3")
    assert found is not None
    assert found.name == "tomas/court"
    assert content.by_number("9999-9") is None


@pytest.mark.parametrize("text", BROKEN.values(), ids=BROKEN)
@pytest.mark.parametrize("name", [THIRD, "blanks/broken.yaml", "players/petra/player.yaml", "players/ines/main.yaml"])
def test_a_broken_record_never_stops_the_others(tmp_path: Path, name: str, text: str) -> None:
    """Whatever is wrong with one file, every other record is read, and only that file has faults."""
    sound, _ = load(laid(tmp_path / "sound", {}))
    content, faults = checked(tmp_path / "broken", {name: text})
    missing = {"ines/main"} if "main" in name else set()
    assert set(content.frames) >= set(sound.frames) - missing
    assert set(content.players) >= set(sound.players)
    assert set(content.blanks) >= set(sound.blanks)
    assert list(content.strings) == list(sound.strings)
    assert faults
    assert {Path(fault.place.file).name for fault in faults} == {Path(name).name}


@pytest.mark.parametrize("file", ["strings", "frames", "parts"])
@pytest.mark.parametrize("text", ["a: 'open\n", "- a\n"])
def test_a_broken_catalogue_is_one_fault(tmp_path: Path, file: str, text: str) -> None:
    """Where a whole catalogue file cannot be read, the records that name its entries have no faults as well."""
    content, faults = checked(tmp_path, {f"catalogue/{file}.yaml": text})
    assert rules(faults) == ["yaml-syntax"]
    assert file in content.unread
    assert len(content.frames) == 4


def test_one_broken_entry_of_a_catalogue_leaves_the_others(tmp_path: Path) -> None:
    """An entry that cannot be read is one fault; the others, and the records that name it, have none."""
    strings = """\
        reed-125: {maker: Oxbow, name: Reed, material: nylon}
        flint-120: {maker: Oxbow, name: Flint, material: polyester, gauge: 1.20 mm}
    """
    content, faults = checked(tmp_path, {"catalogue/strings.yaml": strings})
    assert rules(faults) == ["missing-key"]
    assert list(content.strings) == ["flint-120"]
    assert content.unread == {"string reed-125"}


def test_an_unread_player_is_no_unread_string(tmp_path: Path) -> None:
    """A record that could not be read excuses references to itself, not to others of its name."""
    files = {
        "players/gossamer/player.yaml": "name:\n",
        THIRD: """\
            model: larch-98
            label: Third
            jobs:
              - date: 2026-05-01
                strings: {mains: {string: gossamer, tension: 24 kg}}
        """,
    }
    assert rules(checked(tmp_path, files)[1]) == ["no-value", "unknown-string"]


def test_all_faults_are_found_in_one_run(tmp_path: Path) -> None:
    """Faults in several places of several files are all reported together, in the order of the files."""
    files = {
        THIRD: "model: larch-98\nlabel: Third\nstatus: borken\nsetup: {mass: 330, balance: 4 pt}\n",
        "blanks/larch-b.yaml": "model: larch-89\nreceived: 3.5.2026\n",
    }
    _, faults = checked(tmp_path, files)
    assert rules(faults) == ["bad-date", "unknown-word", "missing-unit", "missing-unit"]
    assert faults == sorted(faults)


def test_a_folder_without_a_workshop_is_one_fault(tmp_path: Path) -> None:
    """A folder that is no content folder is refused at once, with the folder named."""
    content, faults = load(tmp_path)
    assert rules(faults) == ["no-workshop"]
    assert str(tmp_path) in faults[0].what
    assert content.frames == {}


def test_numbers_of_broken_records_are_in_use(tmp_path: Path) -> None:
    """A number is not free because its record has a fault: it may be on a printed card."""
    files = {THIRD: "number: 1007-4\nmodel: larch-98\nstatus: borken\n", "blanks/b.yaml": "model: larch-98\n"}
    content, faults = load(laid(tmp_path, files))
    assert "ines/third" not in content.frames
    assert content.numbers() == {"1001-5", "1002-3", "1007-4"}
    assert faults


def test_places_name_the_path_as_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A person sees paths as they typed them, so that the terminal can open them."""
    laid(tmp_path, {THIRD: "model: larch-98\n"})
    monkeypatch.chdir(tmp_path)
    _, faults = load(Path("content"))
    assert faults[0].place.file == str(Path("content") / THIRD)


def test_an_entry_knows_where_its_fields_stand(tmp_path: Path) -> None:
    """A field of a catalogue entry is found in the middle of its file."""
    content, _ = load(laid(tmp_path, {}))
    place = content.models["larch-98"].at("head", "width")
    assert (place.line, place.excerpt[place.col - 1 : place.col - 1 + place.width]) == (6, "248 mm")


def test_a_mark_at_the_beginning_of_the_file_is_no_part_of_it(tmp_path: Path) -> None:
    """The byte order mark that some editors write is skipped."""
    root = laid(tmp_path, {})
    (root / THIRD).write_bytes(b"\xef\xbb\xbfmodel: larch-98\nlabel: Third\n")
    content, faults = load(root)
    assert faults == []
    assert content.frames["ines/third"].record.label == "Third"


def test_names_of_files_may_be_in_any_writing(tmp_path: Path) -> None:
    """A player's folder named as the player is, is read, with a warning and nothing else."""
    content, faults = load(laid(tmp_path, {"players/zoë o'hara/player.yaml": "name: Zoë\n"}))
    assert rules(faults) == ["odd-name"]
    assert content.players["zoë o'hara"].record.name == "Zoë"


def test_what_editors_leave_behind_is_not_read(tmp_path: Path) -> None:
    """Hidden files, locks and backups of editors are neither records nor faults."""
    root = laid(tmp_path, {"players/ines/.main.yaml": "x", "players/ines/main.yaml~": "x", "blanks/.a.yaml.swp": "x"})
    (root / "players/ines/.#main.yaml").symlink_to("somebody@somewhere.1234")
    (root / "players/.trash").mkdir()
    assert load(root)[1] == []


@pytest.mark.parametrize("name", ["players/ines/third.yml", "players/third.yaml", "catalogue/string.yaml", "shop.yaml"])
def test_a_record_that_nobody_reads_is_a_warning(tmp_path: Path, name: str) -> None:
    """A record in the wrong place or with another ending is named, because it would be missed too late."""
    _, faults = load(laid(tmp_path, {name: "model: larch-98\nlabel: Third\n"}))
    assert rules(faults) == ["not-read"]
    assert faults[0].severity == "warning"
    assert faults[0].place.file.endswith(name.rpartition("/")[2])


def test_a_pipe_in_place_of_a_file_does_not_hang(tmp_path: Path) -> None:
    """What is not an ordinary file is refused without being opened."""
    root = laid(tmp_path, {})
    (root / "players/ines/player.yaml").unlink()
    os.mkfifo(root / "players/ines/player.yaml")
    assert rules(load(root)[1]) == ["unreadable"]


def test_a_file_that_may_not_be_read_is_a_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Missing permissions are named, not raised."""
    real = opening.read_text

    def read_text(path: Path, **bounds: Any) -> str:
        if path.name == "third.yaml":
            raise PermissionError(13, "Permission denied")
        return real(path, **bounds)

    monkeypatch.setattr(opening, "read_text", read_text)
    (fault,) = load(laid(tmp_path, {THIRD: "model: larch-98\nlabel: Third\n"}))[1]
    assert (fault.rule, fault.what) == ("unreadable", "This file cannot be read: Permission denied.")


def test_a_link_inside_the_folder_is_followed(tmp_path: Path) -> None:
    """Links are fine as long as they stay in the content folder."""
    root = laid(tmp_path, {})
    (root / THIRD).symlink_to(root / "players/ines/spare.yaml")
    content, faults = load(root)
    assert faults == []
    assert content.frames["ines/third"].record.label == "Spare"


def test_the_content_folder_may_itself_be_a_link(tmp_path: Path) -> None:
    """Somebody may keep the content elsewhere and link to it as a whole."""
    root = laid(tmp_path, {})
    (tmp_path / "linked").symlink_to(root)
    assert load(tmp_path / "linked")[1] == []


def test_nothing_is_written(tmp_path: Path) -> None:
    """Reading and checking leave every file of the content folder as it was."""
    root = laid(tmp_path, {THIRD: "model: larch-98\n"})
    before = {path: (path.stat().st_mtime_ns, path.read_bytes()) for path in root.rglob("*") if path.is_file()}
    checked(tmp_path, {})
    after = {path: (path.stat().st_mtime_ns, path.read_bytes()) for path in root.rglob("*") if path.is_file()}
    assert set(after) == set(before)
    assert {path: data for path, (_, data) in after.items()} == {path: data for path, (_, data) in before.items()}


@pytest.mark.parametrize(
    ("path", "renamed"),
    [
        ("players/ines/My Frame.yaml", "'my-frame.yaml'"),
        ("players/ines/Ünder_2.yaml", "'under-2.yaml'"),
        ("players/ines/刀.yaml", "'spare.yaml'"),
        ("players/ines/third.yaml", ""),
    ],
)
def test_a_frame_file_with_an_odd_name(tmp_path: Path, path: str, renamed: str) -> None:
    """A frame's file whose name has capitals, spaces or the like is read, with a warning of what to rename it to."""
    content, faults = load(laid(tmp_path, {path: "model: larch-98\nlabel: Third\n"}))
    assert Path(path).stem in {entry.name.partition("/")[2] for entry in content.frames_of("ines")}
    assert [(f.rule, f.severity) for f in faults] == ([("odd-name", "warning")] if renamed else [])
    assert all(renamed in f.do for f in faults)


def test_a_player_folder_with_an_odd_name(tmp_path: Path) -> None:
    """A player's folder is held to the same names."""
    content, faults = load(laid(tmp_path, {"players/Über/player.yaml": "name: U\n"}))
    assert "Über" in content.players
    assert [(f.rule, "'uber'" in f.do) for f in faults] == [("odd-name", True)]


@pytest.mark.parametrize(
    ("path", "text", "what", "lines"),
    [
        (THIRD, "", "This file is empty.", "'label: …' and 'model: …'"),
        (THIRD, "\n \n", "This file is empty.", "'label: …' and 'model: …'"),
        (THIRD, "# tomorrow\n", "There is no key in this file.", "'label: …' and 'model: …'"),
        ("players/ines/player.yaml", "", "This file is empty.", "'name: …'"),
        ("workshop.yaml", "", "This file is empty.", "'address: …' and 'name: …'"),
    ],
)
def test_an_empty_file_is_one_fault(tmp_path: Path, path: str, text: str, what: str, lines: str) -> None:
    """A record without a word in it is called empty, once, with the lines that it cannot do without."""
    content, faults = load(laid(tmp_path, {path: text}))
    assert [(f.rule, f.what) for f in faults] == [("missing-key", what)]
    assert lines in faults[0].do
    assert content.unread


def test_a_text_that_was_read_before_says_the_same_again(tmp_path: Path) -> None:
    """What is remembered of a text in the same process: records, faults and what cannot be read are those of a first look,
    also where two readings are changed apart."""
    root = laid(
        tmp_path, {"players/ines/third.yaml": BROKEN["syntax"], "catalogue/parts.yaml": "Bad Name: {name: x}\n"}
    )
    first, faults = load(root)
    first.frames.clear()
    first.strings.clear()
    first.unread.clear()
    second, again = load(root)
    assert again == faults != []
    assert {"ines/main", "tomas/old"} <= second.frames.keys()
    assert "frame ines/third" in second.unread and "reed-125" in second.strings
    path = root / "players/ines/main.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("label: ", "label: Other "), encoding="utf-8")
    assert load(root)[0].frames["ines/main"].record.label.startswith("Other ")
    path.write_text(text, encoding="utf-8")
    assert load(root)[0].frames["ines/main"].record == second.frames["ines/main"].record
