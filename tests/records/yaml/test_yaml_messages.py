"""What the YAML parser complains about, in sentences that are the same for both of its forms."""

import pytest
import yaml

from passport.records.faults import Place
from passport.records.yaml import yamltext
from passport.records.yaml.yaml_messages import syntax_fault

CASES = {
    "a:\n\tb: 1\n": ("This line is indented with a tab.", 2, 1),
    'a: "open\nb: 1\n': ("The quote that opens here is never closed.", 1, 4),
    "a: 'open\nb: 1\n": ("The quote that opens here is never closed.", 1, 4),
    "a: [1, 2\nb: 3\n": ("The bracket that opens here is not closed where line 2 goes on.", 1, 4),
    "a: {x: 1\nb: 3\n": ("The bracket that opens here is not closed where line 2 goes on.", 1, 4),
    "a: [1,\n": ("An entry or a closing bracket is missing here.", 1, 7),
    "a: b: c\n": ("A second colon on one line cannot be understood.", 1, 5),
    "a: 1\n  b: 2\n": ("This line is indented deeper than the one above it, which has its value already.", 2, 3),
    "a:\n  b: 1\n c: 2\n": ("The indentation of this line fits none of the lines above it.", 3, 2),
    "a: 1\nb\nc: 2\n": ("This line is not a 'key: value' line.", 2, 1),
    "a: 1\nb:\u00a02\nc: 3\n": ("A no-break space stands here, as pasted text often holds it.", 2, 3),
    "a: 'it's'\n": ("Something follows where the quoted text has ended.", 1, 8),
    "a: 1\n- b\n": ("This list entry stands where a 'key: value' line is expected.", 2, 1),
    "a:\n  - 1\n  b: 2\n": ("This line stands among list entries, but is none.", 3, 3),
    "a: @b\n": ("A text cannot begin with '@'.", 1, 4),
    "a: `b`\n": ("A text cannot begin with '`'.", 1, 4),
    'a: "\\d"\n': ("Inside double quotes a backslash has a special meaning.", 1, None),
    "a: 1\n---\nb: 2\n": ("A second record begins here.", 2, 1),
    "a: **b**\n": ("A value that begins with * or & stands for another place in the file, which is not used here.", 1, 4),
}  # fmt: skip


@pytest.fixture(params=["CSafeLoader", "SafeLoader"])
def loader(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both forms of the parser: the C one, and the Python one that stands in where it is missing."""
    monkeypatch.setattr(yamltext, "_Loader", getattr(yaml, request.param))


@pytest.mark.parametrize("text", CASES)
@pytest.mark.usefixtures("loader")
def test_both_parsers_lead_to_the_same_sentence(text: str) -> None:
    """Each usual slip has its own sentence and place, whichever form of the parser met it."""
    what, line, col = CASES[text]
    (fault,) = yamltext.read(text, "frame.yaml")[2]
    assert fault.what == what
    assert fault.place.line == line
    assert col in (None, fault.place.col)
    assert fault.rule == ("yaml-feature" if "**" in text else "yaml-syntax")


@pytest.mark.usefixtures("loader")
def test_what_has_no_sentence_still_says_what_the_parser_said() -> None:
    """An unusual slip prints the parser's own words and the usual advice."""
    (fault,) = yamltext.read("%YAML 9.9\n---\na: 1\n", "frame.yaml")[2]
    assert "incompatible" in fault.what
    assert fault.do.startswith("Check the indentation")


@pytest.mark.usefixtures("loader")
def test_a_square_bracket_asks_for_a_square_one() -> None:
    """The advice names the bracket that is missing."""
    square = yamltext.read("a: [1, 2\nb: 3\n", "frame.yaml")[2][0]
    curly = yamltext.read("a: {x: [1], y\nb: 3\n", "frame.yaml")[2][0]
    assert "']'" in square.do
    assert "'}'" in curly.do


def test_a_complaint_without_a_place_is_one_of_the_whole_file() -> None:
    """Where the parser does not say where, the file is named."""
    fault = syntax_fault(yaml.YAMLError(), lambda line, col: Place("other.yaml"), "frame.yaml")
    assert (fault.place.file, fault.rule) == ("frame.yaml", "yaml-syntax")
