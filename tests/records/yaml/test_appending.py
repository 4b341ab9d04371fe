"""Entries added at the end of records, catalogues and lists."""

import pytest

from passport.records.yaml import yamltext
from passport.records.yaml.appending import with_appended, with_entry
from passport.records.yaml.yamlplace import CannotEdit


def read(text):
    """The data of a text."""
    data, _, faults = yamltext.read(text, "test")
    assert not faults
    return data


@pytest.mark.parametrize(
    "text",
    [
        "",
        "a: {name: A, kind: x}   # stays\n",
        "a:\n  name: A   # stays\n\nb:\n  name: B\n# last words\n",
        "\ufeffa:\r\n    name: A\r\n",
    ],
)
def test_a_catalogue_gets_an_entry_and_keeps_every_line(text):
    """The new entry stands last, in the form of the others; what was there is untouched."""
    after = with_entry(text, "new-1", {"name": "A, b", "kind": "yes"})
    bare = text.removeprefix("\ufeff")
    assert read(after.removeprefix("\ufeff")) == (read(bare) or {} if bare else {}) | {
        "new-1": {"name": "A, b", "kind": "yes"}
    }
    for line in text.splitlines():
        assert line in after.splitlines()
    assert ("\r\n" in after) == ("\r\n" in text)
    with pytest.raises(CannotEdit, match="there already"):
        with_entry(after, "new-1", {"name": "again"})


LISTS = [
    "name: x\n",
    "name: x\nlist:\n  - {a: 1}   # stays\n  # and this\nlast: z\n",
    "name: x\nlist: [{a: 1}]   # stays\n",
    "name: x\nlist: {a: 1}\n",
    "name: x\nlist:\n- a: 1\n  b: 2\n",
]


@pytest.mark.parametrize("text", LISTS)
def test_a_list_gets_an_entry(text):
    """At the end of a list however it is written; one entry alone becomes a list, and a missing list is begun."""
    before = read(text)
    there = before.get("list", [])
    after = with_appended(text, ("list",), {"a": "2"})
    assert read(after) == before | {"list": [*(there if isinstance(there, list) else [there]), {"a": "2"}]}
    for line in text.splitlines():
        if "list: {" not in line and "list: [" not in line:
            assert line in after.splitlines()


def test_a_list_inside_a_list_gets_an_entry():
    """The checks of the second instrument, and of one that has none yet."""
    text = "tools:\n  - kind: scale\n  - kind: board\n    checks:\n      - {d: 1}\nend: 1\n"
    after = with_appended(with_appended(text, ("tools", 1, "checks"), {"d": "2"}), ("tools", 0, "checks"), {"d": "3"})
    first, second = read(after)["tools"]
    assert (first["checks"], second["checks"]) == ([{"d": "3"}], [{"d": "1"}, {"d": "2"}])
    with pytest.raises(CannotEdit):
        with_appended(text, ("tools", 7, "checks"), {"d": "2"})
