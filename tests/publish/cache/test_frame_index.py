"""The outlines kept beside the content."""

import os
import shutil

import pytest

from passport.publish.cache import frame_index
from passport.workshop.entry.search import search


@pytest.fixture
def content(demo_content, tmp_path):
    """A copy of the demo that may be changed."""
    target = tmp_path / "content"
    shutil.copytree(demo_content.root, target, ignore=shutil.ignore_patterns(".passport-cache"))
    return target


def test_all_frames_of_the_demo_are_on_the_shelf(demo_content, content):
    """Each record that loads has an outline with the same number, label and serial."""
    frames = {f.name: f for f in frame_index.frames(content)}
    assert frames.keys() == demo_content.frames.keys()
    for name, entry in demo_content.frames.items():
        record = entry.record
        assert (frames[name].number, frames[name].label, frames[name].serial) == (
            record.number,
            record.label,
            record.serial,
        )


def test_only_what_changed_is_read_again(content, monkeypatch):
    """A second look reads nothing, a changed record alone is read."""
    frame_index.frames(content)
    read = []
    outline = frame_index._outline
    monkeypatch.setattr(frame_index, "_outline", lambda path, name: read.append(name) or outline(path, name))
    frame_index.frames(content)
    assert read == []
    path = content / "players/askwell/i.yaml"
    path.write_text(path.read_text().replace("label: I", "label: Quill"))
    found = {f.name: f for f in frame_index.frames(content)}
    assert read == ["askwell/i.yaml"]
    assert found["askwell/i"].label == "Quill"


def test_a_removed_record_is_found_no_more(content):
    """What is gone from the folder is gone from the shelf."""
    frame_index.frames(content)
    (content / "players/askwell/i.yaml").unlink()
    assert "askwell/i" not in {f.name for f in frame_index.frames(content)}


@pytest.mark.parametrize("harm", [b"", b"nonsense", b"outlines 1 0000\n{}"])
def test_a_damaged_file_is_not_trusted(content, harm):
    """A kept file that is damaged is read anew."""
    good = frame_index.frames(content)
    (content / frame_index.FILE).write_bytes(harm)
    assert frame_index.frames(content) == good


@pytest.mark.skipif(os.name == "nt", reason="permissions work otherwise there")
def test_a_folder_that_cannot_be_written_to_is_searched_all_the_same(content, monkeypatch):
    """Where nothing can be kept, the frames are found nevertheless."""

    def refuse(*_):
        raise PermissionError

    monkeypatch.setattr(frame_index.atomic, "write", refuse)
    assert frame_index.frames(content)


def test_a_number_is_found_without_joining_all(content):
    """What is found by number is what a search among all frames finds, player and all; any other text too."""
    for text in ("1042-9", "10429", "1042 9", "askwell", "juniper petrol", "nobody", "0871-6"):
        assert frame_index.matching(content, text) == search(text, frame_index.frames(content)), text
    assert len(frame_index.matching(content, "1042-9")) == 1


def test_the_holder_of_a_number_is_found_by_one_file(content, monkeypatch):
    """Where all were looked at before, a number is found without a look at the others; a changed record is not trusted."""
    number = "1042-9"
    assert frame_index.holder(content, number) is None, "nothing is kept yet"
    known = {f.number: f.name for f in frame_index.frames(content)}
    player, _, frame = known[number].partition("/")
    monkeypatch.setattr(frame_index, "listing", lambda *_: pytest.fail("all files were looked at"))
    assert frame_index.holder(content, number) == player
    assert frame_index.holder(content, "1042") is None, "only a number in full is sure"
    assert frame_index.holder(content, "") is None
    path = content / f"players/{player}/{frame}.yaml"
    path.write_text(path.read_text() + "\n")
    assert frame_index.holder(content, number) is None


def test_a_number_that_stood_twice_has_no_holder(content):
    """Where two records have a number, both must be looked at."""
    names = [f.name for f in frame_index.frames(content) if f.number == "1042-9"]
    copy = content / "players/askwell/copy.yaml"
    shutil.copy(content / f"players/{names[0]}.yaml", copy)
    frame_index.frames(content)
    assert frame_index.holder(content, "1042-9") is None


def test_one_frame_is_known_as_all_are(content):
    """Looked for alone, the same frames are there as among all: no hidden ones, none behind a link to a folder, no player's
    own record in a frame's place, and nothing by a path."""
    own = content / "players/askwell"
    (own / ".hidden.yaml").write_text("label: Hidden\n")
    (own / "folder.yaml").mkdir()
    (own / "to-nothing.yaml").symlink_to(own / "nothing.yaml")
    (own / "linked.yaml").symlink_to(own / "i.yaml")
    (content / "players/linked").symlink_to(own)
    all_of_them = {frame.name for frame in frame_index.frames(content)}
    assert "askwell/linked" in all_of_them
    for name in (
        *sorted(all_of_them), "askwell/.hidden", "askwell/folder", "askwell/to-nothing", "linked/i", "askwell/player",
        "askwell/none", "nobody/i", "askwell", "", "/", "../askwell", "askwell/../i", "askwell//i", "./askwell/i",
    ):  # fmt: skip
        assert frame_index.known(content, name) == (name in all_of_them), name
