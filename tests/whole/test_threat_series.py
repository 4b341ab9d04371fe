"""The attacks of strangers at random, in their short form with a fixed seed (`.dev/strangers` is the long one)."""

import pytest
import strangers
import tinycss2


@pytest.mark.parametrize(
    ("name", "most"), [("templates", 250), ("styles", 1500), ("requests", 1500), ("folders", 6), ("spreadsheets", 60)]
)
def test_nothing_made_up_breaks_through(name, most, counted):
    """C1, C2, C3, C4, C6, C9, N2, N4: of so many made-up attacks none comes through, and some are let pass as harmless."""
    found, broken = strangers.run(name, 300.0, seed=2026, most=most)
    assert not broken
    assert found.total() == most
    assert found[strangers.REFUSED]
    counted(f"strangers' {name}: {most} tried, {found[strangers.REFUSED]} refused, 0 broke through")


@pytest.mark.parametrize(("css", "loads"), [
    ("a{b:url(//e.example/x)}", True), ('@import "x";', True), ('a{b:image-set("https://x")}', True),
    ('a{b:url("\\\\/e.example")}', True), ("a{b:url(///e.example)}", True), ("a{b:url(data:text/css,x)}", True),
    ("@media x{a{b:c(url(http:x))}}", True), ("a{b:url(/x//y)}", False), ("a{b:url(,/a//e.example@import)}", False),
    ('a{b:"https://x"}', False), ("a{b:url(data:image/png,x)}", False), ("@import\\2f\\2f x", False),
])  # fmt: skip
def test_the_judge_of_styles_knows_what_loads(css, loads):
    """An address counts where a browser would ask another host for it, however deep it stands, and nothing else does."""
    tokens = strangers._tokens(tinycss2.parse_component_value_list(css))
    assert any(map(strangers._loads, tokens)) is loads
