"""One value, entry or block changed or taken out anywhere in a record, and every other line as it was."""

import pytest
import smallshop
from hypothesis import given, settings
from hypothesis import strategies as st
from places import DEMO

from passport.records.yaml.edit import with_jobs
from passport.records.yaml.nested import leaves, moved, value_at, with_at, without_at
from passport.records.yaml.readback import read
from passport.records.yaml.yamlplace import CannotEdit

RECORDS = sorted(DEMO.glob("players/*/*.yaml"))
TEXTS = {path.relative_to(DEMO).as_posix(): path.read_text(encoding="utf-8") for path in RECORDS}
TEXTS |= {name: text for name, text in smallshop.FILES.items() if name.startswith("players/")}
FRAME = """\
# The first.
model: larch-98   # from the catalogue
label: Main

jobs:
  # Measured bare.
  - date: 2026-03-04
    strings:
      mains: {string: reed-125, tension: 24 kg}   # on the old machine
      crosses: {string: "flint-120", tension: 23 kg}
    readings:
      - {mass: 330.1 g, ring: 582 Hz}
      - {mass: 330.2 g}   # again
    note: >-
      A long remark that was folded by hand
      over two lines.

  - date: 2026-05-06
    # not weighed
    readings: {ring: 580 Hz}

# the end
private_note: none
"""
STRINGS = ("jobs", 0, "strings")


def lines_left(before: str, after: str) -> bool:
    """Whether ``after`` has nothing but lines of ``before``, in their order."""
    rest = iter(before.splitlines())
    return all(line in rest for line in after.splitlines())


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        (("label",), "First", "label: First"),
        (("model",), "larch-100", "model: larch-100   # from the catalogue"),
        ((*STRINGS, "mains", "tension"), "25 kg", "      mains: {string: reed-125, tension: 25 kg}   # on the old machine"),
        ((*STRINGS, "mains", "string"), "a, b", '      mains: {string: "a, b", tension: 24 kg}   # on the old machine'),
        (("jobs", 0, "readings", 1, "mass"), "331 g", "      - {mass: 331 g}   # again"),
        (("jobs", 1, "readings", 0, "ring"), "578 Hz", "    readings: {ring: 578 Hz}"),
        (("jobs", 1, "date"), "2026-05-07", "  - date: 2026-05-07"),
    ],
)  # fmt: skip
def test_a_value_is_set_in_its_place(path, value, line):
    """One line differs, and its remark stays."""
    after = with_at(FRAME, path, value)
    old, new = FRAME.splitlines(), after.splitlines()
    assert [line for line in new if line not in old] == [line]
    assert len(old) == len(new)
    assert value_at(read(after), path) == value


def test_a_folded_value_becomes_what_it_needs():
    """A text over several lines is replaced whole, by one line or by folded ones again."""
    path = ("jobs", 0, "note")
    short = with_at(FRAME, path, "Short.")
    assert "    note: Short.\n\n  - date: 2026-05-06" in short
    long = "word " * 40 + "end"
    assert value_at(read(with_at(short, path, long)), path) == long
    assert lines_left(with_at(FRAME, path, long), short.replace("    note: Short.\n", ""))


@pytest.mark.parametrize(
    ("path", "value", "lines"),
    [
        ((*STRINGS, "mains", "batch"), "B7", ["      mains: {string: reed-125, tension: 24 kg, batch: B7}   # on the old machine"]),
        ((*STRINGS, "pieces"), "2", ["      pieces: 2"]),
        (("jobs", 1, "readings", 0, "age"), "15 min", ["    readings: {ring: 580 Hz, age: 15 min}"]),
        (("jobs", 1, "note"), "Fine", ["    note: Fine"]),
        (("grip",), "L3", ["grip: L3"]),
        (("setup", "mass"), "330 g ± 1 g", ["setup: {mass: 330 g ± 1 g}"]),
    ],
)  # fmt: skip
def test_a_value_that_was_not_there_is_added(path, value, lines):
    """It stands where it belongs, a block is made for it where there is none, and nothing else moves."""
    after = with_at(FRAME, path, value, ("model", "label", "grip", "setup", "jobs"))
    assert [line for line in after.splitlines() if line not in FRAME.splitlines()] == lines
    assert value_at(read(after), path) == value


def test_a_reading_that_is_not_there_is_not_made():
    """A list gets no entry by being counted further."""
    with pytest.raises(CannotEdit, match=r"no jobs\.1\.readings\.3\.mass"):
        with_at(FRAME, ("jobs", 0, "readings", 2, "mass"), "1 g")
    with pytest.raises(CannotEdit, match="several values"):
        with_at(FRAME, ("jobs", 0, "readings"), "1 g")
    with pytest.raises(CannotEdit, match="nothing to take out"):
        without_at(FRAME, ("jobs", 7))


