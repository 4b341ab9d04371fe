"""What a page of shop text may hold."""

import time

import pytest

from passport.records.load import load
from passport.records.pagetext import LONGEST, MOST_SIGNS, page_faults
from passport.render.theme.prose import prose


def rules(text: str) -> list[str]:
    """The rules that a text breaks."""
    return [fault.rule for fault in page_faults(text, "care.md")]


def test_ordinary_text_is_sound(demo_content):
    """The demo's pages, and any text with the usual signs, line ends and languages, have no fault."""
    assert all(not rules(page.text) for page in demo_content.pages.values())
    assert not rules("# Título\r\n\r\n\tDéjà vu — “quoted” [link](../x/) `code`\n\nעברית العربية 日本語\n")


def test_a_text_of_any_length_is_refused_beyond_what_is_read():
    """A page is read up to its length and not beyond."""
    assert not rules("a" * LONGEST)
    assert rules("a" * (LONGEST + 1)) == ["too-large"]


@pytest.mark.parametrize("sign", '[`<"')
def test_signs_are_counted(sign):
    """Signs that make Markdown slow are allowed as often as a long page needs, and no more."""
    assert not rules(sign * MOST_SIGNS)
    assert rules(sign * (MOST_SIGNS + 1)) == ["too-large"]


@pytest.mark.parametrize(
    "character", ["\x00", "\x07", "\x1b", "\x7f", "\x9b", "\u202e", "\u202a", "\u2066", "\u2069", "\uffff"]
)
def test_control_characters_and_turned_writing_are_refused(character):
    """A character that acts on a terminal or turns the writing round is named with its place."""
    (fault,) = page_faults(f"# Care\n\nKeep{character} dry\n", "care.md")
    assert fault.rule == "control-character"
    assert str(fault.place) == "care.md:3:5"
    assert f"U+{ord(character):04X}" in fault.what
    assert character not in fault.text()


@pytest.mark.parametrize(
    "unit",
    ["[", "![", "[a](", '"', "``a`", "<p ", "> ", "a\n\n", "# a\n", "a|b\n-|-\n", "\\*", "*a **b ", "- a\n ", "&lt;"],
)
def test_whatever_is_let_through_is_unfolded_in_seconds(unit):
    """The worst texts that are allowed take seconds: each sign as often as may be, the rest of the page full."""
    signs = max(map(unit.count, '[`<"'))
    count = min(LONGEST // len(unit), MOST_SIGNS // signs if signs else LONGEST)
    text = unit * count + "a " * ((LONGEST - len(unit) * count) // 2)
    assert not rules(text)
    begun = time.process_time()
    prose(text, "Care")
    assert time.process_time() - begun < 20


def test_a_faulty_page_is_left_out_and_the_others_are_read(tmp_path):
    """A page with a fault is no page of the content; the others are, and the fault names its file."""
    (tmp_path / "pages").mkdir()
    (tmp_path / "workshop.yaml").write_text("name: x\n")
    (tmp_path / "pages/long.md").write_text("a" * (LONGEST + 1))
    (tmp_path / "pages/short.md").write_text("# Short\n")
    content, faults = load(tmp_path)
    assert list(content.pages) == ["short"]
    assert [fault.place.file for fault in faults if fault.rule == "too-large"] == [str(tmp_path / "pages/long.md")]
