"""A sign that no typeface has is an error with its place, never a box."""

import re

import pytest
import wordfaces
from manynames import NAMES, add
from places import DEMO

from passport.records.load import load
from passport.render.faces.shelf import shelf
from passport.render.faces.signs import lacking, run
from passport.render.theme import assets
from passport.render.theme.words import languages, signs_of


@pytest.fixture
def player(tmp_path):
    """A workshop of which one record says what a test wants it to; call it with a name, get the faults."""
    import shutil

    shutil.copytree(DEMO, tmp_path / "content", ignore=shutil.ignore_patterns(".passport"))
    path = tmp_path / "content/players/askwell/player.yaml"
    text = path.read_text(encoding="utf-8")

    def named(name: str, remark: str = ""):
        path.write_text(text.replace("name: Juniper A.", f"name: {name}", 1) + remark, encoding="utf-8")
        return run(load(tmp_path / "content")[0], assets.fonts(), signs_of)

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


@pytest.mark.parametrize(("language", "script"), [("ja", "CJK"), ("zh", "CJK"), ("ar", "Arabic")])
def test_a_language_whose_words_have_no_typeface_is_an_error(player, language, script) -> None:
    """It is said once, at the first record that names the language, with what to do; never found out by boxes."""
    path = player.content / "workshop.yaml"
    path.write_text(re.sub("(?m)^language: .*$", f"language: {language}", path.read_text("utf-8")), encoding="utf-8")
    (fault,) = player("Juniper A.")
    assert fault.severity == "error" and fault.rule == "no-glyph" and fault.place.file.endswith("workshop.yaml")
    assert f"'{language}'" in fault.what and script in fault.do and "passport fonts" in fault.do


def test_a_language_with_its_typeface_lacks_nothing(player, monkeypatch) -> None:
    """With the typefaces added there is no fault, for every shipped language."""
    wordfaces.add(player.content, monkeypatch)
    found = load(player.content)[0]
    assert [one.language for one in lacking(found, shelf(assets.fonts(), player.content), signs_of)] == []
    at_hand = shelf(assets.fonts(), player.content)
    assert {name: at_hand.lent(signs_of(name)).missing for name in languages()} == {n: frozenset() for n in languages()}


def test_a_page_of_text_is_one_fault(player) -> None:
    """A page in a script without a typeface is told once, not line by line."""
    (player.content / "pages/one.md").write_text("# 山\n\n川\n\n山田\n", encoding="utf-8")
    (fault,) = player("Juniper A.")
    assert fault.place.line == 1 and "川" in fault.what
