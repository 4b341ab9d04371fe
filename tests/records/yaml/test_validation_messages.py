"""Complaints of the record types, as faults with one cause each, at the right letters."""

from pathlib import Path
from textwrap import dedent
from typing import Annotated, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from overlay import rules, third, underlined
from pydantic import BaseModel, Field, ValidationError

from passport.records.faults import Fault
from passport.records.schema.base import Record
from passport.records.schema.catalogue import FrameModel, Part, Pattern, StringType
from passport.records.schema.frame import Blank, Frame, Job
from passport.records.schema.player import Player
from passport.records.schema.visibility import Public
from passport.records.schema.workshop import Workshop
from passport.records.yaml import yamltext
from passport.records.yaml.validation_messages import closest, empties, faults_of, models_in

KINDS: list[type[BaseModel]] = [Workshop, StringType, FrameModel, Part, Player, Frame, Blank]


def _faults(kind: type[BaseModel], text: str) -> list[Fault]:
    data, source, faults = yamltext.read(dedent(text), "record.yaml")
    assert faults == []
    try:
        kind.model_validate(data)
    except ValidationError as error:
        return faults_of(error, kind, source, ())
    return []


def test_a_misspelt_key_is_one_fault_not_two(tmp_path: Path) -> None:
    """Where 'tenson' stands, 'tension' is not missing as well."""
    (fault,) = third(
        tmp_path,
        """\
        jobs:
          - date: 2026-05-01
            strings: {mains: {string: reed-125, tenson: 24 kg}}
        """,
    )
    assert (fault.rule, underlined(fault), fault.do) == ("unknown-key", "tenson", "Did you mean 'tension'?")


def test_an_unknown_key_does_not_hide_another_missing_one() -> None:
    """Only the key that was most likely meant is excused."""
    faults = _faults(Part, "knd: tape\n")
    assert sorted(rules(faults)) == ["missing-key", "unknown-key"]
    assert {fault.what for fault in faults} == {"The key 'knd' is not known here.", "The key 'name' is missing."}


def test_a_key_of_another_block_is_sent_home() -> None:
    """A key that is known elsewhere in the record is told under which keys it belongs."""
    (fault,) = _faults(Frame, "model: a\nlabel: b\ntension: 24 kg\n")
    assert fault.do == "It belongs under 'mains' or 'crosses'."


def test_a_near_miss_beats_a_key_of_another_block() -> None:
    """A slip of one letter is what was meant, even where the word exists elsewhere."""
    (fault,) = _faults(Frame, "model: a\nlabel: b\njob: []\n")
    assert fault.do == "Did you mean 'jobs'?"


def test_an_unlike_key_is_shown_what_there_is() -> None:
    """Where nothing comes near, all keys of the block are listed."""
    (fault,) = _faults(Player, "name: A\nshows: {everything: yes}\n")
    assert fault.do == "Use one of: history, photos, serial."


@pytest.mark.parametrize(
    ("kind", "text", "do"),
    [
        (Job, "note: x\n", "Add a line here, as in 'date: 2026-03-04'."),
        (Part, "name: x\n", "Add a line here, as in 'kind: tape'."),
        (Pattern, "crosses: 19\n", "Add a line here, as in 'mains: 16'."),
        (Player, "language: en\n", "Add a line 'name: …' here."),
        (Frame, "model: a\nlabel: b\njobs: [{date: 2026-03-04, strings: {}}]\n", "Add a line 'mains:' here, and indented below it: string, tension."),
        (StringType, "maker: a\nname: b\nmaterial: gut\n", "Add a line here, as in 'gauge: 1.25 mm'."),
    ],
)  # fmt: skip
def test_a_missing_key_is_shown_as_it_could_be_written(kind: type[BaseModel], text: str, do: str) -> None:
    """The advice is a line that could be typed as it stands."""
    assert [fault.do for fault in _faults(kind, text)] == [do]


