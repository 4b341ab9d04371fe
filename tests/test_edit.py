"""Lines put into a record's text without touching any other."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.records import yamltext
from passport.records.edit import with_first_lines

NEW = {"number": "1042-9", "key": "A" * 26}


def tree(text):
    """The record as it is read; it must be readable."""
    data, _, faults = yamltext.read(text, "x.yaml")
    assert not faults, [fault.text() for fault in faults]
    return data


@pytest.mark.parametrize(
    "text",
    [
        "model: larch-98\nlabel: One\n",
        "# a comment\n\n# another\nmodel: larch-98   # with a remark\n",
        "---\nmodel: larch-98\n",
        "# a comment\n---\n# another\nmodel: larch-98\n",
        "model: larch-98",
        "\n\nmodel: larch-98\n",
        "",
        "# only a comment\n",
        "# only a comment",
        "'model': larch-98\n",
        "build:\n- {part: x, place: '12'}\nmodel: larch-98\n",
        "note: |\n  first\n\n  number: not a key\nmodel: larch-98\n",
        "model: larch-98\n...\n",
        "# only a comment\n---\n",
    ],
)
def test_the_record_gains_the_new_keys_and_nothing_else(text):
    """Afterwards the record reads as before with the new values in front, and every old line is still there."""
    before = tree(text)
    changed = with_first_lines(text, NEW)
    assert tree(changed) == {**NEW, **before}
    left = changed
    for key, value in NEW.items():
        left = left.replace(f"{key}: {value}\n", "", 1)
    assert left.rstrip("\n") == text.rstrip("\n")


def test_line_ends_stay():
    """A file with Windows line ends gets its new lines with the same ends."""
    changed = with_first_lines("# hello\r\nmodel: larch-98\r\n", NEW)
    assert changed == f"# hello\r\nnumber: 1042-9\r\nkey: {'A' * 26}\r\nmodel: larch-98\r\n"


def test_no_values_no_change():
    """Nothing to add leaves the text as it is."""
    assert with_first_lines("# x\nmodel: y\n", {}) == "# x\nmodel: y\n"


KEYS = st.from_regex(r"[a-z]{1,8}", fullmatch=True).filter(lambda k: k not in ("number", "key"))
VALUES = st.from_regex(r"[a-z0-9][a-z0-9 ]{0,10}[a-z0-9]", fullmatch=True)
LINES = st.one_of(
    st.tuples(KEYS, VALUES).map(lambda kv: f"{kv[0]}: {kv[1]}"),
    st.just(""),
    st.from_regex(r"#[ -~]{0,20}", fullmatch=True),
)


@given(st.lists(LINES, max_size=8), st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_any_record_of_plain_lines(lines, end, closed):
    """Whatever comments, blank lines and keys a record has, in either kind of line ends, only the new keys are added."""
    text = end.join(lines) + (end if closed else "")
    data, _, faults = yamltext.read(text, "x.yaml")
    if faults or not isinstance(data, dict):
        return  # the same key twice
    changed = with_first_lines(text, NEW)
    assert tree(changed) == {**NEW, **data}
    rest = iter(changed.splitlines())
    assert all(line in rest for line in text.splitlines()), "the old lines, in their order"
