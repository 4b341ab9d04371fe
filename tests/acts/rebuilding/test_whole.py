"""All records kept while a program goes on are those that are read anew, whatever was changed meanwhile."""

import os
import shutil
from pathlib import Path

import pytest
from places import DEMO

from passport.acts.reading import known, read, sound
from passport.acts.rebuilding import whole
from passport.acts.rebuilding.whole import WholeRecords, with_own
from passport.records.load import load


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A copy of the demo whose files are old enough for their marks to be believed."""
    root = Path(shutil.copytree(DEMO, tmp_path / "shop", ignore=shutil.ignore_patterns(".passport*")))
    for path in root.rglob("*.yaml"):
        _aged(path)
    return root


def _aged(path: Path) -> None:
    before = path.stat().st_mtime - 3600
    os.utime(path, (before, before))


def _same(kept: WholeRecords, shop: Path) -> None:
    now, anew = kept.now(), load(shop)[0]
    for table in ("strings", "models", "parts", "lots", "players", "frames", "blanks", "pages"):
        mine, fresh = getattr(now, table), getattr(anew, table)
        assert list(mine) == list(fresh), table
        assert all(mine[name] == fresh[name] for name in mine), table
    assert (now.workshop, now.unread) == (anew.workshop, anew.unread)


def test_they_are_what_is_read_anew(shop):
    """After a change of a frame, a blank, a string; after a frame and a player that came, and that went."""
    kept = WholeRecords(shop)
    _same(kept, shop)
    frame, blank = shop / "players/askwell/i.yaml", next((shop / "blanks").glob("*.yaml"))
    frame.write_text(frame.read_text().replace("label: I", "label: Quill"))
    _same(kept, shop)
    blank.write_text(blank.read_text() + "private_note: Looked at.\n")
    _same(kept, shop)
    strings = shop / "catalogue/strings.yaml"
    strings.write_text(strings.read_text() + "\n# a word\n")
    _same(kept, shop)
    (shop / "players/askwell/i-b.yaml").write_text("model: haldric-fallowgate-100\nlabel: Next\n")
    shutil.copytree(shop / "players/dunmarrow", shop / "players/aaa")
    for path in (shop / "players/aaa").glob("*.yaml"):
        lines = path.read_text().splitlines(keepends=True)
        path.write_text(
            "".join(one for one in lines if not one.startswith(("number:", "key:", "rebuilds:", "secret:")))
        )
    _same(kept, shop)
    shutil.rmtree(shop / "players/aaa")
    (shop / "players/askwell/i-b.yaml").unlink()
    _same(kept, shop)


def test_only_what_changed_is_read_again(shop, monkeypatch):
    """A second look reads no player, a changed record that player alone; a file that was just written is read each time."""
    kept, asked = WholeRecords(shop), []
    kept.now()
    monkeypatch.setattr(whole, "load", lambda root, only: asked.append(sorted(only)) or load(root, only))
    kept.now()
    frame = shop / "players/askwell/i.yaml"
    frame.write_text(frame.read_text().replace("label: I", "label: Quill"))
    for _ in range(2):
        kept.now()
    _aged(frame)
    for _ in range(2):
        kept.now()
    assert asked == [[], ["askwell"], ["askwell"], ["askwell"], []]


def test_with_errors_there_is_what_can_be_relied_on(shop):
    """A faulty record does not hide the others, and mended it is back."""
    kept, frame = WholeRecords(shop), shop / "players/askwell/i.yaml"
    kept.now()
    text = frame.read_text()
    frame.write_text(text.replace("label: I", "labl: I"))
    assert known(shop) is None
    found = kept.now().frames
    assert "askwell/i" not in found and "askwell/ii" in found
    frame.write_text(text)
    _same(kept, shop)


def test_what_was_read_by_itself_goes_before(shop):
    """A player's records as another reading has them stand among all others, with what all share as it has it."""
    everything = load(shop)[0]
    own = load(shop, {"askwell"})[0]
    own.frames.pop("askwell/ii")
    own.blanks.clear()
    both = with_own(everything, own)
    assert both.frames.keys() == everything.frames.keys()
    assert both.frames["askwell/i"] is own.frames["askwell/i"]
    assert both.blanks == {}


def test_sound_records_are_those_that_are_read(shop):
    """What did not change is not checked again, and nothing is said otherwise for it."""
    for _ in range(2):
        content, faults = sound(shop)
        anew, found = read(shop)
        assert faults == found
        assert list(content.frames) == list(anew.frames)
