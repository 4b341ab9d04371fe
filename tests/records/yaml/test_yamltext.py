"""YAML read as text, with the place of everything, in bounded time whatever the text."""

import time

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.records.faults import Fault
from passport.records.yaml import yamltext


def _read(text: str) -> tuple[yamltext.Tree, yamltext.Source, list[Fault]]:
    return yamltext.read(text, "frame.yaml")


def _rules(text: str) -> list[str]:
    return [fault.rule for fault in _read(text)[2]]


@pytest.mark.parametrize("value", ["no", "12:30:45", "2026-03-04", "0x10", "1e3", "007", ".5", "yes", "1_000"])
def test_scalars_stay_text(value: str) -> None:
    """YAML's guesses at numbers, dates and truth values are not made."""
    assert _read(f"key: {value}")[0] == {"key": value}


@pytest.mark.parametrize("value", ["", " ", "~", "null", " # a comment"])
def test_an_empty_value_is_none(value: str) -> None:
    """A key without a value is None, so that a type can say so."""
    assert _read(f"key: {value}")[0] == {"key": None}


@pytest.mark.parametrize("value", ["''", '""', "'~'", "'null'", "Null"])
def test_a_quoted_empty_value_is_text(value: str) -> None:
    """Quotes make a text even of nothing, and somebody may be called Null."""
    assert _read(f"key: {value}")[0] == {"key": value.strip("'\"")}


def test_an_empty_file_is_an_empty_record() -> None:
    """A file of comments alone is a record without keys, not a fault of its own."""
    data, _, faults = _read("# later\n")
    assert (data, faults) == ({}, [])


def test_places_of_keys_and_values() -> None:
    """Each key and each value is found again at its line, column and width."""
    text = "model: larch-98\njobs:\n  - date: 2026-03-02\n    note: 'quoted text'\n"
    source = _read(text)[1]
    value = source.at(("jobs", 0, "note"))
    key = source.at(("jobs", 0, "note"), key=True)
    assert (value.line, value.col, value.width) == (4, 11, 13)
    assert (key.line, key.col, key.width, key.excerpt) == (4, 5, 4, "    note: 'quoted text'")


def test_a_missing_value_is_placed_at_the_nearest_key() -> None:
    """What does not stand in the file is shown at the key that it would stand under."""
    source = _read("setup:\n  mass: 330 g\n")[1]
    place = source.at(("setup", "balance"))
    assert (place.line, place.col, place.width) == (1, 1, 5)


def test_one_value_for_a_list_is_placed_without_an_index() -> None:
    """Where one value is written for a list, the list's first entry is that value."""
    source = _read("checks: {date: 2026-01-02}\n")[1]
    assert source.at(("checks", 0, "date")).col == 16


def test_the_first_key_of_a_list_entry_can_be_shown_narrowly() -> None:
    """A key that is missing from a list entry is shown as one caret at the entry, not under its first line."""
    source = _read("build:\n  - part: overgrip\n")[1]
    place = source.at(("build", 0), key=True, narrow=True)
    assert (place.line, place.col, place.width) == (2, 5, 1)


def test_columns_count_letters_not_bytes() -> None:
    """An accented or wide letter before a value moves its column by one."""
    assert _read("Größe: ß名: x\nÖl: y\n")[1].lines[1] == "Öl: y"
    assert _read("größe_名: x\n")[1].at(("größe_名",)).col == 10


def test_line_ends_of_windows_are_read() -> None:
    """Carriage returns at line ends are no part of a value or an excerpt."""
    data, source, faults = _read("a: x\r\nb: y\r\n")
    assert (data, faults) == ({"a": "x", "b": "y"}, [])
    assert source.at(("b",)).excerpt == "b: y"


def test_a_key_given_twice_is_one_fault_and_the_first_value_counts() -> None:
    """A duplicate key is a fault at its second place that names the line of the first."""
    data, _, faults = _read("label: A\nnote: x\n'label': B\n")
    assert data == {"label": "A", "note": "x"}
    (fault,) = faults
    assert (fault.rule, fault.place.line, fault.place.width) == ("duplicate-key", 3, 7)
    assert "line 1" in fault.what


def test_the_same_key_in_two_blocks_is_no_fault() -> None:
    """A key may stand once in each block."""
    assert _rules("a: {x: 1}\nb: {x: 1}\n") == []


@pytest.mark.parametrize(
    "text",
    [
        "a: &x [1]\nb: [*x, *x]\n",
        "a: *x\n",
        "a: !!python/object/apply:os.system [echo]\n",
        "a: !x y\n",
        "<<: &x {a: 1}\n",
    ],
)
def test_anchors_aliases_and_tags_are_refused(text: str) -> None:
    """A record says in place what it means, so nothing is shared, merged or constructed."""
    data, _, faults = _read(text)
    assert data is None
    assert {fault.rule for fault in faults} == {"yaml-feature"}


