"""Where values stand in a record's text, and the style that it is written in."""

import pytest

from passport.records.yaml.yamlplace import CannotEdit, behind, end_of, entries, newline_of, next_line, style_of
from passport.records.yaml.yamlwrite import Style


@pytest.mark.parametrize(
    ("text", "end"),
    [
        ("a: one   # remark\nb: 2\n", "a: one"),
        ("a: 'x'\nb: 2\n", "a: 'x'"),
        ("a: >-\n  x\n  y\n\n\nb: 2\n", "a: >-\n  x\n  y"),
        ("a: |+\n  x\n\n\nb: 2\n", "a: |+\n  x\n\n\n"),
        ("a:\n  - {b: 1,\n     c: 2}\n\nb: 2\n", "a:\n  - {b: 1,\n     c: 2}"),
        ("a:\n  b:\n    c: é 😀\n# end\nb: 2\n", "a:\n  b:\n    c: é 😀"),
        ("a:\r\n  b: 1\r\nb: 2\r\n", "a:\r\n  b: 1"),
    ],
)
def test_a_value_ends_with_its_last_character(text: str, end: str) -> None:
    """Remarks, and empty lines that say nothing, are not part of a value."""
    assert text[: end_of(text, entries(text)["a"][1])] == end


@pytest.mark.parametrize(
    ("text", "column", "last", "start"),
    [
        ("a:\n  b: 1   # x\n  # y\n# z\nc: 2\n", 0, False, "# z"),
        ("a:\n  b: 1\n\n  # y\nc: 2\n", 0, False, "\n  # y"),
        ("a:\n  - b\n  # y\nc: 2\n", 2, True, "c: 2"),
        ("a:\n  - b\n  # y\nc: 2\n", 2, False, "  # y"),
        ("a: |\n  b\n\nc: 2\n", 0, False, "\nc: 2"),
    ],
)
def test_comments_below_a_value_belong_to_it_by_their_indentation(
    text: str, column: int, last: bool, start: str
) -> None:
    """A comment that stands deeper goes with what is above; one in the list's own column only at its end."""
    place = behind(text, entries(text)["a"][1], column, last=last)
    assert text[place:].startswith(start)


@pytest.mark.parametrize(
    ("text", "style", "indent"),
    [
        ("a: 1\n", Style(), 2),
        ("a: 1\r\njobs:\r\n- b: 1\r\n", Style(newline="\r\n", dash=0, gap=False), 0),
        ("build:\n    - x\n", Style(dash=4), 4),
        ("setup:\n   a: 1\n", Style(step=3), 2),
        ("jobs:\n  -   a: 1\n      b:\n       - x\n", Style(dash=1, after_dash=4), 2),
        ("jobs:\n  - a: 1\n    b: 2\n\n  - a: 1\n", Style(gap=True), 2),
        ("jobs:\n  - a: 1\n    b: 2\n  - a: 1\n", Style(gap=False), 2),
    ],
)
def test_the_style_of_a_file_is_seen(text: str, style: Style, indent: int) -> None:
    """Indentation, dashes, line ends and gaps are taken from what is there, else from the usual style."""
    assert style_of(text) == (style, indent)


def test_lines_and_their_ends() -> None:
    """Line ends of every system are known; a text without any takes plain ones."""
    assert [newline_of(text) for text in ("a\r\nb\n", "a\nb", "a\rb", "")] == ["\r\n", "\n", "\r", "\n"]
    assert next_line("ab\r\ncd", 0) == 4
    assert next_line("ab\r\ncd", 4) == 6


def test_a_record_in_brackets_is_refused() -> None:
    """A record that stands in one pair of brackets cannot be changed line by line."""
    with pytest.raises(CannotEdit, match="brackets"):
        entries("{a: 1}")
    assert entries("# nothing\n") == {}
