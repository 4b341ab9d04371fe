"""A sign that no typeface has is an error with its place, never a box."""

import pytest
from manynames import NAMES, add
from places import DEMO

from passport.records.load import load
from passport.render.faces.signs import run
from passport.render.theme import assets


@pytest.fixture
def player(tmp_path):
    """A workshop of which one record says what a test wants it to; call it with a name, get the faults."""
    import shutil

    shutil.copytree(DEMO, tmp_path / "content", ignore=shutil.ignore_patterns(".passport"))
    path = tmp_path / "content/players/askwell/player.yaml"
    text = path.read_text(encoding="utf-8")

    def named(name: str, remark: str = ""):
        path.write_text(text.replace("name: Juniper A.", f"name: {name}", 1) + remark, encoding="utf-8")
        return run(load(tmp_path / "content")[0], assets.fonts())

    named.content = tmp_path / "content"
    return named


def test_the_demo_lacks_nothing(player) -> None:
    """All of the demo's records are set in what ships."""
    assert player("Juniper A.") == []


def test_a_sign_without_a_glyph_is_an_error_at_its_place(player) -> None:
    """The place is that of the sign; the text says what it is and what to do."""
    (fault,) = player("Bo 山田")
    assert fault.severity == "error" and fault.rule == "no-glyph"
    assert (fault.place.line, fault.place.col) == (2, len("name: Bo ") + 1)
    assert "山 (U+5C71)" in fault.what and "passport fonts" in fault.do


def test_emoji_are_refused_as_such(player) -> None:
    """A picture is refused with what to do instead; none is printed in colour or as a box."""
    (fault,) = player("Bo 🎾")
    assert "emoji" in fault.do and "🎾 (U+1F3BE)" in fault.what


def test_a_script_without_a_known_file_is_refused(player) -> None:
    """Where no file is known nothing is promised."""
    (fault,) = player("Bo ᚠᚢᚦ")
    assert "another script" in fault.do


def test_an_escape_in_yaml_is_seen(player) -> None:
    """A sign that the file writes as an escape is found all the same."""
    assert [fault.rule for fault in player('"Bo \\u5c71"')] == ["no-glyph"]


def test_a_remark_may_hold_anything(player) -> None:
    """What is never shown needs no glyph."""
    assert player("Juniper A.", "# 山田 🎾\n") == []


def test_pages_of_text_are_looked_at(player) -> None:
    """A sign on a page of the shop's own text has its line."""
    page = next((player.content / "pages").glob("*.md"))
    page.write_text(page.read_text(encoding="utf-8") + "\nสวัสดี\n", encoding="utf-8")
    (fault,) = player("Juniper A.")
    assert fault.place.line == len(page.read_text(encoding="utf-8").splitlines()) and "Thai" in fault.do


def test_no_name_lacks_a_sign_once_its_typeface_was_added(player, monkeypatch) -> None:
    """With the typefaces added every name passes."""
    assert len(player("名 ไทย")) == 1
    add(player.content, monkeypatch)
    assert [fault for names in NAMES.values() for fault in player(" ".join(names))] == []
