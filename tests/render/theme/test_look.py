"""A shop's own look: colours that can be read, rules that change only what is the shop's."""

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from smallshop import facts

from passport.render.theme import assets
from passport.render.theme.look import (
    EXTRA,
    STYLES,
    as_light_as,
    other_stylesheet,
    own_logo,
    palettes,
    readable,
    stylesheet,
)
from passport.render.theme.palette import DARK, LIGHT, contrast, luminance, weak_pairs

COLOURS = st.integers(0, 0xFFFFFF).map(lambda n: f"#{n:06x}")


@pytest.fixture
def shop(tmp_path):
    """The facts of a small workshop that says nothing of its look."""
    return facts(tmp_path / "content").shop


def test_without_colours_of_its_own_a_shop_has_the_house_colours():
    """No colour, or the house's own, changes nothing."""
    assert palettes() == (LIGHT, DARK)
    assert palettes(LIGHT.petrol, LIGHT.plum) == (LIGHT, DARK)


@given(COLOURS, COLOURS)
@settings(max_examples=400)
def test_any_readable_colours_make_readable_pages(accent, second):
    """Whatever accent and second colour a shop takes, as long as they can be read themselves, everything on its pages
    can, in light and in dark."""
    light, dark = palettes(readable(accent, "petrol"), readable(second, "plum"))
    assert not weak_pairs(light)
    assert not weak_pairs(dark)


@given(COLOURS)
def test_the_advised_colour_is_the_nearest_that_can_be_read(colour):
    """A colour that can be read is advised itself; for another one the next darker that can, and no darker than needed."""
    advised = readable(colour, "petrol")
    assert contrast(advised, "#ffffff") >= 7
    if advised != colour:
        assert luminance(advised) < luminance(colour)
        assert contrast(advised, "#ffffff") < 7.4


@given(COLOURS, st.floats(0, 1))
def test_a_colour_as_light_as_wanted(colour, wanted):
    """The luminance of a colour can be chosen; it is met from below, to within one step of 8 bits."""
    found = luminance(as_light_as(colour, wanted))
    assert found <= wanted + 1e-9
    assert wanted - found < 0.02


def test_the_style_sheet_holds_every_shipped_rule(shop):
    """Shortened, the style sheet still has every selector and every custom property of the shipped ones."""
    made = stylesheet(shop).decode()
    shipped = "".join((assets.templates() / "style" / name).read_text(encoding="utf-8") for name in STYLES)
    for name in set(re.findall(r"\.[a-z][a-z-]+", re.sub(r"/\*.*?\*/", "", shipped, flags=re.DOTALL))):
        assert name in made
    assert made.count("{") == made.count("}") == re.sub(r"/\*.*?\*/", "", shipped, flags=re.DOTALL).count("{")
    assert "/*" not in made
    assert len(made) < len(shipped)


def test_own_colours_come_after_the_shipped_ones(shop):
    """A shop's accent stands in the style sheet for light and for dark, below the house's own."""
    made = stylesheet(replace(shop, accent="#8a1c2c")).decode()
    assert made.index("--petrol:#8a1c2c") > made.index(f"--petrol:{LIGHT.petrol}")
    dark = re.findall(r"@media screen and \(prefers-color-scheme:dark\)\{:root\{(.*?)\}", made)
    assert len(dark) == 2
    assert palettes("#8a1c2c")[1].petrol in dark[1]


def test_own_typefaces(shop):
    """Typefaces of the shop's own are loaded from the site and used for the pages; drawings keep the shipped letters."""
    made = stylesheet(replace(shop, fonts=("mill-400.woff2", "mill-600.woff2", "stem.woff2"))).decode()
    assert made.count("@font-face") == stylesheet(shop).decode().count("@font-face") + 3
    assert 'url("../fonts/mill-600.woff2")' in made
    assert '--text:"Shop Text"' in made
    assert '--display:"Shop Display"' in made
    assert '.drawing{font-family:"House Text"' in made


def test_own_rules_stand_last(shop, tmp_path):
    """What stands in the content's style/extra.css is added as it is, without its comments, after everything else."""
    rules = ".ticket { border-radius: 0; } /* square */\n"
    (tmp_path / "style").mkdir()
    (tmp_path / EXTRA).write_text(rules, encoding="utf-8")
    with assets.using(tmp_path):
        assert stylesheet(replace(shop, accent="#8a1c2c")).decode().endswith(".ticket { border-radius: 0; } \n")
    assert ".ticket { border-radius: 0; }" not in stylesheet(shop).decode()


def test_a_logo_is_found_where_it_is_in_use(shop, tmp_path):
    """A shop's logo comes from the content's style folder; without that folder in use there is none."""
    (tmp_path / "style").mkdir()
    (tmp_path / "style/mark.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 3 1"/>')
    with assets.using(tmp_path):
        found = own_logo(replace(shop, logo="mark.svg"))
    assert found
    assert (found.name, found.ratio) == ("logo.svg", 3)
    assert own_logo(replace(shop, logo="mark.svg")) is None
    assert own_logo(shop) is None


def test_lengths_are_written_out(shop, tmp_path):
    """The style sheet has lengths in the place of their names, which none of its rules asks for any more; a name that a
    shop's own rules say, or set, is kept."""
    css = stylesheet(shop).decode()
    assert "var(--space" not in css
    assert "--space" not in css
    assert set(re.findall(r"var\((--[\w-]+)", css)) <= set(re.findall(r"(--[\w-]+):", css))
    assert len(other_stylesheet()) < 7000
    (tmp_path / "own" / "style").mkdir(parents=True)
    (tmp_path / "own" / "style" / "extra.css").write_text("main { padding: var(--space-3) } :root { --space-4: 2rem }")
    assets.use(tmp_path / "own")
    own = stylesheet(shop).decode()
    assert re.search(r"--space-3:\.75rem.*--space-4:1rem.*main \{ padding: var\(--space-3\)", own, re.DOTALL)
    assert "var(--space-4)" in own
    assert "var(--space-2)" not in own
