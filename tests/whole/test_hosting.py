"""The README's guide for hosts: each header that it names is set in its examples, for every answer."""

import re

import pytest
from hosting import EVERYWHERE, ROOT, example

README = (ROOT / "README.md").read_text(encoding="utf-8")
NAMED = re.findall(r"^\| `([A-Z][A-Za-z-]+)(?::[^`]*)?` \|", README, re.MULTILINE)


def test_the_table_names_what_is_tried():
    """The headers that are tried for real are those of the table, and two that depend on the file."""
    assert set(NAMED) == {*EVERYWHERE, "X-Robots-Tag", "Cache-Control"}


@pytest.mark.parametrize("name", NAMED)
def test_each_header_is_in_both_examples(name):
    """Each header stands in the nginx example, where it holds for errors too, and in the Caddy one."""
    assert re.search(rf"^    add_header {name} .* always;$", example(), re.MULTILINE)
    caddy = re.search(r"```caddy\n(.*?)```", README, re.DOTALL)
    assert caddy and name in caddy[1]


def test_no_place_of_the_nginx_example_drops_the_headers():
    """nginx passes headers on only where a location sets none of its own, so none does (its documentation, add_header)."""
    inside = re.findall(r"location[^{]*\{((?:[^{}]|\{[^{}]*\})*)\}", example())
    assert len(inside) == 2
    assert not [text for text in inside if "add_header" in text]