def test_a_missing_key_in_a_list_is_at_its_entry(tmp_path: Path) -> None:
    """The second entry that lacks a key is the one that is shown."""
    (fault,) = third(tmp_path, "build:\n  - {part: thin-overgrip, place: 12}\n  - {part: lead-tape}\n")
    assert (fault.rule, fault.place.line, fault.place.col) == ("missing-key", 5, 5)


def test_a_fault_in_a_single_value_for_a_list_is_at_that_value(tmp_path: Path) -> None:
    """One value written where a list is meant is underlined itself, not its key."""
    (fault,) = third(tmp_path, "build: {part: lead-tape, place: somewhere}\n")
    assert underlined(fault) == "somewhere"


def test_a_word_that_is_not_known_is_suggested_and_listed(tmp_path: Path) -> None:
    """A near miss of a fixed word names it, and all the others."""
    (fault,) = third(tmp_path, "status: retird\n")
    assert (fault.rule, underlined(fault)) == ("unknown-word", "retird")
    assert fault.do == "Did you mean 'retired'? Use one of: active, broken, lost, retired."


def test_a_list_for_a_word_is_no_unknown_word(tmp_path: Path) -> None:
    """A list where one word is needed says so, and prints no list."""
    (fault,) = third(tmp_path, "status: [lost, broken]\n")
    assert (fault.rule, fault.what) == ("bad-value", "One value is needed here, not a list or a block.")


def test_every_key_without_a_value_is_one_fault(tmp_path: Path) -> None:
    """Needed or not, text, block or list: a key left empty is one fault of its own kind."""
    faults = third(tmp_path, "serial:\nsetup:\nbuild:\nstatus:\nsince:\n")
    assert rules(faults) == ["no-value"] * 5
    assert [underlined(fault) for fault in faults] == ["serial", "setup", "build", "status", "since"]


def test_an_unknown_key_without_a_value_is_only_unknown(tmp_path: Path) -> None:
    """Nobody is asked for the value of a key that does not exist."""
    assert rules(third(tmp_path, "colour:\n")) == ["unknown-key"]


@pytest.mark.parametrize(
    ("item", "under"),
    [
        ("{part: lead-tape, place: 12, mass: 2,5 g}", "2,5 g"),
        ("{part: lead-tape, place: 12, mass: 2,5 g, note: x}", "2,5 g"),
        ("{part: lead-tape, mass: 2, 5 g, place: 12}", "2, 5 g"),
        ("{part: lead-tape, place: 12, mass: 12,25}", "12,25"),
    ],
)
def test_a_decimal_comma_between_braces_is_one_fault(tmp_path: Path, item: str, under: str) -> None:
    """Half a number without a unit and the other half as a key are one slip, shown whole."""
    (fault,) = third(tmp_path, f"build: [{item}]\n")
    assert (fault.rule, underlined(fault)) == ("decimal-comma", under)


@pytest.mark.parametrize("text", ["5 g:\n", "setup: {mass: 330 g, 5: x}\n", "setup: {mass: 330 g, 5 g: }\n"])
def test_what_only_looks_like_a_decimal_comma(tmp_path: Path, text: str) -> None:
    """A key that begins with a digit is half a number only where it has no value and the other half stands before it."""
    assert rules(third(tmp_path, text)) == ["unknown-key"]


def test_a_decimal_comma_outside_braces_is_fine(tmp_path: Path) -> None:
    """On a line of its own a number may be written with a comma."""
    assert third(tmp_path, "setup:\n  mass: 330,5 g\n") == []


def test_empties_stand_at_any_depth() -> None:
    """Empty values are found in blocks and lists, at their places."""
    data, source, _ = yamltext.read("a:\n  - b:\n  -\nc: {d: }\n", "record.yaml")
    found = list(empties(data, source, ()))
    assert [fault.place.line for fault in found] == [2, 3, 4]
    assert (underlined(found[0]), underlined(found[2])) == ("b", "d")


