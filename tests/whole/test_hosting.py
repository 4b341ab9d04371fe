"""The set-ups for hosts: each header that README names is set in all of them, for every answer."""

import re

import pytest
from hosting import EVERYWHERE, ROOT, example

README = (ROOT / "README.md").read_text(encoding="utf-8")
NAMED = re.findall(r"^\| `([A-Z][A-Za-z-]+)(?::[^`]*)?` \|", README, re.MULTILINE)


def test_the_table_names_what_is_tried():
    """The headers that are tried for real are those of the table, and two that depend on the file."""
    assert set(NAMED) == {*EVERYWHERE, "X-Robots-Tag", "Cache-Control"}


@pytest.mark.parametrize("name", NAMED)
def test_each_header_is_in_every_example(name, tmp_path):
    """Each header stands in the nginx example, where it holds for errors too, in the Caddy one and in _headers.

    In _headers none depends on the file: of two rules for one file hosts join the values, and naming the passports'
    folders there would list them (the hosts' documentation of _headers: a path, then indented headers, ``/*`` for all).
    """
    assert re.search(rf"^    add_header {name} .* always;$", example(tmp_path), re.MULTILINE)
    assert name in example(tmp_path, "caddy")
    blocks = re.findall(r"^(/\S+)\n((?:  [A-Z][A-Za-z-]+: .+\n)+)", example(tmp_path, "headers"), re.MULTILINE)
    assert [path for path, _ in blocks] == ["/*"]
    assert (f"  {name}: " in blocks[0][1]) == (name != "X-Robots-Tag")


def test_no_place_of_the_nginx_example_drops_the_headers(tmp_path):
    """nginx passes headers on only where a location sets none of its own, so none does (its documentation, add_header)."""
    inside = re.findall(r"location[^{]*\{((?:[^{}]|\{[^{}]*\})*)\}", example(tmp_path))
    assert len(inside) == 2
    assert not [text for text in inside if "add_header" in text]
