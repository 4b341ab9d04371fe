"""Data written as YAML in the style of the records, and read back the same."""

from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from passport.records.yaml import yamltext
from passport.records.yaml.yamlwrite import WIDTH, Style, block, flow_map, item, scalar

READABLE = st.characters(
    exclude_categories=("Cs", "Cc"), exclude_characters="\u2028\u2029\ufffe\uffff", include_characters="\t\u0085"
)
TEXTS = st.one_of(
    st.text(READABLE, max_size=40),
    st.text("ab '\"\\:#,[]{}-?!&*%@`|>=~\t0", max_size=12),
    st.sampled_from(
        ["null", "~", "no", "12:30", "1e3", "2026-11-25", "---", "...", "<<", "=", "-", "?", "a: b", "a #b"]
    ),
)
WORDS = st.lists(st.from_regex(r"[a-zé£0-9,:'-]{1,14}", fullmatch=True), min_size=20, max_size=60).map(" ".join)
KEYS = st.from_regex(r"[a-z_]{1,10}", fullmatch=True).filter(lambda k: k not in ("null", "no"))
FLAT = st.dictionaries(KEYS, TEXTS, min_size=1, max_size=4)
TREES = st.dictionaries(
    KEYS,
    st.one_of(
        TEXTS,
        WORDS,
        st.lists(st.text("ab c", min_size=1), min_size=2, max_size=3).map("\n".join),
        FLAT,
        st.dictionaries(KEYS, st.one_of(TEXTS, FLAT), min_size=1, max_size=3),
        st.lists(FLAT, min_size=1, max_size=3),
        st.lists(TEXTS, min_size=1, max_size=3),
    ),
    min_size=1,
    max_size=5,
)
STYLES = st.builds(
    Style, step=st.integers(1, 4), dash=st.integers(0, 4), after_dash=st.integers(2, 4), gap=st.booleans()
)


def read(text: str) -> Any:
    """The data of a text that must be readable."""
    data, _, faults = yamltext.read(text, "x.yaml")
    assert not faults, [fault.text() for fault in faults]
    return data


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("51 lb", "51 lb"),
        ("10 %", "10 %"),
        ("£84.00 for the three", "£84.00 for the three"),
        ("worn through at 1 o'clock; tape left", "worn through at 1 o'clock; tape left"),
        ("=SUM(A1)", "=SUM(A1)"),
        ("no", "no"),
        ("steel rod, 700.0 mm", "steel rod, 700.0 mm"),
        ("Spare: near enough", '"Spare: near enough"'),
        ("reel #3", '"reel #3"'),
        ("- 2 lb", '"- 2 lb"'),
        ("@home", '"@home"'),
        ("null", '"null"'),
        ("", '""'),
        ('the "soft" one', 'the "soft" one'),
        ('"soft": two', "'\"soft\": two'"),
        ("two\nlines", '"two\\nlines"'),
        ("no\u00a0break", '"no\\xA0break"'),
    ],
)
def test_quotes_only_where_they_are_needed(text: str, written: str) -> None:
    """A value on a line of its own is quoted only where YAML would read it as something else."""
    assert scalar(text) == written


def test_a_comma_needs_quotes_inside_a_flow_map_only() -> None:
    """What ends a value inside braces is quoted there."""
    assert flow_map({"note": "steel rod, 700.0 mm"}) == '{note: "steel rod, 700.0 mm"}'
    assert scalar(True) == "yes"
    assert scalar(2) == "2"


@given(TEXTS, st.booleans())
def test_any_text_is_read_back(text: str, flow: bool) -> None:
    """Whatever a text holds, it is read back as it was, in a line of its own and inside braces."""
    written = scalar(text, flow=flow)
    assert read(f"{{a: {written}, b: c}}" if flow else f"a: {written}  # remark\nb: c\n") == {"a": text, "b": "c"}


@given(TREES, STYLES, st.integers(0, 3))
def test_any_data_is_read_back_from_a_block(tree: dict[str, Any], style: Style, indent: int) -> None:
    """Maps, lists and texts of several lines are read back as they were, in any style, and by another reading too."""
    text = "top:\n" + "\n".join(block(tree, style, indent + 1)) + "\nend: z\n"
    assert read(text) == {"top": tree, "end": "z"}
    assert yaml.load(text, yaml.BaseLoader) == {"top": tree, "end": "z"}


@given(st.lists(TREES, min_size=1, max_size=3), STYLES, st.booleans())
def test_any_list_entry_is_read_back(trees: list[dict[str, Any]], style: Style, compact: bool) -> None:
    """List entries with dashes are read back as they were."""
    lines = [line for tree in trees for line in item(tree, style, style.dash, compact=compact)]
    assert read("top:\n" + "\n".join(lines) + "\n") == {"top": trees}


def test_a_job_as_the_records_write_it() -> None:
    """The strings stand on a line each, readings and fitted parts in one, long notes folded."""
    job = {
        "date": "2026-11-12",
        "strings": {"mains": {"string": "deep-petrol-125", "tension": "51 lb"}, "pieces": 2},
        "fitted": [{"part": "overgrip", "place": "along the handle"}],
        "readings": [{"mass": "330.0 g", "without": ["overgrip"]}],
        "note": "word " * 30 + "end",
    }
    folded = "word " * 21
    assert item(job, Style(), 2) == [
        "  - date: 2026-11-12",
        "    strings:",
        "      mains: {string: deep-petrol-125, tension: 51 lb}",
        "      pieces: 2",
        "    fitted:",
        "      - {part: overgrip, place: along the handle}",
        "    readings:",
        "      - {mass: 330.0 g, without: [overgrip]}",
        "    note: >-",
        f"      {folded.strip()}",
        f"      {'word ' * 9}end",
    ]


def test_a_map_that_is_too_long_for_one_line_becomes_a_block() -> None:
    """No flow map makes a line longer than the longest that is wanted."""
    tree = {"part": "silicone", "note": "x" * WIDTH}
    assert item(tree, Style(), 2) == ["  - part: silicone", f"    note: {'x' * WIDTH}"]
    assert item({"a": {"b": "y" * WIDTH}}, Style(), 0) == ["- a:", f"    b: {'y' * WIDTH}"]