@pytest.mark.parametrize(
    "text",
    [
        "[" * 100_000,
        "a: " + "{a: " * 50_000,
        "\n".join(" " * i + "a:" for i in range(1500)),
        "a:\n " + "-  " * 20_000 + "x",
        "a:\n " + "?  " * 20_000 + "x",
        "\n".join(" " * i + "-" for i in range(1500)),
        "a: " + "[[[[[[[[" * 10 + "]]]]]]]]" * 10,
        "a: " + "[']', " * 60 + "]" * 60,
        "a: " + "[']', # ]\n  " * 60 + "]" * 60,
        "a: " + "[\n  " * 60 + "]" * 60,
    ],
)
def test_deep_nesting_is_refused_in_bounded_time(text: str) -> None:
    """No depth of brackets, dashes or indentation exhausts the stack or the clock."""
    start = time.monotonic()
    data, _, faults = _read(text)
    assert time.monotonic() - start < 5
    assert data is None
    assert faults


def test_an_alias_bomb_is_refused_before_it_unfolds() -> None:
    """Nine levels of nine aliases each would be 387 million entries; they are refused unread."""
    lines = ["a0: &a0 [x]"] + [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 10)]
    start = time.monotonic()
    assert set(_rules("\n".join(lines))) == {"yaml-feature"}
    assert time.monotonic() - start < 1


def test_nesting_as_deep_as_records_need_is_read() -> None:
    """Depth up to the limit is no fault."""
    depth = yamltext.DEEPEST - 1
    assert _rules("a: " + "[" * depth + "x" + "]" * depth) == []


def test_a_long_text_is_refused() -> None:
    """A text above the limit is one fault and is not parsed."""
    data, _, faults = _read("# " + "x" * yamltext.LARGEST)
    assert data is None
    assert [fault.rule for fault in faults] == ["too-large"]


@pytest.mark.parametrize("character", ["\x00", "\x07", "\x0b", "\x1b", "\x7f", "\ud800", "\ufffe"])
def test_characters_that_no_yaml_may_hold_are_placed(character: str) -> None:
    """A control character is a fault at its own line and column, even before one of Python's own line ends."""
    (fault,) = _read(f"a: x\r\nb: y{character}z\n")[2]
    assert (fault.rule, fault.place.line, fault.place.col) == ("control-character", 2, 5)


def test_signs_of_markdown_in_text_are_no_fault() -> None:
    """Ampersands, stars and exclamation marks inside a text are a part of it."""
    assert _read("a: 3 & 9, *not* here!\n")[0] == {"a": "3 & 9, *not* here!"}


@settings(deadline=None, max_examples=300)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text raises: it gives data, or faults with places inside the text."""
    data, source, faults = _read(text)
    assert faults or data is not None
    for fault in faults:
        assert 1 <= fault.place.line <= len(source.lines) + 1


@settings(deadline=None, max_examples=1500)
@given(st.text("ab:&*!-[]{},\"' \n#?", max_size=40))
def test_no_anchor_alias_or_tag_slips_through(text: str) -> None:
    """Wherever the parser itself sees an anchor, an alias or a tag, nothing is read."""
    try:
        events = list(yaml.parse(text, Loader=yaml.SafeLoader))
    except yaml.YAMLError:
        return
    if any(isinstance(e, yaml.AliasEvent) or getattr(e, "anchor", None) for e in events) or any(
        getattr(e, "tag", None) not in (None, "!") for e in events
    ):
        data, _, faults = _read(text)
        assert data is None
        assert faults


TREES = st.recursive(
    st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("abc-_ é", min_size=1, max_size=5), inner),
    max_leaves=12,
)


@settings(deadline=None)
@given(st.dictionaries(st.text("abc", min_size=1, max_size=3), TREES))
def test_what_another_writer_wrote_is_read_back(tree: dict[str, yamltext.Tree]) -> None:
    """Data written by PyYAML's own dumper comes back as the same text, every value at a known place."""
    text = yaml.safe_dump(tree, allow_unicode=True, default_style='"')
    data, source, faults = _read(text)
    assert (data, faults) == (tree, [])
    assert len(source.values) == 1 + _count(tree)


def _count(tree: yamltext.Tree) -> int:
    inner = tree.values() if isinstance(tree, dict) else tree if isinstance(tree, list) else ()
    return sum(1 + _count(child) for child in inner)