def test_a_value_that_became_a_comment_is_recognised() -> None:
    """A colour without quotes is a comment in YAML; the advice shows it in quotes."""
    data, source, _ = yamltext.read("look:\n  accent: #0B5560 petrol\n", "record.yaml")
    (fault,) = empties(data, source, ())
    assert fault.do == "Put the value in quotes, '#0B5560': an unquoted # begins a comment."


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("mains: sixteen", "'sixteen' is not a whole number."),
        ("mains: 16.5", "'16.5' is not a whole number."),
        ("mains: 7", "7 is too small here."),
        ("mains: 31", "31 is too large here."),
        ("mains: " + "9" * 5000, None),
        ("mains: []", "One value is needed here, not a list or a block."),
    ],
)
def test_whole_numbers(text: str, what: str | None) -> None:
    """What is no whole number, or is out of range, says so and stays short."""
    record = f"maker: a\nname: b\nsport: tennis\nlength: 685 mm\nhead: {{length: 330 mm, width: 248 mm}}\nrim: 11 mm\nhandle: {{length: 200 mm, width: 31 mm}}\npattern:\n  crosses: 19\n  {text}\n"
    (fault,) = _faults(FrameModel, record)
    assert fault.rule == "bad-value"
    assert what in (None, fault.what)
    assert len(fault.what) < 120


def test_suggestions() -> None:
    """The nearest known word is offered, whatever its capitals, and none where nothing is near."""
    assert closest("Tenson", ["tension", "string"]) == "Did you mean 'tension'?"
    assert closest("colour", ["tension", "string"]) == ""
    assert closest("x", []) == ""


def test_a_complaint_without_a_sentence_is_printed_as_it_is() -> None:
    """A type may refuse in a way that nobody foresaw; its own words are better than none."""

    class Odd(Record):
        """A record with a rule of its own."""

        code: Public[Annotated[str, Field(min_length=5)]]

    (fault,) = _faults(Odd, "code: abc\n")
    assert (fault.rule, underlined(fault)) == ("bad-value", "abc")
    assert "5 characters" in fault.what


def test_models_are_found_inside_lists_and_choices() -> None:
    """A field's record type is found through tuples and through 'or nothing'."""
    found = {name: [m.__name__ for m in models_in(info.annotation)] for name, info in Frame.model_fields.items()}
    assert (found["jobs"], found["setup"], found["label"]) == (["Job"], ["Setup"], [])


def _reachable(kind: type[BaseModel]) -> set[type[BaseModel]]:
    inner = {model for info in kind.model_fields.values() for model in models_in(info.annotation)}
    return {kind}.union(*map(_reachable, inner))


KEYS = sorted({"tenson", "x", *(name for kind in KINDS for model in _reachable(kind) for name in model.model_fields)})
SCALARS = st.sampled_from(
    ["", "27", "27 lb", "330 g", "yes", "nylon", "tape", "3 and 9", "2026-03-04", "½", "{what}", "a" * 90]
)
TREES: st.SearchStrategy[Any] = st.recursive(
    SCALARS | st.none(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(KEYS), inner, max_size=5),
    max_leaves=15,
)


@settings(deadline=None, max_examples=400)
@given(st.sampled_from(KINDS), st.dictionaries(st.sampled_from(KEYS), TREES, max_size=8))
def test_any_tree_is_taken_or_explained(kind: type[BaseModel], tree: dict[str, Any]) -> None:
    """Whatever stands under whichever key, a record is made or each fault has a place and two sentences of sane length."""
    text = _flow(tree)
    data, source, faults = yamltext.read(text, "record.yaml")
    assert (data, faults) == (tree, [])
    found = list(empties(data, source, ()))
    try:
        kind.model_validate(data)
    except ValidationError as error:
        found += faults_of(error, kind, source, ())
        assert found
    for fault in found:
        assert fault.what and fault.do
        assert len(fault.what) < 250
        assert underlined(fault)


def _flow(tree: Any) -> str:
    """A tree as one line of YAML."""
    if isinstance(tree, dict):
        return "{" + ", ".join(f"{key}: {_flow(value)}" for key, value in tree.items()) + "}"
    if isinstance(tree, list):
        return "[" + ", ".join(map(_flow, tree)) + "]"
    return "~" if tree is None else "'" + tree.replace("'", "''") + "'"