@pytest.mark.parametrize(
    ("path", "gone"),
    [
        ((*STRINGS, "crosses"), ['      crosses: {string: "flint-120", tension: 23 kg}']),
        (("jobs", 0, "readings", 0), ["      - {mass: 330.1 g, ring: 582 Hz}"]),
        (("jobs", 0, "readings", 1), ["      - {mass: 330.2 g}   # again"]),
        (("jobs", 1, "readings", 0), ["    readings: {ring: 580 Hz}"]),
        (("jobs", 1, "readings", 0, "ring"), ["    readings: {ring: 580 Hz}"]),
        (("jobs", 1), ["  - date: 2026-05-06", "    # not weighed", "    readings: {ring: 580 Hz}", ""]),
        (("private_note",), ["private_note: none"]),
    ],
)
def test_what_is_taken_out_goes_alone(path, gone):
    """Its lines go, with what would be left empty, and no other."""
    after = without_at(FRAME, path)
    assert lines_left(FRAME, after)
    left = after.splitlines()
    assert sorted(left + gone) == sorted(FRAME.splitlines())


def test_the_first_key_of_an_entry_goes():
    """The next key moves up to the dash, or stays below a remark."""
    assert "  - strings:\n      mains" in without_at(FRAME, ("jobs", 0, "date"))
    assert "  -\n    # not weighed\n    readings" in without_at(FRAME, ("jobs", 1, "date"))


def test_a_job_is_moved_with_its_lines():
    """A job whose date was wrong goes to its place, its remarks with it."""
    after = moved(FRAME, "jobs", 1, 0)
    assert [job["date"] for job in read(after)["jobs"]] == ["2026-05-06", "2026-03-04"]
    assert sorted(after.splitlines()) == sorted(FRAME.splitlines())
    assert "  - date: 2026-05-06\n    # not weighed\n    readings: {ring: 580 Hz}\n" in after
    assert [job["date"] for job in read(moved(after, "jobs", 0, 1))["jobs"]] == ["2026-03-04", "2026-05-06"]


@pytest.mark.parametrize("name", list(TEXTS))
def test_a_job_that_was_put_in_is_taken_out_to_the_byte(name):
    """Taking out what was recorded by mistake gives the file as it was."""
    text = TEXTS[name]
    jobs = read(text).get("jobs") or []
    for place in {0, len(jobs) // 2, len(jobs)} if jobs else ():
        added = with_jobs(text, [(place, {"date": "2026-01-01", "readings": [{"mass": "300 g"}], "note": "x"})])
        assert without_at(added, ("jobs", place)) == text


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("name", [*TEXTS][::3])
def test_values_of_any_record_can_be_changed_and_taken_out(name, newline):
    """Some values of every third record of the demo and of the small workshop, whatever its line ends."""
    text = TEXTS[name].replace("\n", newline)
    known = list(leaves(read(text)))
    for path, old in known[:: max(1, len(known) // 4)]:
        after = with_at(text, path, "other")
        assert value_at(read(after), path) == "other"
        if "\n" not in old and len(old) < 60:
            assert with_at(after, path, old) == text or lines_left(text, without_at(after, path))
            changed = [line for line in after.split(newline) if line not in text.split(newline)]
            assert len(changed) == 1
        gone = without_at(text, path)
        assert len(gone) < len(text)
        assert gone.count("\r\n") == gone.count("\n") * (newline == "\r\n")


@given(st.data())
@settings(max_examples=25)
def test_many_changes_one_after_the_other(data):
    """Any row of changes leaves a record that says what was meant; that is checked inside, and refused otherwise."""
    text = FRAME
    for _ in range(data.draw(st.integers(1, 8))):
        known = list(leaves(read(text)))
        if len(known) < 3:
            break
        path, _ = data.draw(st.sampled_from(known))
        if data.draw(st.booleans()):
            text = without_at(text, path)
        else:
            value = data.draw(
                st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=9)
            )
            text = with_at(text, path, value)
    assert isinstance(read(text), dict)


def test_a_path_that_leads_nowhere_finds_nothing():
    """Neither beyond a list, nor below a single value."""
    tree = read(FRAME)
    assert value_at(tree, ("jobs", 9, "date")) is None
    assert value_at(tree, ("jobs", 1, "readings", 1)) is None
    assert value_at(tree, ("label", "x")) is None
