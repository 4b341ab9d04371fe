"""The colours: the style sheets agree with the palette, and every pair has its contrast."""

import re
from dataclasses import fields, replace

import pytest
from places import ROOT

from passport.render.theme.palette import (
    CSS_PAINT,
    DARK,
    LIGHT,
    PAIRS,
    PRINT_PAINT,
    TOKENS,
    Palette,
    WeakPair,
    colour_css,
    contrast,
    luminance,
    property_name,
    weak_pairs,
)

STYLE = ROOT / "templates" / "style"


def custom_properties(css: str) -> dict[str, str]:
    """The colour properties that a style sheet sets."""
    return dict(re.findall(r"(--[a-z-]+):\s*(#[0-9a-f]{6});", css))


def test_tokens_are_the_palette_fields() -> None:
    """Every token is a field of the palette, in the same order."""
    assert tuple(f.name for f in fields(Palette)) == TOKENS


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_every_pair_has_its_contrast(palette: Palette) -> None:
    """No text or line of the shipped palettes is weaker than WCAG 2.2 asks."""
    assert weak_pairs(palette) == ()


def test_pairs_cover_every_text_token() -> None:
    """Each token that text is set in is held to at least 4.5 on the page and on a sheet."""
    for token in ("ink", "soft", "petrol", "plum", "good", "doubt", "bad"):
        for ground in ("ground", "sheet"):
            assert max(m for f, g, m in PAIRS if (f, g) == (token, ground)) >= 4.5


def test_weak_pair_is_named() -> None:
    """A shop's pale accent is reported with its ratio and what it needs."""
    weak = weak_pairs(replace(LIGHT, plum="#c9b3c1"))
    assert {(w.front, w.ground) for w in weak} == {("plum", "ground"), ("plum", "sheet"), ("plum", "band")}
    assert all(isinstance(w, WeakPair) and w.ratio < w.minimum == 4.5 for w in weak)


def test_style_sheet_has_the_same_colours() -> None:
    """tokens.css sets exactly the palette's colours, dark only on screens."""
    css = (STYLE / "tokens.css").read_text()
    assert colour_css() in css
    light, dark = css.split("@media screen and (prefers-color-scheme: dark)")
    assert custom_properties(light) == {property_name(t): getattr(LIGHT, t) for t in TOKENS}
    assert custom_properties(dark) == {property_name(t): getattr(DARK, t) for t in TOKENS}


def test_style_sheet_has_a_rule_for_every_class() -> None:
    """drawing.css knows each class that a drawing in a page may carry."""
    css = (STYLE / "drawing.css").read_text()
    for token in TOKENS:
        name = token.replace("_", "-")
        assert f".f-{name} {{ fill: var(--{name}); }}" in css
        assert f".s-{name} {{ stroke: var(--{name}); }}" in css


def test_paint_for_pages_gives_classes() -> None:
    """Inside a page a drawing carries class names and no colour."""
    assert CSS_PAINT("ink", "on_ball") == ' class="f-ink s-on-ball"'
    assert CSS_PAINT("none", "rule") == ' class="s-rule"'
    assert CSS_PAINT() == ""


def test_paint_for_print_gives_colours() -> None:
    """In print a drawing carries the light colours themselves."""
    assert PRINT_PAINT("ink", "on_ball") == f' fill="{LIGHT.ink}" stroke="{LIGHT.on_ball}"'
    assert PRINT_PAINT("none", "rule") == f' fill="none" stroke="{LIGHT.rule}"'


def test_contrast_does_not_care_for_order() -> None:
    """Text on ground and ground on text have one ratio."""
    assert contrast(LIGHT.ink, LIGHT.ground) == contrast(LIGHT.ground, LIGHT.ink)


@pytest.mark.parametrize("text", ["", "#fff", "0d5566", "#0d55zz", "#0d5566 "])
def test_wrong_colour_is_refused(text: str) -> None:
    """A colour that is not six hexadecimal digits is an error that shows it."""
    with pytest.raises(ValueError, match=re.escape(repr(text))):
        luminance(text)


def test_fonts_named_by_the_style_sheets_are_shipped() -> None:
    """Every font file that a style sheet names exists, and the three of every page stay below 46 kB together."""
    for sheet in ("fonts-web.css", "fonts-print.css"):
        for url in re.findall(r'url\("([^"]+)"\)', (STYLE / sheet).read_text()):
            assert (STYLE / url).is_file()
    first = [p for p in (STYLE.parent / "fonts").glob("*.woff2") if not p.stem.endswith("-more")]
    assert sum(p.stat().st_size for p in first) < 46_000
